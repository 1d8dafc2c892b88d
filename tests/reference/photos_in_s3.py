"""Keeps photos in a store that speaks S3: moto's server (PyPI), started here on loopback.

    python tests/reference/photos_in_s3.py target/debug/pillarbook

The program must be built with the feature s3. A note with a photo is written, the photo
is read back from the program and from the bucket, removed, and both are empty; then the
store is taken away, a removal told to be outstanding, and made up for once it is back.
What the program prints and logs must not have the secret key.
Ends with "N passed, N failed"; exits 1 when anything failed or nothing was checked.
"""

import json
import logging
import os
import pathlib
import re
import socket
import subprocess
import sys
import tempfile
import time

import boto3
import requests
from moto.server import ThreadedMotoServer

ROOT = pathlib.Path(__file__).parents[2]
BUCKET, PREFIX = "county-photos", "book"
# Made up; moto takes any.
KEY, SECRET = "AKIAINVENTED0000", "invented-secret-that-nobody-must-print"
HOST = "127.0.0.1"

tally = {True: 0, False: 0}


def check(good, said):
    tally[bool(good)] += 1
    if not good:
        print(f"FAILED  {said}")


def free_port():
    with socket.socket() as one:
        one.bind((HOST, 0))
        return one.getsockname()[1]


class Program:
    """The program, from its start to its end."""

    def __init__(self, binary, folder, endpoint, log="debug"):
        self.output = pathlib.Path(folder) / f"out-{time.monotonic_ns()}.txt"
        environment = {
            **os.environ,
            "AWS_ACCESS_KEY_ID": KEY,
            "AWS_SECRET_ACCESS_KEY": SECRET,
            "AWS_REGION": "eu-north-1",
            "AWS_ENDPOINT": endpoint,
            "AWS_ALLOW_HTTP": "true",
        }
        command = [binary, "serve", "--listen", f"{HOST}:0", "--database", f"{folder}/book.db"]
        command += ["--photos", f"s3://{BUCKET}/{PREFIX}", "--log", log]
        with self.output.open("wb") as out:
            self.process = subprocess.Popen(command, env=environment, stdout=out, stderr=subprocess.STDOUT)
        self.address = self.said(rf"http://{HOST}:(?!0\b)\d+")

    def said(self, pattern, seconds=30):
        """What it printed that looks like this."""
        until = time.monotonic() + seconds
        while time.monotonic() < until and self.process.poll() is None:
            found = re.search(pattern, self.output.read_text(errors="replace"))
            if found:
                return found[0]
            time.sleep(0.1)
        raise RuntimeError(f"nothing like {pattern} in:\n{self.output.read_text(errors='replace')}")

    def end(self):
        self.process.terminate()
        self.process.wait(30)
        text = self.output.read_text(errors="replace")
        check(SECRET not in text, "the secret key is printed or logged")
        check(f"s3://{BUCKET}/{PREFIX}" in text, "where photos are kept is not said")


class Member:
    """Somebody at a browser."""

    def __init__(self, program):
        self.base = program.address
        self.http = requests.Session()
        self.http.headers["Origin"] = self.base

    def post(self, path, fields, photo=None):
        files = {"photo": ("IMG_1.jpg", photo, "image/png")} if photo else None
        return self.http.post(self.base + path, data=fields, files=files, timeout=30)

    def get(self, path):
        return self.http.get(self.base + path, timeout=30)

    def sign_in(self):
        self.post("/sign-in", {"name": "ines", "password": "ladle hinge copper moss"})


def set_up(program):
    """The first keeper, with a card."""
    member = Member(program)
    link = program.said(r"/set-up/[0-9a-f]+")
    names = {"department": "Aldermere", "member": "Ines Tolland", "name": "ines"}
    made = member.post(link, {**names, "password": "ladle hinge copper moss", "again": "ladle hinge copper moss"})
    made.raise_for_status()
    card = json.loads((ROOT / "src/demo/cards/corvel-tarn-2019.json").read_text(encoding="utf-8"))
    made = member.http.post(f"{member.base}/api/v1/cards", json=card, timeout=30)
    made.raise_for_status()
    return member, made.json()["id"]


