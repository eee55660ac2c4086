"""Files as people keep them: JSON in, JSON out, and one clear line for what cannot be read.

Nothing here trusts its input: size, encoding, depth, doubled keys and numbers that are none are refused
before a model sees them. Files are written beside, flushed, then renamed.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from pathlib import Path
from typing import Any

from finishplan import reference
from finishplan.errors import BadFile

MAX_BYTES = 10_000_000
"""A job file of a whole grand is under 100 kB."""
MAX_DEPTH = 100
LONGEST_NAME = 60
"""Letters of a title that stand in a file's name."""


def read_file(path: Path) -> Any:
    """Return the JSON value in the file at ``path``; raises BadFile naming the remedy."""
    try:
        if path.is_dir():
            raise BadFile("this is a folder; name the job file inside it")
        if path.stat().st_size > MAX_BYTES:
            raise BadFile(too_large(path.stat().st_size))
        with path.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise BadFile("no such file; check the name and the folder") from None
    except PermissionError:
        raise BadFile("this file may not be read; ask its owner for leave") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadFile(f"this file cannot be read ({reason}); check the name and the disk") from None
    return read_bytes(data)


def too_large(size: int) -> str:
    """Return the message for a file over the limit; of what has no end only the start is read."""
    most = MAX_BYTES / 1e6
    found = f"{size / 1e6:.0f}" if size > MAX_BYTES + 1 else f"over {most:.0f}"
    return f"the file has {found} MB; a job or shop file has at most {most:.0f} MB: is it the right file?"


def read_bytes(data: bytes) -> Any:
    """Return the JSON value in ``data``; raises BadFile naming place and remedy."""
    if len(data) > MAX_BYTES:
        raise BadFile(too_large(len(data)))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(f"byte {error.start + 1} is not UTF-8 text; save the file as UTF-8") from None
    if too_deep(text):
        raise BadFile(f"brackets are nested more than {MAX_DEPTH} deep; a job or shop file needs fewer than ten")
    refuse_odd_tokens(text)
    try:
        return json.loads(text, object_pairs_hook=no_doubles)
    except json.JSONDecodeError as error:
        said = error.msg.lower().removesuffix(" at")
        raise BadFile(f"line {error.lineno}, column {error.colno}: this is not JSON ({said}); mend it there") from None


def too_deep(text: str) -> bool:
    """Tell whether brackets outside strings are nested deeper than MAX_DEPTH."""
    depth, quoted, escaped = 0, False, False
    for letter in text:
        if quoted:
            quoted = escaped or letter != '"'
            escaped = letter == "\\" and not escaped
        elif letter == '"':
            quoted = True
        elif letter in "[{":
            depth += 1
            if depth > MAX_DEPTH:
                return True
        elif letter in "]}":
            depth -= 1
    return False


HALF_LETTER = re.compile(
    r"\\(?:u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}|(u[dD][89a-fA-F][0-9a-fA-F]{2})|.)", re.DOTALL
)
"""Escapes: a whole pair, else a half of one (a lone surrogate, group 1), else any other."""
NO_NUMBER = re.compile(r'"(?:\\.|[^"\\])*"|(NaN|-?Infinity|-?\d{31,})', re.DOTALL)
"""Strings, else what Python reads as a number and no measure is (group 1)."""


def refuse_odd_tokens(text: str) -> None:
    """Raise BadFile for half letters, NaN, Infinity and endless digits: no file of ours can hold them."""
    for pattern, said in (
        (HALF_LETTER, "\\{} is half a letter; type that text again"),
        (NO_NUMBER, "{} is not a measure; give a finite number, or null"),
    ):
        for match in pattern.finditer(text):
            if match[1]:
                line = text.count("\n", 0, match.start(1)) + 1
                column = match.start() - text.rfind("\n", 0, match.start())
                token = match[1] if len(match[1]) <= 40 else f"{match[1][:10]}... ({len(match[1])} digits)"
                raise BadFile(f"line {line}, column {column}: {said.format(token)}")


def no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object; refuses a key that stands twice, since one of the two would be lost."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise BadFile(f"key {key[:60]!r} stands twice in one object; keep one of the two")
        found[key] = value
    return found


def read_job_bytes(data: bytes, name: str = "the job file") -> Any:
    """Return the raw job in ``data``; a BadFile's text begins with ``name``."""
    try:
        return read_bytes(data)
    except BadFile as error:
        raise BadFile(f"{name}: {error}") from None


def read_shop_bytes(data: bytes, name: str = "the shop file") -> Any:
    """Return the raw shop in ``data``; a BadFile's text begins with ``name``."""
    return read_job_bytes(data, name)


def file_name(title: str, what: str) -> str:
    """Return a file's name that begins with a job's title, in letters that every file system takes.

    >>> file_name("Salon grand, lid & rim", "job.json"), file_name("?!", "days.pdf")
    ('Salon-grand-lid-rim.job.json', 'days.pdf')
    """
    words = "-".join(re.findall(r"\w+", title))[:LONGEST_NAME].strip("-")
    return f"{words}.{what}" if words else what


def as_text(value: Any) -> str:
    """Return ``value`` as JSON text, readable and with a last line end; never NaN."""
    return json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def write_atomically(path: Path, data: bytes | str, over: bool = True) -> None:
    """Write ``data`` to ``path`` so that a reader sees the old file or the new one, never half.

    ``over`` False raises BadFile where the file exists. Other failures of the disk raise BadFile too.
    """
    raw = data.encode("utf-8") if isinstance(data, str) else data
    temporary = ""
    try:
        if path.parent.exists() and not path.parent.is_dir():
            raise BadFile(f"{path.parent} is a file, not a folder; name a folder")
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as out:
            out.write(raw)
            out.flush()
            os.fsync(out.fileno())
        if over:
            Path(temporary).replace(path)
        else:
            os.link(temporary, path)
            Path(temporary).unlink()
    except FileExistsError:
        Path(temporary).unlink(missing_ok=True)
        raise BadFile(in_the_way(path)) from None
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        raise BadFile(f"{path} cannot be written ({error.strerror}); check the folder and the disk") from None


def in_the_way(path: Path) -> str:
    """Return the message for a file that would be written over."""
    return f"{path} exists already and is not written over; name another folder"


def stands(path: Path) -> bool:
    """Tell whether there is a file at ``path``; a name that no disk can hold is none."""
    try:
        return path.exists()
    except OSError:
        return False


def demo_job_path() -> Path:
    """Return the demo job file that comes along."""
    return reference.data_dir() / "demo" / "lid_and_rim.job.json"


def demo_shop_path() -> Path:
    """Return the demo shop file that comes along."""
    return reference.data_dir() / "demo" / "our_bench.shop.json"
