"""Many marks in few words: letters that follow each other drawn together, marks of the same words in one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce
from itertools import groupby

from finishplan.wording import counted, listed, number_words

FIRST = ord("a")
LETTERS = 26
LEAST_RUN = 4
"""Letters in a row from which they are drawn together."""


def place_of(letter: str) -> int:
    """Return the place of a mark's letter, from 0.

    >>> place_of("a"), place_of("z"), place_of("aa")
    (0, 25, 26)
    """
    return reduce(lambda place, one: place * LETTERS + ord(one) - FIRST + 1, letter, 0) - 1


def letter_runs(letters: Sequence[str]) -> list[str]:
    """Return letters of marks, four and more that follow each other drawn together.

    >>> letter_runs(["a", "b", "d", "e", "f", "g"])
    ['a', 'b', 'd to g']
    """
    found: list[str] = []
    for _, run in groupby(enumerate(letters), key=lambda pair: place_of(pair[1]) - pair[0]):
        names = [letter for _, letter in run]
        found += names if len(names) < LEAST_RUN else [f"{names[0]} to {names[-1]}"]
    return found


def marks_words(marks: Iterable[tuple[str, str]]) -> str:
    """Return marks as letter and words; where many have the same words, these stand once with their number.

    >>> marks_words([("a", "nick"), ("b", "chip")])
    'a nick; b chip'
    >>> marks_words([(letter, "nick") for letter in "abcdef"])
    'a to f nick (six)'
    """
    same: dict[str, list[str]] = {}
    for letter, words in marks:
        same.setdefault(words, []).append(letter)
    if all(len(letters) < LEAST_RUN for letters in same.values()):
        return "; ".join(f"{letter} {words}" for words, letters in same.items() for letter in letters)
    return "; ".join(f"{listed(letter_runs(letters))} {words}" + (f" ({number_words(len(letters))})" if len(
        letters) >= LEAST_RUN else "") for words, letters in same.items())


def times_words(said: Iterable[str]) -> str:
    """Return sentences, those that come more than once with how often.

    >>> times_words(["nick: filled", "scratch: left", "nick: filled"])
    'nick: filled (two times); scratch: left'
    """
    counts: dict[str, int] = {}
    for words in said:
        counts[words] = counts.get(words, 0) + 1
    return "; ".join(words if count == 1 else f"{words} ({counted(count, 'time')})" for words, count in counts.items())
