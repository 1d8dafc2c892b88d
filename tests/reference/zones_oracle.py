"""Compares the service's zones with a second implementation of design sections 5 and 6.

Usage: zones_oracle.py FILE.jsonl [SEED]    one card a line, as the Rust tests write them.
Exits 1 when any figure differs; every card is one check.
"""

import json
import sys

from oracle.compare import compare
from oracle.expect import marks
from oracle.span import Span
from oracle.zones import Zones


def solve(line, nudge=0.0):
    """The second implementation's zones for one line of the file."""
    spans = {}
    for given, vertices in zip(line["zones"]["spans"], line["centrelines_unrounded"]):
        spans[given["id"]] = Span({**given, "centreline_mm": vertices})
    card = line["card"]
    expected = marks(line["style_expectations"], card["vehicle"], spans)
    policy = dict(card["policy"])
    return Zones({**card, "policy": policy}, spans, expected, nudge=nudge)


def main(path, only=None):
    figures, bad, grazing, cards = 0, 0, 0, 0
    for text in open(path, encoding="utf-8"):
        line = json.loads(text)
        if only is not None and line["seed"] != only:
            continue
        cards += 1
        report = compare(solve(line), line["zones"])
        figures += report.figures
        if report.differences:
            # A grazing keep-out: as soon as R is a hair off, the same place agrees.
            left = set(report.differences)
            for nudge in (-0.002, 0.002):
                again = compare(solve(line, nudge), line["zones"]).differences
                heads = {d.split(":")[0].split(" differ over")[0] for d in again}
                left = {d for d in left if d.split(":")[0].split(" differ over")[0] in heads}
            grazing += len(report.differences) - len(left)
            bad += bool(left)
            for difference in sorted(left):
                print(f"card {line['seed']} ({line['card']['vehicle']['body_style']}): {difference}")
    print(f"second implementation: {figures} figures of {cards} cards compared; {grazing} of a grazing keep-out")
    print(f"{cards - bad} passed, {bad} failed")
    return 1 if bad or not cards else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else None))
