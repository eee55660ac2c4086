"""The cautions a job raises, worst first, each with the sums behind it."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan import reference
from finishplan.planning.result import Plan
from finishplan.safety.caution_words import FIGURES, NOTHING_TO_SUM, VALUES, blanks_of, notes_of, words_of
from finishplan.safety.day_sums import DaySums, day_sums
from finishplan.safety.on_this_job import on_this_job
from finishplan.safety.situation import Situation
from finishplan.safety.triggers import KEYS, Raised, raises
from finishplan.safety.worked import Worked
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

SEVERITIES = {
    "stop": "do not start before it is dealt with",
    "high": "can injure",
    "medium": "do it",
    "info": "know it",
}
"""Severities, worst first."""


@dataclass(frozen=True)
class Caution:
    """One caution as it is shown: what to do, why it appears, the sums behind it where there are any."""

    id: str
    hazard: str
    severity: str
    text: str
    trigger: str
    sum: str
    check_locally: str
    source: str
    trust: str
    figures: tuple[Worked, ...] = ()
    """The sums behind it, each with its inputs, formula and limit."""
    notes: tuple[str, ...] = ()
    """What is said beside it of this job alone."""
    on_this_job: str = ""
    """The facts of this job that meet the trigger, where the trigger alone leaves a question."""

    @property
    def here_because(self) -> str:
        """Why it appears: its trigger, and what meets it on this job."""
        return f"{self.trigger}. On this job: {self.on_this_job}" if self.on_this_job else self.trigger

    @property
    def without_figure(self) -> str:
        """Why there is no figure although the caution rests on a sum; empty where it needs none or has one."""
        return "" if self.figures or not self.sum else NOTHING_TO_SUM.get(self.sum, "there is nothing to work out")


def cautions(job: Job, plan: Plan, profile: Profile) -> tuple[Caution, ...]:
    """Return the cautions of a job, worst first.

    Raises UnknownName, UnknownKey and BadValue for a limit of the shop's file that cannot be used.
    """
    situation = Situation(job, plan, profile)
    return raised_cautions(Raised(situation, day_sums(situation)))


def raised_cautions(raised: Raised) -> tuple[Caution, ...]:
    """Return the cautions that a job's facts and sums raise, worst first, in the order of the table."""
    found = [caution_of(row, raised) for row in reference.rows("cautions") if raises(row["trigger_key"], raised)]
    return tuple(sorted(found, key=lambda caution: list(SEVERITIES).index(caution.severity)))


def caution_of(row: dict[str, str], raised: Raised) -> Caution:
    """Return a table row as a caution of this job."""
    figures = FIGURES[row["id"]](raised) if row["id"] in FIGURES else ()
    return Caution(
        row["id"], row["hazard"], row["severity"], words_of(row["id"], row["text"], raised), row["trigger"],
        row["backed_by_sum"], row["check_locally"], row["source"], row["trust"], figures,
        notes_of(row["id"], raised), on_this_job(row["trigger_key"], raised),
    )


def other_figures(raised: tuple[Caution, ...], sums: DaySums) -> tuple[Worked, ...]:
    """Return the figures of the day that stand behind none of the cautions raised."""
    shown = {figure for caution in raised for figure in caution.figures}
    return tuple(figure for figure in sums.figures if figure not in shown)


def sums_not_worked_out() -> tuple[str, ...]:
    """Return the sums that cautions rest on and that this version does not work out; none is left out."""
    rows = reference.rows("cautions")
    waiting = {
        row["backed_by_sum"] for row in rows
        if row["trigger_key"] not in KEYS or (blanks_of(row["text"]) and row["id"] not in VALUES)
        or (row["backed_by_sum"] and row["id"] not in FIGURES)
    }
    return tuple(sorted(waiting - {""}))