def objects(s3):
    return sorted(one["Key"] for one in s3.list_objects_v2(Bucket=BUCKET).get("Contents", []))


def note(member, card):
    """A note with a photo: a drawing that is at hand. Its page and the photo."""
    drawing = member.get(f"/api/v1/cards/{card}/sketch.png?width=640").content
    written = member.post(f"/cards/{card}/notes/new", {"about": "card", "text": "Clip", "alt": "a drawing"}, drawing)
    written.raise_for_status()
    photos = member.get(f"/api/v1/cards/{card}/annotations").json()["photos"]
    return written.url.removeprefix(member.base), photos[-1]


def remove(member, page, photo):
    return member.post(page, {"do": "remove-photo", "photo_name": photo["name"], "reason": "a face"})


def kept_read_and_removed(member, card, s3):
    page, photo = note(member, card)
    name = photo["name"]
    there = objects(s3)
    check(there == [f"{PREFIX}/{name[:2]}/{name}-small.jpg", f"{PREFIX}/{name[:2]}/{name}.jpg"], f"in the bucket: {there}")
    for href, key in ((photo["href"], there[1]), (photo["thumbnail"], there[0])):
        read = member.get(href)
        stored = s3.get_object(Bucket=BUCKET, Key=key)["Body"].read()
        check(read.status_code == 200 and read.content == stored, f"{href} answers {read.status_code}, other bytes than {key}")
        check(stored[:3] == b"\xff\xd8\xff", f"{key} is no JPEG")
    removed = remove(member, page, photo)
    check(removed.ok and "still there" not in removed.text, f"removed: {removed.status_code}")
    check(objects(s3) == [], f"left in the bucket: {objects(s3)}")
    check(member.get(photo["href"]).status_code == 404, "a removed photo is read")


def main(binary):
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = ThreadedMotoServer(ip_address=HOST, port=free_port(), verbose=False)
    server.start()
    endpoint = f"http://{HOST}:{server.get_host_and_port()[1]}"
    s3 = boto3.client("s3", endpoint_url=endpoint, region_name="eu-north-1", aws_access_key_id=KEY, aws_secret_access_key=SECRET)
    s3.create_bucket(Bucket=BUCKET, CreateBucketConfiguration={"LocationConstraint": "eu-north-1"})
    with tempfile.TemporaryDirectory() as folder:
        program = Program(binary, folder, endpoint)
        member, card = set_up(program)
        kept_read_and_removed(member, card, s3)
        # The store goes away for a while, and with it what is read and written.
        page, photo = note(member, card)
        there = objects(s3)
        server.stop()
        begun = time.monotonic()
        check(member.get(photo["href"]).status_code == 503, "a store that is away is not told so")
        refused = member.post(f"/cards/{card}/notes/new", {"about": "card", "text": "Lost", "alt": "x"}, member.get(f"/api/v1/cards/{card}/sketch.png").content)
        check(refused.status_code == 503, f"a photo that cannot be kept: {refused.status_code}")
        removed = remove(member, page, photo)
        check(removed.ok and "Its file is still there" in removed.text, f"removed while the store is away: {removed.status_code}")
        check(member.get(photo["href"]).status_code == 404, "a removed photo whose file is still there is read")
        check(time.monotonic() - begun < 60, "it waits too long for a store that is away")
        program.end()
        program = Program(binary, folder, endpoint)
        member = Member(program)
        member.sign_in()
        check(member.get(f"/cards/{card}").status_code == 200, "no card without the store of photos")
        program.end()
        server = ThreadedMotoServer(ip_address=HOST, port=int(endpoint.rsplit(":", 1)[1]), verbose=False)
        server.start()
        check(objects(s3) == there and len(there) == 2, f"the bucket before it is made up for: {objects(s3)}")
        program = Program(binary, folder, endpoint)
        until = time.monotonic() + 20
        while objects(s3) and time.monotonic() < until:
            time.sleep(0.2)
        check(objects(s3) == [], f"not made up for: {objects(s3)}")
        member = Member(program)
        member.sign_in()
        check("Lost" not in member.get(f"/cards/{card}/notes").text, "a note without its photo was written")
        program.end()
    server.stop()
    print(f"{tally[True]} passed, {tally[False]} failed")
    return 1 if tally[False] or not tally[True] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
