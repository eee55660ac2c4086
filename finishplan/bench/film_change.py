"""Film before less film after: what was taken, and how well the gauge can tell.

On the same marked spot the gauge's bias cancels and only its repeat counts; on different spots the usual
spread of the film within a zone counts as well.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.survey.film import METHODS
from finishplan.survey.job import Reading

GUESS = "estimate"


@dataclass(frozen=True)
class FilmChange:
    """Film lost between two rounds of readings [um], its standard deviation, and what it rests on."""

    removal_um: float
    sd_um: float
    before: int
    after: int
    same_spots: bool


def mean_um(readings: Sequence[Reading]) -> float:
    """Return the mean of readings [um]; valid for at least one."""
    return sum(r.um for r in readings) / len(readings)


def film_change(before: Sequence[Reading], after: Sequence[Reading], prior_share: float = 0.10) -> FilmChange | None:
    """Return what was taken between two rounds of readings by one method, or None where there is no such pair.

    Spots read in both rounds are compared spot by spot; where there are none, mean with mean, and the usual
    spread ``prior_share`` of the film counts for both. Of several methods the one with the least spread wins.
    """
    found = [
        change for method in {r.method for r in before} & {r.method for r in after} - {GUESS}
        if (change := change_by([r for r in before if r.method == method],
                                [r for r in after if r.method == method], prior_share))
    ]
    return min(found, key=lambda change: change.sd_um, default=None)


def change_by(before: Sequence[Reading], after: Sequence[Reading], prior_share: float) -> FilmChange:
    """Return what was taken between two rounds of one method; valid for at least one reading in each."""
    spots = {r.spot for r in before} & {r.spot for r in after} - {None}
    repeat = METHODS[before[0].method].repeat_share * mean_um(before)
    if not spots:
        spread = math.hypot(repeat, prior_share * mean_um(before))
        sd = spread * math.sqrt(1.0 / len(before) + 1.0 / len(after))
        return FilmChange(mean_um(before) - mean_um(after), sd, len(before), len(after), False)
    lost, variance, count = 0.0, 0.0, [0, 0]
    for spot in spots:
        first, last = [r for r in before if r.spot == spot], [r for r in after if r.spot == spot]
        lost += mean_um(first) - mean_um(last)
        variance += repeat**2 * (1.0 / len(first) + 1.0 / len(last))
        count[0] += len(first)
        count[1] += len(last)
    return FilmChange(lost / len(spots), math.sqrt(variance) / len(spots), count[0], count[1], True)


def merged(old: Sequence[Reading], new: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return readings of the same film: a spot that was read again counts with its new readings only.

    The first new reading of a spot takes the old one's row; a place that is not said again is kept.
    """
    again: dict[int | None, list[Reading]] = {}
    for reading in new:
        again.setdefault(reading.spot, []).append(reading)
    found: list[Reading] = []
    for reading in old:
        if reading.spot is None or reading.spot not in again:
            found.append(reading)
            continue
        for place, fresh in enumerate(again[reading.spot]):
            if place == 0:
                fresh = fresh.model_copy(update={"at": fresh.at or reading.at, "note": fresh.note or reading.note})
            found.append(fresh)
        again[reading.spot] = []
    return (*found, *(r for r in new if any(r is kept for kept in again.get(r.spot, ()))))
