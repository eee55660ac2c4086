"""Good input made bad: values, shapes and bytes that nobody means to send, from one seeded generator."""

from __future__ import annotations

import copy
import io
import json
import random
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator
from typing import Any

NASTY: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 10**30, -(10**30), 1e308, -1e308, 1e-320, 0.1, "", " ", "nan", "inf", "1e999",
    "\x00", "\ud800", "‮abc", "😀" * 50, "=1+1", "<script>alert(1)</script>", "'; DROP TABLE document; --",
    "../../etc/passwd", "C:\\windows", "a" * 100_000, [], {}, [[]], [None], {"": None}, "9999-12-31", "0000-00-00",
    "-0001-01-01", "2026-02-30", [1] * 500, "\u202e\u0000\ufffe", "ß" * 300, 4120, 1_000_000,
)
TOKENS = (
    b"NaN", b"Infinity", b"-Infinity", b"1e999", b"-0", b"00", b"1" * 5000, b'"\\ud800"', b"\xff\xfe", b"\x00",
    b"\xef\xbb\xbf", b"[" * 3000, b"{" * 3000, b"]", b"}", b",", b":", b'"', b"\\", b"/*", b"'", b'"a":1,"a":2,',
)
Bytes = Callable[[random.Random, bytes], bytes]


def places(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in plain data, as the keys that lead to it."""
    yield at
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in inner:
        yield from places(part, (*at, key))


def bad_value(dice: random.Random, value: Any) -> Any:
    """The same data with one to four places changed: another number, replaced, left out, doubled, nested, moved."""
    changed = copy.deepcopy(value)
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        at = dice.choice(list(places(changed)))
        if not at:
            continue
        holder = changed
        for key in at[:-1]:
            holder = holder[key]
        act, held = dice.random(), holder[at[-1]]
        if isinstance(held, int | float) and not isinstance(held, bool) and act < 0.7:
            holder[at[-1]] = type(held)(held * 10.0 ** dice.uniform(-2.0, 2.0))
        elif act < 0.6:
            holder[at[-1]] = copy.deepcopy(dice.choice(NASTY))
        elif act < 0.75:
            del holder[at[-1]]
        elif act < 0.85 and isinstance(holder, list):
            holder.extend(copy.deepcopy(holder[at[-1]]) for _ in range(dice.choice((1, 3, 300))))
        elif act < 0.95 and isinstance(holder, dict):
            holder[str(dice.choice(NASTY))[:40]] = copy.deepcopy(holder[at[-1]])
        else:
            deep: Any = holder[at[-1]]
            for _ in range(dice.choice((1, 50, 900))):
                deep = [deep]
            holder[at[-1]] = deep
    return changed


def bad_json(dice: random.Random, value: Any) -> bytes:
    """A file of changed data, its bytes changed too now and then."""
    try:
        text = json.dumps(bad_value(dice, value)).encode()
    except (RecursionError, ValueError):
        text = json.dumps(value).encode()
    if dice.random() < 0.4:
        text = bad_bytes(dice, text)
    if dice.random() < 0.03:
        text = text.decode("utf-8", "replace").encode(dice.choice(("utf-16", "utf-32", "latin-1")), "replace")
    return text


def bad_bytes(dice: random.Random, data: bytes) -> bytes:
    """The same bytes with some cut, doubled, flipped, or something put between."""
    made = bytearray(data)
    for _ in range(dice.randint(1, 3)):
        at = dice.randrange(len(made) + 1)
        act = dice.random()
        if act < 0.2:
            del made[at:]
        elif act < 0.4:
            del made[at:at + dice.choice((1, 2, 30, 1000))]
        elif act < 0.6 and made:
            made[min(at, len(made) - 1)] ^= 1 << dice.randrange(8)
        elif act < 0.8:
            made[at:at] = dice.choice(TOKENS)
        else:
            made[at:at] = made[max(0, at - 200):at] * dice.choice((1, 2, 20))
    return bytes(made[:2_000_000])


def bad_rows(dice: random.Random, table: bytes) -> bytes:
    """A CSV with cells, separators and quotes changed."""
    rows = [line.split(b",") for line in table.splitlines()]
    for _ in range(dice.randint(1, 6)):
        row = dice.choice(rows)
        if row:
            row[dice.randrange(len(row))] = str(dice.choice(NASTY))[:2000].encode("utf-8", "replace")
    if dice.random() < 0.2:
        rows *= dice.choice((2, 50))
    between = dice.choice((b",", b",", b";", b"\t"))
    made = b"\n".join(between.join(row) for row in rows)
    return bad_bytes(dice, made) if dice.random() < 0.3 else made


def bad_zip(dice: random.Random, data: bytes) -> bytes:
    """A zip with a part changed, its directory broken, a bomb or a name that leads elsewhere put in."""
    act = dice.random()
    if act < 0.5:
        return bad_bytes(dice, data)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = old.read(name)
            if dice.random() < 0.4:
                part = bad_bytes(dice, part)
            if dice.random() > 0.05:
                new.writestr(dice.choice((name, name, name, "../" + name, "/" + name)), part)
        if act > 0.9:
            new.writestr(dice.choice(("xl/worksheets/sheet9.xml", "photos/aa", "bomb")), b"\x00" * 30_000_000)
    return out.getvalue()


def png(width: int, height: int, body: bytes = b"") -> bytes:
    """A PNG that says it is so large, whatever it holds."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def bad_photo(dice: random.Random, data: bytes) -> bytes:
    """A photo broken, too large, or no photo at all."""
    act = dice.random()
    if act < 0.75:
        return bad_bytes(dice, data)
    if act < 0.9:
        side = dice.choice((0, 1, 70_000, 2**31 - 1))
        return png(side, dice.choice((1, side)), zlib.compress(b"\x00" * dice.choice((10, 3_000_000))))
    heic = b"\x00\x00\x00\x18ftypheic" + data
    return dice.choice((b"", b"GIF89a" + data, b"<svg onload='alert(1)'/>", heic, b"%PDF-1.7"))
