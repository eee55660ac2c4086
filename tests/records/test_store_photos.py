"""Photos: upright, small, without place or camera, and refused in words when they cannot be kept."""

from __future__ import annotations

import hashlib
import io
import re
import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from postgres_cluster import Cluster
from store_examples import at, job, png

from finishplan.errors import BadValue
from finishplan.records import photos, where
from finishplan.records.faults import NoSuchDocument, StoreCorrupt
from finishplan.records.photos import BadPhoto, read_photo
from finishplan.records.store import Store, open_store


def marked(kind: str = "JPEG", turned: int = 1, size: tuple[int, int] = (400, 200), **more: object) -> bytes:
    """Return a picture with a red left half, taken with a camera at a place."""
    picture = Image.new("RGB", size, "blue")
    picture.paste("red", (0, 0, size[0] // 2, size[1]))
    about = Image.Exif()
    about[0x0112] = turned
    about[0x010F], about[0x0110], about[0x013B] = "Camera maker", "Model", "Somebody"
    about.get_ifd(0x8825).update({1: "N", 2: (52.0, 31.0, 12.0), 3: "E", 4: (13.0, 24.0, 18.0)})
    out = io.BytesIO()
    picture.save(out, kind, exif=about, **more)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_place_and_camera_are_gone(kind: str) -> None:
    data = marked(kind, comment=b"taken at home") if kind == "JPEG" else marked(kind)
    given_with = Image.open(io.BytesIO(data))
    assert given_with.getexif().get_ifd(0x8825), "the picture had a place"
    kept = read_photo(data).data
    made = Image.open(io.BytesIO(kept))
    assert (made.format, dict(made.getexif()), made.getexif().get_ifd(0x8825)) == ("JPEG", {}, {})
    assert set(made.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for word in (b"Exif", b"GPS", b"Camera", b"Model", b"Somebody", b"taken at home", b"ICC"):
        assert word not in kept


# Where the red half is after turning, by the eight orientations of the Exif standard (JEITA CP-3451, tag 274).
RED_AT = {1: "left", 2: "right", 3: "right", 4: "left", 5: "top", 6: "top", 7: "bottom", 8: "bottom"}


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("turned", RED_AT)
def test_pictures_are_turned_upright(turned: int, kind: str) -> None:
    made = read_photo(marked(kind, turned))
    picture = Image.open(io.BytesIO(made.data)).convert("RGB")
    width, height = picture.size
    assert (made.width, made.height) == (width, height) == ((400, 200) if turned < 5 else (200, 400))
    edges = {"left": (9, height // 2), "right": (width - 9, height // 2),
             "top": (width // 2, 9), "bottom": (width // 2, height - 9)}
    red = [side for side, spot in edges.items() if picture.getpixel(spot)[0] > 200]  # type: ignore[index]
    assert RED_AT[turned] in red
    assert {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}[RED_AT[turned]] not in red


@pytest.mark.parametrize(("size", "kept"), [
    ((3200, 2400), (1600, 1200)), ((1000, 4000), (400, 1600)), ((300, 200), (300, 200)),
])
def test_large_pictures_are_shrunk(size: tuple[int, int], kept: tuple[int, int]) -> None:
    made = read_photo(marked(size=size))
    assert (made.width, made.height) == kept


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png_is_read(mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (50, 40)).save(out, "PNG")
    assert read_photo(out.getvalue()).width == 50


def test_what_is_seen_through_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (50, 40), (0, 0, 0, 0)).save(out, "PNG")
    assert Image.open(io.BytesIO(read_photo(out.getvalue()).data)).getpixel((20, 20)) == (255, 255, 255)


def test_the_name_is_the_hash_of_the_content() -> None:
    made = read_photo(png())
    assert made.digest == hashlib.sha256(made.data).hexdigest() == read_photo(png()).digest


def png_of(width: int, height: int) -> bytes:
    """Return a small PNG file that says it is of that size."""

    def part(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", zlib.compress(bytes(99_999))) + part(b"IEND", b"")


HEIC = b"\x00\x00\x00\x20ftypheic\x00\x00\x00\x00mif1heic" + bytes(200)


@pytest.mark.parametrize(("data", "text"), [
    (HEIC, "lid.jpg: this is a HEIC picture, which is not read here; set the camera to JPEG (most compatible), or"),
    (HEIC.replace(b"heic", b"avif"), "lid.jpg: this is a HEIC picture"),
    (b"", "lid.jpg: this is no JPEG or PNG picture; send a photo as JPEG or PNG"),
    (b"GIF89a" + bytes(99), "lid.jpg: this is no JPEG or PNG picture"),
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "lid.jpg: this is no JPEG or PNG picture"),
    (b"%PDF-1.7", "lid.jpg: this is no JPEG or PNG picture"),
    (b"\xff\xd8\xff\xe0", "lid.jpg: the picture is damaged; take or send it again"),
    (marked()[:900], "lid.jpg: the picture is damaged; take or send it again"),
    (b"\x89PNG\r\n\x1a\n" + bytes(50), "lid.jpg: the picture is damaged; take or send it again"),
    (png_of(20_000, 20_000), "lid.jpg: "),
    (png_of(7100, 7100), "lid.jpg: 7100 x 7100 is too large; send at most 50 million pixels"),
    (bytes(30_000_001), "lid.jpg: 30 MB is too large; send at most 30 MB"),
])
def test_what_cannot_be_kept_is_refused_in_words(data: bytes, text: str) -> None:
    with pytest.raises(BadPhoto, match=f"^{re.escape(text)}") as told:
        read_photo(data, "lid.jpg")
    assert "\n" not in str(told.value)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from([marked(size=(60, 40)), marked("PNG", size=(60, 40)), png()]), st.data())
def test_damaged_pictures_never_end_in_a_traceback(whole: bytes, data: st.DataObject) -> None:
    spoiled = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 8))):
        spoiled[data.draw(st.integers(0, len(spoiled) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(spoiled)))
    try:
        made = read_photo(bytes(spoiled[:cut]))
    except BadPhoto:
        return
    assert Image.open(io.BytesIO(made.data)).format == "JPEG"


def test_photos_of_a_job_are_kept_and_given_back(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    first = photos.add_photo(store, job_id, marked(), "lid\n.jpg", "Ana", at(1))
    assert (first.name, first.width, first.height, first.who, first.at) == ("lid .jpg", 400, 200, "Ana", at(1))
    assert photos.add_photo(store, job_id, marked(), "again.jpg", "Ben", at(2)) == first, "the same photo is one"
    second = photos.add_photo(store, job_id, png(), "rim.png", "Ben", at(3))
    assert photos.photos_of(store, job_id) == (first, second)
    assert photos.picture(store, first.digest) == read_photo(marked()).data
    files = [path for path in store.where.photos.rglob("*") if path.is_file()]
    assert sorted(path.stem for path in files) == sorted([first.digest, second.digest])
    copied = store.copy(job_id, "Ana", at(4))
    assert photos.photos_of(store, copied.id) == (first, second)
    with pytest.raises(NoSuchDocument):
        photos.add_photo(store, "nowhere", png(), "a.png", "Ana", at())


def test_a_photo_that_is_gone_or_changed_is_told(lite: Store) -> None:
    job_id = lite.start(job(), "Ana", at()).id
    made = photos.add_photo(lite, job_id, png(), "a.png", "Ana", at())
    path = photos.file_of(lite.where.photos, made.digest)
    whole = path.read_bytes()
    path.write_bytes(whole[:-9] + b"damaged..")
    text = f"the photo {made.digest[:12]} is damaged; restore the last backup, or take it again"
    with pytest.raises(StoreCorrupt, match=text):
        photos.picture(lite, made.digest)
    photos.add_photo(lite, job_id, png(), "a.png", "Ana", at())
    assert photos.picture(lite, made.digest) == whole, "taken again, it is whole again"
    path.unlink()
    with pytest.raises(StoreCorrupt, match="is not in the data folder; restore the last backup, or take it again"):
        photos.picture(lite, made.digest)


def test_other_benches_of_a_shop_see_the_photo(cluster: Cluster, tmp_path: Path) -> None:
    url = cluster.fresh()
    here, there = (open_store(where.find(tmp_path / name, url, {}), at()) for name in ("here", "there"))
    job_id = here.start(job(), "Ana", at()).id
    made = photos.add_photo(here, job_id, png(), "a.png", "Ana", at())
    assert photos.picture(there, made.digest) == photos.picture(here, made.digest)
    assert photos.file_of(there.where.photos, made.digest).is_file()
    here.close()
    there.close()


@pytest.mark.parametrize("name", ["../../etc/passwd", "", "a" * 63, "A" * 64, "/" * 64, f"{'a' * 63}\0"])
def test_only_digests_lead_to_files(lite: Store, name: str) -> None:
    with pytest.raises(BadValue, match="a photo is named by the 64 letters and digits of its content"):
        photos.picture(lite, name)
