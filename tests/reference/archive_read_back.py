"""Opens an archive with Python's own zipfile, json and hashlib.

    python tests/reference/archive_read_back.py target/reference/archive

The archive and what was put into it are written by tests/it/reference/archive.rs.
Ends with "N passed, N failed"; exits 1 when anything failed or nothing was read.
"""

import hashlib
import json
import pathlib
import sys
import zipfile

tally = {True: 0, False: 0}


def check(good, said):
    tally[bool(good)] += 1
    if not good:
        print(said)


def nothing(value):
    return value is None or (isinstance(value, dict) and all(map(nothing, value.values())))


def differs(put_in, got, path=""):
    """The first place where what was put in is not what came out, or None. A field
    that was null when put in, or an object of such, may be left out."""
    if isinstance(put_in, dict):
        for name, value in put_in.items():
            if nothing(value):
                continue
            if not isinstance(got, dict) or name not in got:
                return f"{path}.{name} is missing"
            place = differs(value, got[name], f"{path}.{name}")
            if place:
                return place
        return None
    if isinstance(put_in, list):
        if not isinstance(got, list) or len(got) != len(put_in):
            return f"{path} has another length"
        places = (differs(a, b, f"{path}[{n}]") for n, (a, b) in enumerate(zip(put_in, got)))
        return next((place for place in places if place), None)
    return None if put_in == got else f"{path}: {got!r} instead of {put_in!r}"


def main(folder):
    folder = pathlib.Path(folder)
    put_in = json.loads((folder / "put_in.json").read_text(encoding="utf-8"))
    with zipfile.ZipFile(folder / "archive.zip") as archive:
        check(archive.testzip() is None, "a checksum of the archive is wrong")
        files = {name: archive.read(name) for name in archive.namelist()}
        check(len(files) == len(archive.infolist()), "a name occurs twice")
        methods = {info.compress_type for info in archive.infolist()}
        check(methods <= {zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED}, f"packed by {methods}")
    manifest = json.loads(files.pop("manifest.json"))
    check(manifest["format"] == "pillarbook-archive/1", "the format has another name")
    check("signature" in manifest and manifest["signature"] is None, "no place for a signature")
    listed = {entry["file"]: entry for entry in manifest["files"]}
    check(listed.keys() == files.keys(), f"listed {sorted(listed)}, held {sorted(files)}")
    for name, content in files.items():
        digest = hashlib.sha256(content).hexdigest()
        check(listed[name]["sha256"] == digest, f"{name} has another SHA-256")
        check(listed[name]["bytes"] == len(content), f"{name} has another size")
    check(sorted(c["id"] for c in manifest["cards"]) == sorted(put_in["cards"]), "the cards are others")
    for card in manifest["cards"]:
        # The policy of a card that has the usual one is left out of its file.
        expected = {k: v for k, v in put_in["cards"][card["id"]].items() if k != "policy"}
        place = differs(expected, json.loads(files[card["file"]]))
        check(place is None, f"{card['file']}{place}")
    photo = put_in["photo"]
    held = files[photo["name"]]
    check(held == bytes(n % 256 for n in range(photo["bytes"])), "the photo's bytes are others")
    print(f"{tally[True]} passed, {tally[False]} failed")
    return 1 if tally[False] or not tally[True] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
