"""Plain text in columns: how wide a name prints, cutting it, wrapping it, whatever script it is in."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import cache

WIDTH = 80
"""Columns of a sheet."""
CUT = "..."
"""Says that a text goes on."""
NOT_PRINTED = "?"
"""Stands for a character that has no shape of its own on paper."""
DROPPED = ("Cf", "Me", "Mn")


def plain(text: str) -> str:
    """Return ``text`` on one line, without characters that move the cursor or turn the writing round.

    Accents that Unicode can fold into their letter are folded; marks that stay apart are kept.

    >>> plain("lid\\n top\\u202e")
    'lid top'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    found = []
    for char in unicodedata.normalize("NFC", text):
        kind = unicodedata.category(char)
        if char.isspace() or kind in ("Zl", "Zp", "Zs"):
            found.append(" ")
        elif kind == "Cf" or char == "\ufe0f":
            continue
        elif kind in ("Cc", "Cs", "Co", "Cn"):
            found.append(NOT_PRINTED)
        else:
            found.append(char)
    return " ".join("".join(found).split())


@cache
def char_width(char: str) -> int:
    """Return the columns of one character: two for wide scripts, none for marks set over a letter."""
    if unicodedata.category(char) in DROPPED:
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def width_of(text: str) -> int:
    """Return the columns that ``text`` takes.

    >>> width_of("lid"), width_of("蓋")
    (3, 2)
    """
    return len(text) if text.isascii() else sum(char_width(char) for char in text)


def head_of(text: str, columns: int) -> str:
    """Return as much of ``text`` as fits in ``columns``."""
    if text.isascii():
        return text[:columns]
    used = 0
    for place, char in enumerate(text):
        used += char_width(char)
        if used > columns:
            return text[:place]
    return text


def fitted(text: str, columns: int) -> str:
    """Return ``text`` made plain, cut with "..." where it is wider than ``columns`` (at least 3).

    >>> fitted("main lid, top face", 10)
    'main li...'
    """
    text = plain(text)
    if width_of(text) <= columns:
        return text
    return head_of(text, columns - len(CUT)).rstrip() + CUT


def padded(text: str, columns: int, keep: bool = False) -> str:
    """Return ``text`` cut or filled with spaces to exactly ``columns``; ``keep`` spares its own spaces.

    >>> padded("lid", 5) + "|"
    'lid  |'
    """
    text = text if keep else fitted(text, columns)
    return text + " " * (columns - width_of(text))


def wrapped(text: str, columns: int = WIDTH, first: str = "", rest: str | None = None) -> list[str]:
    """Return ``text`` in lines of at most ``columns``, led by ``first``, then by ``rest`` (as wide blanks).

    A word wider than a line is broken.

    >>> wrapped("no line left", 10, "- ")
    ['- no line', '  left']
    """
    rest = " " * width_of(first) if rest is None else rest
    lines, line, lead = [], "", first
    for word in pieces(plain(text).split(), columns - max(width_of(first), width_of(rest))):
        longer = f"{line} {word}" if line else word
        if line and width_of(lead) + width_of(longer) > columns:
            lines.append((lead + line).rstrip())
            line, lead = word, rest
        else:
            line = longer
    lines.append((lead + line).rstrip())
    return lines


def pieces(words: Iterable[str], columns: int) -> list[str]:
    """Return ``words`` with those wider than ``columns`` broken."""
    found = []
    for word in words:
        while width_of(word) > columns:
            piece = head_of(word, columns) or word[0]
            found.append(piece)
            word = word[len(piece):]
        if word:
            found.append(word)
    return found
