"""Fonts of the printed pages: where they lie, which letters they have, and what becomes of the others.

The fonts come as packages (Noto, Open Font License), never from the machine, so that a page looks the same
everywhere. A letter that none of them has is printed as its code and told, never as a box.
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import numpy.typing as npt

from finishplan.errors import FinishplanError

FONT_PACKAGES = {
    "fontpkg_noto_sans": "Latin, Greek, Cyrillic, Devanagari",
    "justmytype_intl_rtl": "Arabic, Hebrew",
    "justmytype_intl_sea": "Khmer, Lao, Myanmar, Thai",
    "justmytype_intl_south_asia": "Bengali, Devanagari, Tamil, Telugu",
    "justmytype_intl_cjk": "Japanese, Korean, Chinese",
}
"""Packages that carry fonts, with their scripts, in the order in which a letter is looked for."""
NEEDED = "fontpkg_noto_sans"
"""Nothing prints without this one; without another only its own letters are told as missing."""
FAMILIES = (
    "Noto Sans", "Noto Sans Arabic", "Noto Sans Hebrew", "Noto Sans Khmer", "Noto Sans Lao", "Noto Sans Myanmar",
    "Noto Sans Thai", "Noto Sans Bengali", "Noto Sans Devanagari", "Noto Sans Tamil", "Noto Sans Telugu",
    "Noto Sans JP", "Noto Sans SC", "Noto Sans TC", "Noto Sans KR",
)
"""Families in the order in which a letter is looked for; where Han letters differ, Japan's form is printed."""

JOINERS = "\u200c\u200d"
"""Letters without a shape that some scripts need between two others."""
MAY_BREAK = "\u200b"
"""A space without width, where a line may be broken."""
LONG_WORD, LONG_JOINED, PIECE = 24, 48, 6
"""Letters from which a word may be broken, where they stand alone and where they join; and between its breaks."""
FIRST_JOINED, BREAKS_ITSELF = "\u0590", "\u2e80"
"""First letter of the scripts whose letters join or carry marks; first of those that break at every letter."""
UNICODE_TABLES = ((3, 10), (0, 6), (0, 4), (3, 1), (0, 3))
"""Platform and encoding of the character tables that map Unicode, the fullest first."""

Codes = npt.NDArray[np.int64]


class FontsMissing(FinishplanError):
    """The package with the letters of our own words is not installed."""


@dataclass(frozen=True)
class MissingLetter:
    """A letter that no font here has, and the first text it stands in."""

    letter: str
    text: str

    @property
    def code(self) -> str:
        """The letter's code, as it is printed in place of the letter.

        >>> MissingLetter("\\U0001F3B9", "").code
        '[U+1F3B9]'
        """
        return code_of(self.letter)

    @property
    def named(self) -> str:
        """The code with the letter's name."""
        return f"{self.code} {unicodedata.name(self.letter, 'no known letter').lower()}"

    def __str__(self) -> str:
        return f"{self.named}, in {self.text!r}: no font here has this letter; its code is printed in its place"


@dataclass(frozen=True)
class Letters:
    """Which letters a font has, as ranges of codes."""

    first: Codes
    last: Codes

    def has(self, codes: Codes) -> npt.NDArray[np.bool_]:
        """Return for each code whether the font has it."""
        if not len(self.first):
            return np.zeros(len(codes), dtype=bool)
        at = np.searchsorted(self.first, codes, side="right") - 1
        return (at >= 0) & (codes <= self.last[np.maximum(at, 0)])


@cache
def font_folders() -> tuple[Path, ...]:
    """Return the folders of all installed font packages. Raises FontsMissing where ours is not there."""
    found = []
    for package in FONT_PACKAGES:
        spec = find_spec(package)
        if spec is not None and spec.submodule_search_locations:
            found.append(Path(next(iter(spec.submodule_search_locations))))
        elif package == NEEDED:
            raise FontsMissing(f"the fonts of the printed pages are not installed; try: pip install "
                               f"{package.replace('_', '-')}")
    return tuple(found)


@cache
def letters() -> tuple[Letters, ...]:
    """Return the letters of every font, in the order in which they are asked."""
    return tuple(font_letters(path.read_bytes()) for folder in font_folders()
                 for path in sorted(folder.rglob("*.ttf")) if "Italic" not in path.name)


def font_letters(font: bytes) -> Letters:
    """Return which letters a font has, from its character table (OpenType "cmap", formats 4 and 12).

    Source: OpenType specification, "cmap". Raises FontsMissing where the font has no such table.
    """
    (count,) = struct.unpack_from(">H", font, 4)
    records = (struct.unpack_from(">4sLLL", font, 12 + 16 * k) for k in range(count))
    start = next((at for tag, _, at, _ in records if tag == b"cmap"), None)
    if start is None:
        raise FontsMissing("a font has no table of its letters; install the font packages again")
    (tables,) = struct.unpack_from(">H", font, start + 2)
    found = {(p, e): start + at for p, e, at in
             (struct.unpack_from(">HHL", font, start + 4 + 8 * k) for k in range(tables))}
    at = next((found[key] for key in UNICODE_TABLES if key in found), None)
    form = struct.unpack_from(">H", font, at)[0] if at is not None else None
    if at is None or form not in (4, 12):
        raise FontsMissing("a font has no table of its letters; install the font packages again")
    return groups(font, at) if form == 12 else segments(font, at)


