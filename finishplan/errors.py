"""Typed errors: one class a fact, and each says in one line what is wrong and what to do.

Nothing below the edge prints. The command line and the pages show ``str(error)``.
"""

from __future__ import annotations

import difflib
import json
import math
from collections.abc import Iterable


class FinishplanError(Exception):
    """Something a person can mend; ``str()`` is one line in the words of the trade."""


class BadValue(FinishplanError):
    """A value that cannot be used: where it stands, what it is, what to do."""

    def __init__(self, what: str, value: object, remedy: str, where: str = "") -> None:
        self.what, self.value, self.remedy, self.where = what, getattr(value, "filed", value), remedy, where
        place = f"{where}: " if where else ""
        super().__init__(f"{place}{what} is {shown(value)}; {remedy}")


class BadFile(FinishplanError):
    """A file that cannot be read at all; the message names what it is and the remedy."""


class UnknownName(BadValue):
    """A name outside a closed list; the message lists the choices and the nearest one."""

    def __init__(self, what: str, value: object, choices: Iterable[str], where: str = "") -> None:
        names = list(choices)
        close = nearest_grade(str(value), names) or nearest(str(value), [n for n in names if not grade_parts(n)[1]])
        hint = f"did you mean {close!r}? " if close else ""
        self.choices = tuple(names)
        super().__init__(what, value, f"{hint}choose one of: {', '.join(names)}", where)


class UnknownKey(FinishplanError):
    """A key that the format does not have; names the nearest key that it has."""

    def __init__(self, key: str, known: Iterable[str], where: str = "") -> None:
        names = sorted(known)
        close = nearest(key, names, 0.4)
        remedy = f"did you mean {close!r}?" if close else f"known keys: {', '.join(names)}"
        place = f"{where}: " if where else ""
        self.key = key
        super().__init__(f"{place}unknown key {shown(key)}; {remedy}")


class NoSequence(FinishplanError):
    """No legal sequence of steps does what is asked; names the pair or place that breaks."""


class TableError(FinishplanError):
    """A reference table without a source, a number, or a unit where one must stand."""


class AsFiled:
    """A value out of a JSON file, written in messages as the file has it: null, true, {"x": 1}."""

    def __init__(self, filed: object) -> None:
        self.filed = filed

    def __str__(self) -> str:
        return json.dumps(self.filed, ensure_ascii=False, default=str)


def as_filed(value: object) -> object:
    """Return ``value`` so that messages write it as its JSON file does; text and numbers are alike in both.

    >>> shown(as_filed(None)), shown(as_filed([True])), shown(as_filed(2.0)), shown(as_filed("x"))
    ('null', '[true]', '2', "'x'")
    """
    return value if isinstance(value, (str, int, float)) and not isinstance(value, bool) else AsFiled(value)


def nearest(word: str, known: Iterable[str], cutoff: float = 0.7) -> str | None:
    """Return the known name most like ``word``, or None when nothing is near."""
    names = list(known)
    by_lower = {name.lower(): name for name in names}
    found = difflib.get_close_matches(word.lower()[:80], list(by_lower), n=1, cutoff=cutoff)
    return by_lower[found[0]] if found else None


def nearest_grade(word: str, known: Iterable[str]) -> str | None:
    """Return the known name of the same letters whose number is nearest, or None.

    Grades of two systems are never offered for each other: US 600 is far from P600.

    >>> nearest_grade("p1300", ["P1200", "P1500"]), nearest_grade("US 600", ["P600", "P800"])
    ('P1200', None)
    """
    letters, number = grade_parts(word)
    parts = [(name, *grade_parts(name)) for name in known]
    alike = [(abs(math.log(n / number)), name) for name, of, n in parts if number and n and of == letters]
    return min(alike)[1] if alike else None


def grade_parts(name: str) -> tuple[str, int]:
    """Return the letters and the number of a grade; the number is 0 where there is none."""
    digits = "".join(c for c in name[:80] if c in "0123456789")
    return "".join(c for c in name.lower() if c.isalpha()), int(digits or 0)


def shown(value: object) -> str:
    """Return ``value`` as it may stand in a one-line message: short, printable, in one row."""
    if isinstance(value, float) and math.isfinite(value):
        return f"{value:.12g}"
    text = printable(repr(value) if isinstance(value, str) else str(value))
    return text if len(text) <= 60 else text[:57] + "..."


def printable(text: str) -> str:
    """Return ``text`` in one row that any terminal can show: what it cannot is written as an escape.

    >>> printable("a\\nb")
    'a\\\\nb'
    """
    return "".join(c if c.isprintable() else c.encode("unicode_escape", "surrogatepass").decode() for c in text)
