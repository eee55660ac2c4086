"""Photos: read as JPEG or PNG, turned upright, shrunk, stripped of all else, and kept by their content."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import threading
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from PIL import Image, ImageOps
from sqlalchemy import insert, select

from finishplan.errors import BadValue, FinishplanError
from finishplan.records.bodies import plain_line, who_line
from finishplan.records.database import is_postgres
from finishplan.records.faults import StoreCorrupt, spoken
from finishplan.records.files import write_atomically
from finishplan.records.kept import PhotoRow
from finishplan.records.revisions import document_row
from finishplan.records.schema import photo as photo_table
from finishplan.records.schema import photo_data
from finishplan.records.store import Store

MAX_PHOTO_BYTES = 30_000_000
MAX_PIXELS = 50_000_000
"""A picture of more pixels is not unpacked: a small file can hold one that fills the memory."""
LONGEST_SIDE_PX = 1600
JPEG_QUALITY = 85
ONE_AT_A_TIME = threading.Lock()
"""Unpacking one large picture takes up to 0.7 GB; two at once would be too much for a small machine."""
FORMATS = {"JPEG": ".jpg, .jpeg", "PNG": ".png"}
HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"heif")
# What the picture library is known to raise for damaged or hostile files.
DAMAGED = (
    OSError, SyntaxError, ValueError, TypeError, IndexError, KeyError, EOFError, OverflowError, MemoryError,
    struct.error, zlib.error, Image.DecompressionBombError, Image.DecompressionBombWarning,
)


class BadPhoto(FinishplanError):
    """A file that cannot be kept as a photo; the message says what to send instead."""


@dataclass(frozen=True)
class Photo:
    """A photo ready to be kept: an upright JPEG without place or camera data, named by its content."""

    digest: str
    data: bytes
    width: int
    height: int


def read_photo(data: bytes, name: str = "photo") -> Photo:
    """Return the photo in ``data`` (JPEG or PNG), upright, at most 1600 px long, without metadata.

    Raises BadPhoto, one line, for HEIC, other kinds, damaged, empty and too large files.
    """
    shown_name = plain_line(name, 60) or "photo"
    if len(data) > MAX_PHOTO_BYTES:
        raise BadPhoto(
            f"{shown_name}: {len(data) / 1e6:.0f} MB is too large; send at most {MAX_PHOTO_BYTES // 10**6} MB"
        )
    if data[4:8] == b"ftyp" and data[8:12] in HEIC_BRANDS:
        raise BadPhoto(
            f"{shown_name}: this is a HEIC picture, which is not read here; "
            "set the camera to JPEG (most compatible), or share the photo as JPEG"
        )
    if not data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")):
        raise BadPhoto(f"{shown_name}: this is no JPEG or PNG picture; send a photo as JPEG or PNG")
    try:
        with ONE_AT_A_TIME:
            picture = _upright(data, shown_name)
    except DAMAGED:
        raise BadPhoto(f"{shown_name}: the picture is damaged; take or send it again") from None
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=JPEG_QUALITY, optimize=True)
    content = made.getvalue()
    return Photo(hashlib.sha256(content).hexdigest(), content, picture.width, picture.height)


def _upright(data: bytes, name: str) -> Image.Image:
    with Image.open(io.BytesIO(data), formats=tuple(FORMATS)) as picture:
        if picture.width * picture.height > MAX_PIXELS:
            raise BadPhoto(
                f"{name}: {picture.width} x {picture.height} is too large; send at most "
                f"{MAX_PIXELS // 10**6} million pixels"
            )
        picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        picture.load()
        wanted = "RGBA" if picture.has_transparency_data else "RGB"
        # A large picture that has the right mode already is shrunk in place: half the memory.
        small: Image.Image = picture if picture.mode == wanted else picture.convert(wanted)
        small.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
        upright = ImageOps.exif_transpose(small)
    clean = Image.new("RGB", upright.size, "white")
    # Only the pixels go on: the new picture carries no place, camera or text fields of the old one.
    clean.paste(upright, mask=upright.getchannel("A") if wanted == "RGBA" else None)
    return clean


def add_photo(
    store: Store, document_id: str, data: bytes, name: str, who: str, at: datetime
) -> PhotoRow:
    """Keep a photo of a job and return its row; its digest is what a defect's ``photos`` list.

    The file is on the disk before the row that names it. The same photo twice is kept once.
    """
    made = read_photo(data, name)
    with store.reading() as connection:
        document_row(connection, document_id)
    keep_file(store.where.photos, made.digest, made.data)
    values: dict[str, Any] = {
        "document_id": document_id, "digest": made.digest, "name": plain_line(name, 120) or "photo",
        "width": made.width, "height": made.height, "who": who_line(who), "at": at,
    }
    with store.writing() as connection:
        document_row(connection, document_id, to_write=True)
        key = (photo_table.c.document_id == document_id) & (photo_table.c.digest == made.digest)
        if connection.execute(select(photo_table).where(key)).first() is None:
            connection.execute(insert(photo_table).values(values))
        if is_postgres(store.engine):
            keep_in_server(connection, made.digest, made.data)
        row = connection.execute(select(photo_table).where(key)).one()
        return _row(row)


def keep_in_server(connection: Any, digest: str, data: bytes) -> None:
    """Keep a picture in PostgreSQL too, where the shop's other benches find it."""
    from sqlalchemy.dialects.postgresql import insert as insert_or_leave

    connection.execute(insert_or_leave(photo_data).values(digest=digest, data=data).on_conflict_do_nothing())


def photos_of(store: Store, document_id: str) -> tuple[PhotoRow, ...]:
    """Return the photos of a job in the order they were taken in."""
    with store.reading() as connection:
        document_row(connection, document_id)
        asked = select(photo_table).where(photo_table.c.document_id == document_id)
        rows: Sequence[Any] = connection.execute(asked.order_by(photo_table.c.at, photo_table.c.digest)).all()
    return tuple(_row(row) for row in rows)


def picture(store: Store, digest: str) -> bytes:
    """Return the JPEG of a photo. Raises StoreCorrupt where its file is gone or was changed."""
    path = file_of(store.where.photos, digest)
    with spoken(str(path)):
        content = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(content).hexdigest() == digest:
        return content
    if is_postgres(store.engine):
        with store.reading() as connection:
            found = connection.scalar(select(photo_data.c.data).where(photo_data.c.digest == digest))
        if found is not None:
            keep_file(store.where.photos, digest, bytes(found))
            return bytes(found)
    state = "is damaged" if content else "is not in the data folder"
    raise StoreCorrupt(f"the photo {digest[:12]} {state}; restore the last backup, or take it again")


def file_of(folder: Path, digest: str) -> Path:
    """Return the file of a photo inside ``folder``; raises BadValue for what is no digest."""
    if len(digest) != 64 or not set(digest) <= set("0123456789abcdef"):
        raise BadValue("photo", digest, "a photo is named by the 64 letters and digits of its content")
    return folder / digest[:2] / f"{digest}.jpg"


def keep_file(folder: Path, digest: str, data: bytes) -> bool:
    """Put a picture into ``folder`` unless it is there whole; return whether it was written."""
    path = file_of(folder, digest)
    with spoken(str(folder)):
        if path.is_file() and path.read_bytes() == data:
            return False
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_atomically(path, data)
        flush_folder(path.parent)
    return True


def flush_folder(folder: Path) -> None:
    """Flush a folder's list of names to the disk, where the system can do that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _row(row: Any) -> PhotoRow:
    return PhotoRow(row.digest, row.name, row.width, row.height, row.who, row.at)
