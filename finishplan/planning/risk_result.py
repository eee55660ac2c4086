"""What the audit of a plan says: chances with their standard errors, and levels of minutes and cost."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from finishplan.planning.next_reading import NextReading
from finishplan.planning.removal import SLACK, Floats
from finishplan.reference import Sourced

LEVELS = (0.5, 0.8, 0.9)
SERVICES_SHARE = (0.1, 0.9)
RISK_NOTES = (
    "Every zone is taken as its film spread and its thinnest spot; uneven cutting within a zone is only in "
    "the spread of each step.",
    "A defect deeper than planned keeps the first grade on until it is gone, unless the first cut is lean.",
    "With stops: the marked spot is read again as the first grade comes down, and the hand stops at the "
    "least reading. Nobody reads that often unless told to.",
    "The instrument is taken to be as even as the usual spread says; on one twice as uneven the film "
    "counted on is too high more often than stated.",
)
"""What the numbers leave out, to be said beside them."""


@dataclass(frozen=True)
class Chance:
    """A share of the draws and its standard error, sqrt(p (1 - p) / draws).

    Where no draw has it, chance and error are 0: say "under 3 in draws" (rule of three at 95 %).
    """

    chance: float
    standard_error: float


@dataclass(frozen=True)
class Levels:
    """A total that 1, 4 or 9 jobs in 2, 5 or 10 stay under; ``planned`` is the plan's own figure."""

    planned: float
    one_in_two: float
    four_in_five: float
    nine_in_ten: float
    standard_errors: tuple[float, float, float]


@dataclass(frozen=True)
class ServicesLeft:
    """How many services like this one the film holds, 1 in 10 to 9 in 10; not a promise."""

    before: tuple[int, int]
    after: tuple[int, int]


@dataclass(frozen=True)
class ZoneRisk:
    """One zone: chances at its thinnest spot and at spots and fills, with and without stops."""

    panel: str
    zone: str
    worked: bool
    under_keep: Chance
    sand_through: Chance
    under_keep_with_stops: Chance
    sand_through_with_stops: Chance
    under_keep_before: Chance
    """The thinnest spot is under the film to leave before anything is done."""
    deeper_than_planned: Chance
    services: ServicesLeft | None
    """None where nothing is taken."""


@dataclass(frozen=True)
class Risk:
    """The audit of one plan."""

    seed: int
    draws: int
    zones: tuple[ZoneRisk, ...]
    any_under_keep: Chance
    any_sand_through: Chance
    minutes: Levels
    cost: Levels | None
    """Labour at the shop's rates; None where a rate of somebody who works is not known."""
    rates_per_h: dict[str, float]
    tested: bool
    """Whether a test spot has narrowed the minutes."""
    next_readings: tuple[NextReading, ...]
    notes: tuple[str, ...]
    figures: tuple[Sourced, ...]
    numbers_drawn: dict[str, int] = field(default_factory=dict)
    """How many random numbers of each kind were drawn."""


def chance(hits: int, draws: int) -> Chance:
    """Return a share of draws with its standard error.

    >>> chance(400, 20_000)
    Chance(chance=0.02, standard_error=0.0009899494936611666)
    """
    share = hits / draws
    return Chance(share, math.sqrt(share * (1.0 - share) / draws))


def levels(values: Floats, planned: float) -> Levels:
    """Return the levels that 1 in 2, 4 in 5 and 9 in 10 of ``values`` stay under, with standard errors."""
    ordered = np.sort(values)
    found = [quantile(ordered, share) for share in LEVELS]
    errors = tuple(quantile_error(ordered, share) for share in LEVELS)
    return Levels(planned, found[0], found[1], found[2], (errors[0], errors[1], errors[2]))


def quantile(ordered: Floats, share: float) -> float:
    """Return the ``share`` quantile of rising values, straight between neighbours."""
    return float(np.interp(share * (len(ordered) - 1), np.arange(len(ordered)), ordered))


def quantile_error(ordered: Floats, share: float) -> float:
    """Return the standard error of a quantile: half the span of the ranks one standard deviation around.

    The rank of the true quantile is binomial, sd sqrt(draws x share x (1 - share)). Source: order
    statistics, any textbook (the same ranks as JCGM 101:2008 7.9 compares between runs).
    """
    by = math.sqrt(share * (1.0 - share) / len(ordered))
    return (quantile(ordered, min(1.0, share + by)) - quantile(ordered, max(0.0, share - by))) / 2.0


def count_range(counts: Counter[int]) -> tuple[int, int]:
    """Return the 1 in 10 and 9 in 10 values of counted whole numbers.

    >>> count_range(Counter({0: 5, 2: 90, 3: 5}))
    (2, 2)
    """
    total, found = sum(counts.values()), []
    for share in SERVICES_SHARE:
        so_far = 0
        for value in sorted(counts):
            so_far += counts[value]
            if so_far >= share * total - SLACK:
                found.append(value)
                break
    return found[0], found[1]
