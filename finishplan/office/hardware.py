"""Hardware off, polished and refitted: minutes of each task, and what must not be polished."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from finishplan import reference
from finishplan.errors import UnknownName
from finishplan.office.terms import OfficeFigures
from finishplan.survey.job import HardwareTask, Job

DOES = {
    "off": "taken off",
    "cover": "covered or plugged",
    "turn": "turned or moved",
    "polish": "polished",
    "keytops": "keytops buffed",
}
"""Kinds of hardware task."""

BRASS_WORK = {
    "solid": ("polish", "polished off the instrument on a wheel of its own"),
    "plated": ("clean", "plated: cleaned only, polishing goes through the plating"),
    "lacquered": ("wash", "lacquered: washed only; to shine it must be stripped and lacquered anew"),
    "unknown": ("clean", "brass not identified: cleaned only"),
}
"""What each kind of brass allows. Conservation notes (published) for plated and lacquered."""

NO_KEYTOPS = "keytops not shown to be plastic: cleaned only; ivory and cellulose nitrate never go near a wheel"


@dataclass(frozen=True)
class HardwareRow:
    """One row of the table of hardware tasks."""

    task: str
    does: str
    people: int
    person_minutes: float
    refit: bool
    clean_minutes: float
    note: str
    source_kind: str
    clean_kind: str
    """Source kind of the minutes of cleaning alone."""


@dataclass(frozen=True)
class HardwareWork:
    """One piece of hardware work of a job: person-minutes of all people together."""

    what: str
    does: str
    """off, cover, turn, polish, keytops, clean, wash, refit"""
    people: int
    person_minutes: float
    wheel: bool
    note: str
    source_kind: str


@cache
def hardware_table() -> dict[str, HardwareRow]:
    """Return the hardware tasks by name."""
    return {row["task"]: row_of(row) for row in reference.rows("hardware_minutes")}


def row_of(row: dict[str, str]) -> HardwareRow:
    """Return one row of the table as typed values."""
    return HardwareRow(
        task=row["task"], does=row["does"], people=int(row["people"]), person_minutes=float(row["person_minutes"]),
        refit=row["refit"] == "yes", clean_minutes=reference.number(row, "clean_minutes") or 0.0, note=row["note"],
        source_kind=row["source_kind"], clean_kind=row["source_kind"],
    )


def own_row(row: HardwareRow, figures: OfficeFigures) -> HardwareRow:
    """Return a row with the shop's own minutes where it gives some."""
    minutes, kind = figures.minutes_of("hardware_min", row.task)
    clean, clean_kind = figures.minutes_of("hardware_clean_min", row.task) if row.clean_minutes else (0.0, kind)
    return replace(row, person_minutes=minutes, source_kind=kind, clean_minutes=clean, clean_kind=clean_kind)


def find_task(name: str, number: int) -> HardwareRow:
    """Return a hardware task by name; raises UnknownName with the choices."""
    if name not in hardware_table():
        raise UnknownName("task", name, hardware_table(), f"hardware task {number}")
    return hardware_table()[name]


def hardware_work(job: Job, figures: OfficeFigures, plastic_keytops: bool = False) -> tuple[HardwareWork, ...]:
    """Return the hardware work of a job: off and covered, then cleaned or polished, then refitted.

    Refitting takes ``refit_factor`` x taking off (assumed). ``plastic_keytops`` says that the keytops
    were identified as plastic; without that they are cleaned, not buffed. Raises UnknownName for a task
    that the table does not have.
    """
    rows = [(task, own_row(find_task(task.task, number), figures))
            for number, task in enumerate(job.hardware, start=1)]
    first = [as_listed(task, row) for task, row in rows if row.does in ("off", "cover", "turn")]
    shone = [shine(task, row, plastic_keytops) for task, row in rows if row.does in ("polish", "keytops")]
    refit = [refitted(task, row, figures) for task, row in rows if row.refit]
    return (*first, *shone, *refit)


def times(task: HardwareTask, name: str) -> str:
    """Return a task's name with its count above one."""
    return name if task.count == 1 else f"{name} x {task.count}"


def as_listed(task: HardwareTask, row: HardwareRow) -> HardwareWork:
    """Return a task done as the table says."""
    return HardwareWork(times(task, row.task), row.does, row.people, task.count * row.person_minutes, False,
                        row.note, row.source_kind)


def shine(task: HardwareTask, row: HardwareRow, plastic_keytops: bool) -> HardwareWork:
    """Return a polishing task as what the piece is made of allows."""
    if row.does == "keytops":
        does, note = ("keytops", row.note) if plastic_keytops else ("clean", NO_KEYTOPS)
    else:
        does, note = BRASS_WORK[task.brass]
    full = does in ("polish", "keytops")
    minutes = row.person_minutes if full else row.clean_minutes
    name = row.task if full else f"{row.task}: {does} only"
    kind = row.source_kind if full else row.clean_kind
    return HardwareWork(times(task, name), does, row.people, task.count * minutes, full, note, kind)


def refitted(task: HardwareTask, row: HardwareRow, figures: OfficeFigures) -> HardwareWork:
    """Return the refitting of what was taken off."""
    name = row.task.replace(" off", "").replace(" out and cradled", "")
    return HardwareWork(
        times(task, f"{name} refitted"), "refit", row.people,
        task.count * row.person_minutes * figures.refit_factor, False,
        f"{figures.refit_factor:g} x taking off", "assumed",
    )
