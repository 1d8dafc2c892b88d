"""Sends photos of many kinds and reads back what is kept, with Pillow (PyPI).

    python tests/reference/photos_read_back.py http://127.0.0.1:8000

The service must be one of the demo with nothing real in it: what is sent is kept there.
Pillow writes each photo, with place, device and profile in it where its kind takes them,
turns it upright by its own reading of EXIF, and says what it looks like; what the service
keeps must look the same, and hold nothing but pixels. What is cut short, moves or is no
photo must be refused with a word.
Ends with "N passed, N failed"; exits 1 when anything failed or nothing was sent.
"""

import hashlib
import io
import sys

import numpy
import requests
from PIL import Image, ImageCms, ImageDraw, ImageOps

MARK = b"Invented Cameras"
# Mean difference of a channel, of 255: JPEG at quality 82 loses a little of what is smooth.
NEAR = 2.5

tally = {True: 0, False: 0}


def check(good, said):
    tally[bool(good)] += 1
    if not good:
        print(f"FAILED  {said}")


def scene(width=640, height=400):
    """Not alike however it is turned or flipped, and smooth, as photos are."""
    across, down = numpy.meshgrid(numpy.linspace(0, 1, width), numpy.linspace(0, 1, height))
    channels = (230 * across + 20, 230 * down + 20, 200 * (1 - across) * (1 - down) + 30)
    picture = Image.fromarray(numpy.stack(channels, axis=-1).astype("uint8"), "RGB")
    draw = ImageDraw.Draw(picture)
    draw.rectangle((40, 40, 220, 140), fill=(200, 30, 30))
    draw.ellipse((400, 220, 560, 360), fill=(30, 60, 210))
    return picture


def noted(orientation=1):
    """What a camera writes beside a picture (EXIF 2.32)."""
    exif = Image.Exif()
    exif[0x010F] = MARK.decode()
    exif[0x0112] = orientation
    exif.get_ifd(0x8825).update({1: "N", 2: (52.0, 13.0, 47.11), 3: "W", 4: (1.0, 2.0, 3.0)})
    return exif


def written(picture, kind, **how):
    bytes_ = io.BytesIO()
    picture.save(bytes_, kind, **how)
    return bytes_.getvalue()


def whole_photos():
    """Name and bytes."""
    plain, deep = scene(), numpy.asarray(scene().convert("L")).astype("uint16") * 257
    see_through = scene().convert("RGBA")
    see_through.putalpha(Image.linear_gradient("L").resize(see_through.size))
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    yield "jpeg with everything", written(plain, "JPEG", quality=92, exif=noted(), icc_profile=profile, comment=MARK)
    yield "progressive jpeg", written(plain, "JPEG", quality=90, progressive=True, exif=noted())
    yield "jpeg of full colour", written(plain, "JPEG", quality=95, subsampling=0)
    yield "jpeg with restarts", written(plain, "JPEG", quality=90, restart_marker_rows=1)
    yield "grey jpeg", written(plain.convert("L"), "JPEG", quality=92)
    yield "cmyk jpeg", written(plain.convert("CMYK"), "JPEG", quality=95, exif=noted())
    yield "png", written(plain, "PNG", exif=noted(), icc_profile=profile)
    yield "png of 16 bits", written(Image.fromarray(deep), "PNG")
    yield "png of a palette", written(plain.quantize(200), "PNG")
    yield "png of one bit", written(plain.convert("1", dither=Image.Dither.NONE), "PNG")
    yield "see-through png", written(see_through, "PNG")
    yield "webp", written(plain, "WEBP", quality=92, exif=noted(), icc_profile=profile)
    yield "lossless webp", written(plain, "WEBP", lossless=True)
    yield "see-through webp", written(see_through, "WEBP", lossless=True)
    yield "a large jpeg", written(scene(4000, 3000), "JPEG", quality=90, exif=noted(8))
    for turned in range(1, 9):
        for kind in ("JPEG", "PNG", "WEBP"):
            yield f"{kind} held as {turned}", written(plain, kind, exif=noted(turned))