def groups(font: bytes, at: int) -> Letters:
    """Return the letters of a format 12 table."""
    (count,) = struct.unpack_from(">L", font, at + 12)
    table = np.frombuffer(font, ">u4", 3 * count, at + 16).reshape(count, 3).astype(np.int64)
    return Letters(table[:, 0], table[:, 1])


def segments(font: bytes, at: int) -> Letters:
    """Return the letters of a format 4 table; single codes inside a segment may have no glyph."""
    (twice,) = struct.unpack_from(">H", font, at + 6)
    count = twice // 2
    words = np.frombuffer(font, ">u2", 4 * count + 1, at + 14).astype(np.int64)
    last, first = words[:count], words[count + 1:2 * count + 1]
    delta, offset = words[2 * count + 1:3 * count + 1], words[3 * count + 1:]
    codes = []
    for k in range(count - 1):
        run = np.arange(first[k], last[k] + 1)
        if offset[k]:
            base = at + 14 + 2 * (3 * count + 1 + k) + int(offset[k])
            glyphs = np.frombuffer(font, ">u2", len(run), base).astype(np.int64)
            run = run[(glyphs != 0) & ((glyphs + delta[k]) % 65536 != 0)]
        else:
            run = run[(run + delta[k]) % 65536 != 0]
        codes.append(run)
    every = np.concatenate(codes) if codes else np.array([], dtype=np.int64)
    return Letters(every, every)


def without_glyph(text: str) -> frozenset[str]:
    """Return the letters of ``text`` that no font here has."""
    wanted = np.array(sorted({ord(letter) for letter in text} - {ord(c) for c in JOINERS}), dtype=np.int64)
    for font in letters():
        if not len(wanted):
            break
        wanted = wanted[~font.has(wanted)]
    return frozenset(chr(code) for code in wanted)


def code_of(letter: str) -> str:
    """Return a letter's code in brackets.

    >>> code_of("é")
    '[U+00E9]'
    """
    return f"[U+{ord(letter):04X}]"


def shapes_of(text: str) -> str:
    """Return ``text`` on one line, without what has no shape of its own: steering and turning letters.

    Letters of private, unused or half codes stay, to be told.

    >>> shapes_of("lid\\n\\ttop\\u202e")
    'lid top'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    found = []
    for letter in unicodedata.normalize("NFC", text):
        kind = unicodedata.category(letter)
        if letter.isspace() or kind in ("Zl", "Zp", "Zs"):
            found.append(" ")
        elif letter in JOINERS or not (kind in ("Cf", "Cc") or "\ufe00" <= letter <= "\ufe0f"):
            found.append(letter)
    return " ".join("".join(found).split())


def breakable(text: str) -> str:
    """Return ``text`` with places to break a line inside words that are wider than a column.

    >>> breakable("short words"), breakable("a" * 26).split("\u200b")
    ('short words', ['aaaaaa', 'aaaaaa', 'aaaaaa', 'aaaaaa', 'aa'])
    """
    return text if len(text) <= LONG_WORD else " ".join(broken(word) for word in text.split(" "))


def broken(word: str) -> str:
    """Return a word with places to break it, where it is long; never before a mark that sits on a letter."""
    last = max(word, default="")
    longest = LONG_WORD if last < FIRST_JOINED else LONG_JOINED
    if len(word) <= longest or last >= BREAKS_ITSELF:
        return word
    found = ""
    for at, letter in enumerate(word):
        may = at and at % PIECE == 0 and not unicodedata.category(letter).startswith("M")
        found += MAY_BREAK + letter if may else letter
    return found


class Printer:
    """Makes text printable and remembers the letters that could not be."""

    def __init__(self, lost: Iterable[str] = ()) -> None:
        self.lost = frozenset(lost)
        """Letters that a font has and that could not be shown all the same."""
        self.missing: dict[str, MissingLetter] = {}

    def text(self, text: str) -> str:
        """Return ``text`` as it is printed: on one line, letters that no font has as their codes."""
        shown = shapes_of(text)
        if shown.isascii():
            return breakable(shown)
        lost = without_glyph(shown) | self.lost
        for letter in shown:
            if letter in lost:
                self.missing.setdefault(letter, MissingLetter(letter, shown[:60]))
        coded = "".join(code_of(letter) if letter in lost else letter for letter in shown) if lost else shown
        return breakable(coded)


def missing_letters(texts: Iterable[str]) -> tuple[MissingLetter, ...]:
    """Return the letters of ``texts`` that no font here has, each once, in the order in which they come."""
    printer = Printer()
    for text in texts:
        printer.text(text)
    return tuple(printer.missing.values())
