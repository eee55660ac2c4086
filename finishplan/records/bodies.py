"""What is kept in a revision: a job or shop as compressed JSON with its digest, checked both ways."""

from __future__ import annotations

import hashlib
import json
import unicodedata
import zlib
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Any, TypeVar

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records.faults import StoreCorrupt
from finishplan.records.kept import Opened
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict

MAX_BODY_BYTES = 16_000_000
"""The largest JSON of one revision. A grand with 200 panels is about 0.5 MB."""
KINDS = {"job": "the finish work on one instrument", "shop": "our shop: steps, tools, policy, people, prices",
         "record": "what one service did to an instrument's film", "quote": "a quote as it was sent"}


def _check_shop(raw: Any) -> object:
    return apply_shop(default_profile(), raw)


def _check_record(raw: Any) -> object:
    from finishplan.records.film_records import read_record  # it is kept by way of this module

    return read_record(raw)


def _check_sent(raw: Any) -> object:
    from finishplan.records.sent_quotes import read_sent  # it is kept by way of this module

    return read_sent(raw)


CHECKS: dict[str, Callable[[Any], object]] = {"job": read_job_dict, "shop": _check_shop, "record": _check_record,
                                                     "quote": _check_sent}
"""What reads a body of each kind, and refuses a bad one in one line, before anything is written."""


READ_LAST = 64
"""Jobs that stay read: as many as a shop has open at once, and some."""
_read: dict[str, object] = {}
_lock = Lock()
Read = TypeVar("Read")


def pack(kind: str, body: Mapping[str, Any]) -> tuple[bytes, str]:
    """Return ``body`` checked, as compressed JSON, and its digest; equal bodies have equal digests.

    Raises a FinishplanError for a body that its own reader refuses, or that JSON cannot hold.
    """
    if kind not in KINDS:
        raise UnknownName("kind", kind, KINDS)
    try:
        read = CHECKS[kind](body)
        text = json.dumps(body, ensure_ascii=True, allow_nan=False, sort_keys=True, separators=(",", ":"))
    except RecursionError:
        raise FinishplanError(f"the {kind} is nested too deeply to be kept; take inner lists out") from None
    except (ValueError, TypeError) as error:
        raise FinishplanError(f"the {kind} holds what no file can hold ({error}); correct it") from None
    raw = text.encode("ascii")
    if len(raw) > MAX_BODY_BYTES:
        raise BadValue(
            f"size of the {kind}", f"{len(raw) / 1e6:.0f} MB",
            f"at most {MAX_BODY_BYTES / 1e6:.0f} MB are kept; take out what it does not need",
        )
    digest = hashlib.sha256(raw).hexdigest()
    if kind == "job":
        _remember(digest, read)
    return zlib.compress(raw, 6), digest


def job_of(found: Opened) -> Job:
    """Return a job as it was opened, read; one of those read last is not read again.

    A job that was kept has just been read to be checked, and the page after it asks for it at once. Jobs do not change.
    """
    job = _read.get(found.digest)
    return job if isinstance(job, Job) else _remember(found.digest, read_job_dict(found.body))


def _remember(digest: str, read: Read) -> Read:
    with _lock:
        _read[digest] = read
        while len(_read) > READ_LAST:
            del _read[next(iter(_read))]
    return read


def unpack(blob: bytes, digest: str, place: str) -> dict[str, Any]:
    """Return the body in ``blob``; raises StoreCorrupt, naming ``place``, where it is not what was kept."""
    opened = zlib.decompressobj()
    try:
        raw = opened.decompress(blob, MAX_BODY_BYTES + 1)
    except zlib.error:
        raw = b""
    if hashlib.sha256(raw).hexdigest() != digest:
        raise StoreCorrupt(f"{place} is damaged; open an older revision, or restore the last backup")
    body: dict[str, Any] = json.loads(raw)
    return body


def plain_line(text: object, limit: int = 200) -> str:
    """Return ``text`` as one line that every database can hold: no line ends, NUL, or half characters."""
    cleaned = "".join(" " if c.isspace() or unicodedata.category(c) == "Cc" else c for c in str(text))
    line = " ".join(cleaned.encode("utf-8", "replace").decode().split())
    return line if len(line) <= limit else line[: limit - 3] + "..."


def title_of(body: Mapping[str, Any]) -> str:
    """Return the title of a job, or the name of a shop, as one line."""
    return plain_line(body.get("title") or body.get("name") or "our shop")


def find_text(body: Mapping[str, Any]) -> str:
    """Return what a job is found by: title, customer, instrument and due date, in small letters."""
    instrument = body.get("instrument") or {}
    parts = [body.get("title"), body.get("name"), body.get("customer"), body.get("due")]
    parts += [instrument.get("id"), instrument.get("kind"), instrument.get("year")]
    return folded(" ".join(str(part) for part in parts if part is not None))


def folded(text: str) -> str:
    """Return ``text`` so that what looks the same is the same, large letters or small."""
    return unicodedata.normalize("NFKC", plain_line(text, 1000)).casefold()


def who_line(who: str) -> str:
    """Return who did it as one line; raises BadValue for nobody."""
    name = plain_line(who, 120)
    if not name:
        raise BadValue("who", who, "give the name of the person who does this")
    return name
