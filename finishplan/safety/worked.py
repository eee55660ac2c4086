"""One safety sum as it is shown: the figure, its inputs with their kind, the formula, the limit, the word.

Every one says that it is worked out and not measured, and what it must not be taken for.
"""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.errors import BadValue, UnknownName
from finishplan.reference import SOURCE_KINDS, Sourced
from finishplan.safety.bounds import not_negative
from finishplan.safety.limits import Limit, said_of

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


@dataclass(frozen=True)
class Worked:
    """One figure of one sum.

    ``value`` is None when no number is possible, and ``no_number`` says why. With a value and no limit
    there is no share, and the word is "no number": a missing limit is never a pass.
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
        """The word for the share; "no number" when there is none."""
        return NO_SHARE if self.share is None else band(self.share, SUMS[self.sum])

    @property
    def said(self) -> str:
        """The figure in one sentence."""
        if self.value is None:
            return f"{self.what}: {NO_SHARE}, {self.no_number}"
        if self.share is None or self.limit is None:
            reason = f"; {self.no_limit}" if self.no_limit else ""
            return f"{self.what}: {self.value:.3g} {self.unit}{reason} ({self.basis})"
        return (f"{self.what}: {self.value:.3g} {self.unit}, by this sum {self.share:.2g} of the limit "
                f"{said_of(self.limit)}: {self.band} ({self.basis})")
