"""Signing for a "stop": a name, a date and a reason before the step concerned is opened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from finishplan import reference
from finishplan.errors import BadValue, UnknownName
from finishplan.safety.cautions import Caution

STOP = "stop"
LEAST_REASON = 3
"""Fewest letters of a reason: it says what was done, not "ok"."""


@dataclass(frozen=True)
class SignOff:
    """One stop caution signed for: who, when, what was done about it, and for which revision of the job.

    ``date`` is written year-month-day. Raises UnknownName for a caution that is no stop of the table, and
    BadValue for a blank name, a date that is none, a reason of fewer than three letters, a revision under 0.
    """

    caution_id: str
    name: str
    date: str
    reason: str
    revision: int

    def __post_init__(self) -> None:
        """Refuse a signature that says too little."""
        stops = [row["id"] for row in reference.rows("cautions") if row["severity"] == STOP]
        if self.caution_id not in stops:
            raise UnknownName("stop caution", self.caution_id, stops)
        if not self.name.strip():
            raise BadValue("name", self.name, "write who signs", f"sign-off of {self.caution_id}")
        if sum(letter.isalpha() for letter in self.reason) < LEAST_REASON:
            raise BadValue("reason", self.reason, "write what was done about it", f"sign-off of {self.caution_id}")
        if not is_day(self.date):
            raise BadValue("date", self.date, "write a day as 2025-03-09", f"sign-off of {self.caution_id}")
        if isinstance(self.revision, bool) or not isinstance(self.revision, int) or self.revision < 0:
            raise BadValue("revision", self.revision, "give a whole number, 0 or more",
                           f"sign-off of {self.caution_id}")


def is_day(text: str) -> bool:
    """Tell whether ``text`` is a day written year-month-day.

    >>> is_day("2024-02-29"), is_day("2023-02-29"), is_day("9.3.2025")
    (True, False, False)
    """
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def open_stops(
    cautions: Iterable[Caution], sign_offs: Iterable[SignOff], revision: int | None = None
) -> tuple[Caution, ...]:
    """Return the stop cautions that nobody has signed for yet, worst first as given.

    With ``revision``, only what was signed for that revision of the job counts: a changed job is read again.
    """
    signed = {one.caution_id for one in sign_offs if revision is None or one.revision == revision}
    return tuple(caution for caution in cautions if caution.severity == STOP and caution.id not in signed)
