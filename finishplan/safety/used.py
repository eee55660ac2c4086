"""The solvents of a job, each substance once: how much of it, and how long it takes to evaporate.

Where nobody typed the millilitres of a solvent, every wipe of the plan takes the shop's figure for a wipe.
"""

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
    wiped_m2: float = 0.0
    """The faces of the wipes that make up ``ml`` where nobody typed it; 0 where all of it was typed [m2]."""
    wipes: int = 0
    """How many wipes those are."""


@dataclass(frozen=True)
class Wipe:
    """One wipe of a face with a solvent, and how long it dries."""

    area_m2: float
    minutes: float


@dataclass(frozen=True)
class Wiping:
    """What stands in for what nobody typed: the wipes of the plan, what one takes, and how long any wipe dries."""

    wipes: tuple[Wipe, ...]
    ml_per_m2: float
    minutes: float


def drawn_together(solvents: Iterable[Solvent], wiping: Wiping) -> tuple[Used, ...]:
    """Return the job's solvents by substance; what an entry does not say comes from ``wiping``.

    Several entries of one substance, and several wipes, evaporate together at the rate of the fastest of them: an
    upper value.
    """
    entries: dict[str, list[Solvent]] = {}
    for one in solvents:
        record = find_substance(one.substance)
        entries.setdefault(record.name if record else one.substance.casefold(), []).append(one)
    return tuple(used(found, wiping) for found in entries.values())


def used(entries: list[Solvent], wiping: Wiping) -> Used:
    """Return the entries of one substance drawn together; see ``drawn_together``."""
    record = find_substance(entries[0].substance)
    name = record.name if record else entries[0].substance
    unsaid = [one for one in entries if one.ml is None]
    wiped_m2, wipes = sum(w.area_m2 for w in wiping.wipes) * len(unsaid), len(wiping.wipes) * len(unsaid)
    parts = [part for one in entries for part in parts_of(one, wiping)]
    ml = sum(part_ml for part_ml, _ in parts)
    if len(parts) == 1:
        source = "typed" if entries[0].minutes else "assumed"
        return Used(name, ml, parts[0][1], source, record, wiped_m2, wipes)
    fastest = max(part_ml / minutes for part_ml, minutes in parts)
    return Used(name, ml, min(ml / fastest, DAY_MIN), "fastest entry", record, wiped_m2, wipes)


def parts_of(one: Solvent, wiping: Wiping) -> list[tuple[float, float]]:
    """Return what an entry puts into the air as (ml, minutes) pairs: itself, or wipe by wipe where it has no ml."""
    if one.ml is not None:
        return [(one.ml, one.minutes or wiping.minutes)]
    return [(wipe.area_m2 * wiping.ml_per_m2, one.minutes or wipe.minutes) for wipe in wiping.wipes]
