"""Compares `pillarbook zones` with a second implementation of design sections 5 and 6.

Usage: zones_oracle.py PILLARBOOK FILE.jsonl [SEED]
PILLARBOOK is the program; the file has one card a line, as the Rust tests write them, with the
centrelines before rounding and the body style's expectations.
Exits 1 when any figure differs; every card is one check.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

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


def service(program, card, folder):
    """The zones document the command line prints for a card file."""
    file = pathlib.Path(folder, "card.json")
    file.write_text(json.dumps(card), encoding="utf-8")
    ran = subprocess.run([program, "zones", file], capture_output=True, text=True, check=False)
    if ran.returncode:
        sys.exit(f"{program} zones: {ran.stderr}")
    return json.loads(ran.stdout)


def main(program, path, only=None):
    figures, bad, grazing, cards = 0, 0, 0, 0
    for text in open(path, encoding="utf-8"):
        line = json.loads(text)
        if only is not None and line["seed"] != only:
            continue
        cards += 1
        with tempfile.TemporaryDirectory() as folder:
            line["zones"] = service(program, line["card"], folder)
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
    sys.exit(main(*sys.argv[1:3], int(sys.argv[3]) if len(sys.argv) > 3 else None))
