"""One safety sum as it is shown: the figure, its inputs with their kind, the formula, the limit, the word.

Every one says that it is worked out and not measured, and what it must not be taken for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from finishplan.errors import BadValue, UnknownName
from finishplan.reference import SOURCE_KINDS, Sourced
from finishplan.safety.bounds import not_negative
from finishplan.safety.limits import Limit, digits, digits_up, said_of

BASIS = "worked out, not measured"

BANDS = ((1.0, "not this way"), (0.5, "act"), (0.1, "note"), (0.0, "small by this sum"))
"""Word by the share of a limit, from this share up (assumed; half follows the usual action level)."""
NO_SHARE = "no number"

SUMS = {
    "vapour": "less, slower, more air",
    "styrene": "less, slower, more air",
    "shared limit": "one at a time, more air",
    "LEL": "less liquid, no spark, more air",
    "noise": "quieter tool, less time",
    "vibration": "share it, other tool, less time",
    "MUC": "ask a qualified person",
    "dust scale": "wet, or caught at the tool",
    "lid weight": "more people or a lift",
    "wheel speed": "slower, or a smaller wheel",
}
"""The sums, and what to do first when one of them comes to half of its limit."""


def band(share: float, remedy: str = SUMS["vapour"]) -> str:
    """Return the word for ``share`` of a limit; "act" says what to do. Raises BadValue for no share."""
    value = not_negative("share of the limit", share, "times the limit")
    word = next(word for start, word in BANDS if value >= start)
    return f"act: {remedy}" if word == "act" else word


def share_words(share: float) -> str:
    """Return a share of a limit in two digits, rounded up; in more where two would say another band.

    >>> share_words(0.532), share_words(0.0998), share_words(0.4999)
    ('0.54', '0.0998', '0.4999')
    """
    for count in (2, 3, 4, 5):
        said = digits_up(share, count)
        if said.startswith("under") or band(float(said)) == band(share):
            return said
    return digits_up(share, 6)


@dataclass(frozen=True)
class Worked:
    """One figure of one sum.

    ``value`` is None when no number is possible, and ``no_number`` says why. With a value and no limit
    there is no share, and the word is "no number": a missing limit is never a pass. ``word`` stands
    in for the band where thresholds decide and not a share. ``decides`` is false for figures shown beside
    the one that counts; ``binding`` is true for the rule of the place.
    """

    sum: str
    what: str
    value: float | None
    unit: str
    formula: str
    inputs: tuple[Sourced, ...]
    limit: Limit | None = None
    no_number: str = ""
    no_limit: str = ""
    not_claimed: str = ""
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    about: str = ""
    span: str = ""
    word: str = ""
    decides: bool = True
    binding: bool = False
    basis: str = BASIS

    def __post_init__(self) -> None:
        """Refuse a figure that is neither a number nor a reason, or that hides where a number comes from."""
        if self.sum not in SUMS:
            raise UnknownName("sum", self.sum, SUMS)
        if (self.value is None) != bool(self.no_number):
            raise BadValue("value", self.value, "give a value, or the reason why there is none")
        for one in self.inputs:
            if one.kind not in SOURCE_KINDS:
                raise UnknownName(f"source kind of {one.name}", one.kind, SOURCE_KINDS)

    @property
    def share(self) -> float | None:
        """The value as a share of the limit, or None."""
        return None if self.value is None or self.limit is None else self.value / self.limit.value

    @property
    def band(self) -> str:
        """The word for the figure: its own, else the band of its share, "no number" when there is none."""
        if self.word and self.value is not None:
            return self.word
        return NO_SHARE if self.share is None else band(self.share, SUMS[self.sum])

    @property
    def rounded(self) -> str:
        """The value in three digits, rounded the way that does not flatter; a mask's ceiling rounds down."""
        if self.value is None:
            return NO_SHARE
        return digits(math.floor(self.value), 3) if self.sum == "MUC" else digits_up(self.value, 3)

    @property
    def said(self) -> str:
        """The figure in one sentence."""
        if self.value is None:
            return f"{self.what}: {NO_SHARE}, {self.no_number}"
        if self.share is None or self.limit is None:
            reason = f"; {self.no_limit}" if self.no_limit else ""
            word = f": {self.word}" if self.word else ""
            return f"{self.what}: {self.rounded} {self.unit}{word}{reason} ({self.basis})"
        return (f"{self.what}: {self.rounded} {self.unit}, by this sum {share_words(self.share)} of the limit "
                f"{said_of(self.limit)}: {self.band} ({self.basis})")


def deciding(figures: Iterable[Worked]) -> Worked | None:
    """Return the figure that decides: one without a number first, else the greatest share; None of none."""
    counted = [one for one in figures if one.decides]
    blank = next((one for one in counted if one.value is None), None)
    shared = [one for one in counted if one.share is not None]
    return blank or max(shared, key=lambda one: one.share or 0.0, default=None)


def typed(name: str, value: float, unit: str, source: str = "typed in by our shop") -> Sourced:
    """Return an input that the shop gave."""
    return Sourced(name, value, unit, "measured here", source)


def assumed(name: str, value: float, unit: str, source: str) -> Sourced:
    """Return an input that nobody gave and the program assumes."""
    return Sourced(name, value, unit, "assumed", source)


def number_of(given: Sourced) -> float:
    """Return the number of an input. Raises BadValue when it is words."""
    if isinstance(given.value, str):
        raise BadValue(given.name, given.value, f"give a number of {given.unit}")
    return given.value
