"""The solvents of a job, each substance once: how much of it, and how long it takes to evaporate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from finishplan.safety.bounds import DAY_MIN
from finishplan.safety.tables import Substance, find_substance
from finishplan.survey.job import Solvent


@dataclass(frozen=True)
class Used:
    """One substance of the job."""

    name: str
    """As the table has it; as it was typed where no table does."""
    ml: float
    """All of it together [ml]."""
    minutes: float
    """How long it takes to evaporate [min]."""
    minutes_from: str
    """typed, assumed, or fastest entry"""
    record: Substance | None


def drawn_together(solvents: Iterable[Solvent], wipe_minutes: float) -> tuple[Used, ...]:
    """Return the job's solvents by substance; an entry without minutes dries in ``wipe_minutes`` [min].

    Several entries of one substance evaporate together at the rate of the fastest of them: an upper value.
    """
    entries: dict[str, list[Solvent]] = {}
    for one in solvents:
        record = find_substance(one.substance)
        entries.setdefault(record.name if record else one.substance.casefold(), []).append(one)
    return tuple(used(found, wipe_minutes) for found in entries.values())


def used(entries: list[Solvent], wipe_minutes: float) -> Used:
    """Return the entries of one substance drawn together; see ``drawn_together``."""
    record = find_substance(entries[0].substance)
    name = record.name if record else entries[0].substance
    ml = sum(one.ml for one in entries)
    if len(entries) == 1:
        minutes, source = entries[0].minutes, "typed"
        return Used(name, ml, minutes or wipe_minutes, source if minutes else "assumed", record)
    fastest = max(one.ml / (one.minutes or wipe_minutes) for one in entries)
    return Used(name, ml, min(ml / fastest, DAY_MIN), "fastest entry", record)
