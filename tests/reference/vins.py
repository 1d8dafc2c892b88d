"""VINs made by a fixed seed, as two published libraries read them (PyPI vininfo and vin).

vininfo gives the check digit's verdict and the candidate years; vin the expected check digit
by the table of 49 CFR 565.15(c). vininfo leaves out years that are still to come when it runs,
so that years after 2025 are not kept here.
"""

import json
import random

from vin import VIN
from vininfo import Vin

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"


def made(rng):
    body = [rng.choice(LETTERS + "0123456789") for _ in range(17)]
    body[0] = rng.choice("1234")
    body[9] = rng.choice(YEARS)
    body[8] = rng.choice("0123456789X")
    body[12:] = [rng.choice("0123456789") for _ in range(5)]
    return "".join(body)


def main():
    rng, rows = random.Random(565), []
    for n in range(300):
        text = made(rng)
        expected = VIN.calculate_check_digit(text)
        if n % 3:
            text = text[:8] + expected + text[9:]
        read = Vin(text)
        matches = read.verify_checksum(check_year=False)
        assert matches == (text[8] == expected), text
        rows.append({"vin": text, "expected": expected, "matches": matches, "years": [y for y in sorted(read.years) if y <= 2025]})
    print(json.dumps(rows, indent=0))


main()
