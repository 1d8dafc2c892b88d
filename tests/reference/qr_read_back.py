"""Reads drawn links back with zbarimg (Debian's zbar-tools), an independent reader.

    python tests/reference/qr_read_back.py target/reference/qr

The pictures and the list of what each holds are written by tests/it/reference/qr.rs.
Ends with "N passed, N failed"; exits 1 when anything failed or nothing was read.
"""

import json
import pathlib
import subprocess
import sys


def read(picture):
    """What zbarimg reads of one picture; every code on its own line."""
    command = ["zbarimg", "--nodbus", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", str(picture)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return done.stdout.removesuffix("\n")


def main(folder):
    folder = pathlib.Path(folder)
    passed = failed = 0
    for kept in json.loads((folder / "links.json").read_text(encoding="utf-8")):
        got = read(folder / kept["file"])
        if got == kept["link"]:
            passed += 1
        else:
            failed += 1
            print(f"{kept['file']}: read {got!r} instead of {kept['link']!r}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