def refused_photos():
    """Name, bytes, and what is said of them."""
    plain, other = scene(), ImageOps.invert(scene())
    whole = {
        "jpeg": written(plain, "JPEG", quality=90, exif=noted()),
        "progressive jpeg": written(plain, "JPEG", quality=90, progressive=True),
        "cmyk jpeg": written(plain.convert("CMYK"), "JPEG"),
        "png": written(plain, "PNG"),
        "webp": written(plain, "WEBP"),
        "lossless webp": written(plain, "WEBP", lossless=True),
    }
    for name, bytes_ in whole.items():
        for share in (0.2, 0.5, 0.9, 0.99):
            yield f"{name} cut at {share}", bytes_[: int(len(bytes_) * share)], "cut short"
        yield f"{name} without its last byte", bytes_[:-1], "cut short"
    yield "moving png", written(plain, "PNG", save_all=True, append_images=[other]), "still picture"
    yield "moving webp", written(plain, "WEBP", save_all=True, append_images=[other]), "still picture"
    yield "gif", written(plain, "GIF"), "JPEG, PNG and WebP"
    yield "tiff", written(plain, "TIFF"), "JPEG, PNG and WebP"
    yield "bmp", written(plain, "BMP"), "JPEG, PNG and WebP"
    yield "heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(4000), "HEIC"


class Notes:
    """A card of the demo, and the note of it that still has room for photos."""

    def __init__(self, base):
        self.base = base
        cards = requests.get(f"{base}/api/v1/cards?limit=100", timeout=20).json()["cards"]
        self.path = f"/api/v1/cards/{next(c['id'] for c in cards if c['own'])}/annotations"
        self.room = 0

    def send(self, bytes_):
        if self.room == 0:
            made = requests.post(self.base + self.path, json={"annotations": [{"text": "Photos"}]}, timeout=20)
            made.raise_for_status()
            self.note, self.room = made.json()["annotations"][0]["id"], 6
        answer = requests.post(
            f"{self.base}{self.path}/{self.note}/photos",
            data={"alt": "a scene"}, files={"photo": ("IMG_1.jpg", bytes_)},
            # As from a page of the service.
            headers={"Origin": self.base}, timeout=60,
        )
        self.room -= answer.ok
        return answer


def as_seen(bytes_):
    """The picture as a person sees it: upright, on white paper."""
    picture = Image.open(io.BytesIO(bytes_))
    picture = ImageOps.exif_transpose(picture)
    if picture.mode == "I;16":
        return Image.fromarray((numpy.asarray(picture) // 257).astype("uint8")).convert("RGB")
    if "A" in picture.mode or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        paper = Image.new("RGBA", picture.size, "white")
        return Image.alpha_composite(paper, picture).convert("RGB")
    return picture.convert("RGB")


def alone(name, bytes_):
    """Nothing but pixels is in it."""
    kept = Image.open(io.BytesIO(bytes_))
    kept.load()
    check(kept.format == "JPEG" and kept.mode == "RGB", f"{name}: kept as {kept.format}, {kept.mode}")
    check(len(kept.getexif()) == 0, f"{name}: EXIF is in it")
    beside = set(kept.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    check(not beside and MARK not in bytes_, f"{name}: beside its pixels it has {sorted(beside)}")
    return kept


def compare(name, sent, photo, base):
    kept = requests.get(base + photo["href"], timeout=20).content
    check(hashlib.sha256(kept).hexdigest() == photo["sha256"], f"{name}: another hash")
    picture, wanted = alone(name, kept), as_seen(sent)
    check(picture.size == (photo["width_px"], photo["height_px"]), f"{name}: {picture.size} is told as {photo['width_px']} x {photo['height_px']}")
    if max(wanted.size) > 2048:
        wanted.thumbnail((2048, 2048))
    check(picture.size == wanted.size, f"{name}: {picture.size}, not {wanted.size}")
    if picture.size == wanted.size:
        differ = numpy.abs(numpy.asarray(picture, "float32") - numpy.asarray(wanted, "float32")).mean()
        check(differ <= NEAR, f"{name}: looks other by {differ:.1f}")
    small = alone(f"{name}, small", requests.get(base + photo["thumbnail"], timeout=20).content)
    check(max(small.size) <= 320, f"{name}: a thumbnail of {small.size}")


def main(base):
    base = base.rstrip("/")
    notes = Notes(base)
    for name, sent in whole_photos():
        answer = notes.send(sent)
        check(answer.status_code == 201, f"{name}: {answer.status_code} {answer.text}")
        if answer.ok:
            compare(name, sent, answer.json(), base)
    for name, sent, said in refused_photos():
        answer = notes.send(sent)
        problem = answer.json() if "json" in answer.headers.get("content-type", "") else {}
        errors = problem.get("errors", [{}])
        told = answer.status_code == 422 and errors[0].get("field") == "photo" and said in errors[0].get("message", "")
        check(told, f"{name}: {answer.status_code} {answer.text[:200]}")
    print(f"{tally[True]} passed, {tally[False]} failed")
    return 1 if tally[False] or not tally[True] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
