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

    ``date`` is written year-month-day; ``ground`` is what the caution rested on when it was signed for (see
    ``ground_of``), empty where that was not kept. Raises UnknownName for a caution that is no stop of the table, and
    BadValue for a blank name, a date that is none, a reason of fewer than three letters, a revision under 0.
    """

    caution_id: str
    name: str
    date: str
    reason: str
    revision: int
    ground: str = ""

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

    A signature given on other ground does not count: another trigger, other words or another sum are read again.
    With ``revision``, only what was signed for that revision of the job counts.
    """
    given = [one for one in sign_offs if revision is None or one.revision == revision]
    return tuple(caution for caution in cautions
                 if caution.severity == STOP and not any(counts(one, caution) for one in given))


def ground_of(caution: Caution) -> str:
    """Return what a caution rests on, line by line: its words, why it is here, what is said beside it, its sums."""
    sums = [f"{figure.what}: {figure.said}" for figure in caution.figures if figure.decides]
    return "\n".join([caution.text, caution.trigger, *caution.notes, *sums])


def counts(one: SignOff, caution: Caution) -> bool:
    """Tell whether a signature is for this caution on the ground that it has now."""
    return one.caution_id == caution.id and one.ground in ("", ground_of(caution))


def last_for(caution: Caution, sign_offs: Iterable[SignOff]) -> SignOff | None:
    """Return the last signature for a caution that counts, else the last one that no longer does, else None."""
    given = [one for one in sign_offs if one.caution_id == caution.id]
    standing = [one for one in given if counts(one, caution)]
    found = standing or given
    return found[-1] if found else None


def changed_ground(one: SignOff, caution: Caution) -> tuple[str, ...]:
    """Return what a caution said when it was signed for and says no longer, line by line; empty where it counts."""
    now = ground_of(caution).split("\n")
    return tuple(line for line in one.ground.split("\n") if line not in now) if not counts(one, caution) else ()
