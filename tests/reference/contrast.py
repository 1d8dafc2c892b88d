"""Contrast of every colour that carries a word or a mark, by the WCAG 2.2 formula.

Source: PyPI wcag-contrast-ratio. Reads the pages' colours from static/css/roles.css and the
sketch's from src/sketch/look.rs. Words want 4.5 to 1, marks and lines 3 to 1.
"""

import pathlib
import re
import sys

import wcag_contrast_ratio as contrast

ROOT = pathlib.Path(__file__).parents[2]
TEXT, MARK = 4.5, 3.0

# (colour, ground, least)
PAGES = [
    *((ink, ground, TEXT) for ink in ("ink", "soft", "nocut", "expect", "unseen", "gap") for ground in ("paper", "plate")),
    *((ink, f"{ink}-bed", TEXT) for ink in ("nocut", "expect", "gap")),
    *(("ink", bed, TEXT) for bed in ("nocut-bed", "expect-bed", "unseen-bed", "gap-bed", "bare")),
    *(("on-solid", solid, TEXT) for solid in ("nocut", "gap")),
    ("unseen", "unseen-bed", TEXT), ("hair", "paper", MARK), ("hair", "plate", MARK),
]
SKETCH = [
    *((ink, "Paper", TEXT) for ink in ("Ink", "Soft", "NoCut", "Expected", "Unseen", "Gap")),
    *(("Ink", ground, TEXT) for ground in ("NoCutGround", "ExpectedGround", "UnseenGround", "Bare")),
    ("NoCut", "NoCutGround", MARK), ("Expected", "ExpectedGround", MARK),
    ("Unseen", "UnseenGround", MARK), ("Hairline", "Paper", MARK), ("Gap", "Bare", MARK),
]


def ratio(one, other):
    return contrast.rgb(*(tuple(int(c[i:i + 2], 16) / 255 for i in (1, 3, 5)) for c in (one, other)))


def page_looks():
    css = (ROOT / "static/css/roles.css").read_text(encoding="utf-8")
    blocks = re.findall(r":root\s*\{([^}]*)\}", css)
    light, dark = (dict(re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})", b)) for b in blocks[:2])
    return {"page light": light, "page dark": {**light, **dark}}


def sketch_looks():
    rust = (ROOT / "src/sketch/look.rs").read_text(encoding="utf-8")
    rows = re.findall(r"Role::(\w+) => \[\s*\"(#\w{6})\",\s*\"(#\w{6})\",\s*\"(#\w{6})\",?\s*\]", rust)
    return {f"sketch {look}": {row[0]: row[i + 1] for row in rows} for i, look in enumerate(("light", "dark", "print"))}


def main():
    passed, failed = 0, 0
    for looks, pairs in ((page_looks(), PAGES), (sketch_looks(), SKETCH)):
        for look, colours in looks.items():
            for ink, ground, least in pairs:
                got = ratio(colours[ink], colours[ground])
                if got >= least:
                    passed += 1
                else:
                    failed += 1
                    print(f"{look}: {ink} {colours[ink]} on {ground} {colours[ground]} is {got:.2f}, below {least}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


sys.exit(main())
