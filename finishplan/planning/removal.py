"""The stock law: what each step of a sequence takes, in um, and how long it takes.

A step takes ``clearing`` times the scratch depth of the step before it; the first takes the defect.
Source of the factor: JIS R 6001 lets the coarsest 3 % of grains be 1.8 to 2.5 times the median, and
metallography takes off 2 to 3 times the damage; both published, for other materials, so here assumed.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from finishplan.units import volume_cm3

Floats = npt.NDArray[np.float64]
SLACK = 1e-9
"""Comparisons are <= with this slack, in um."""


def first_removal_um(
    to_take_out_um: Floats | float, later_um: Floats | float, low_um: Floats | float, previous_um: float, lean: bool
) -> Floats:
    """Return what the first step takes, h_1 [um]; arrays broadcast.

    levels: max(D, low); lean: max(D - what later steps take, previous scratches, low). ``low_um`` is the
    least a first step takes; ``previous_um`` is the layer only the zone can take, 0 for a finished zone.
    """
    if lean:
        return np.maximum(np.maximum(np.asarray(to_take_out_um) - later_um, previous_um), low_um)
    return np.maximum(to_take_out_um, low_um)


def later_removals_um(scratch_um: Sequence[float], clearing: float) -> list[float]:
    """Return h_2 .. h_m [um] of a sequence whose steps leave ``scratch_um``.

    >>> later_removals_um([2.52, 0.7, 0.25], 2.0)
    [5.04, 1.4]
    """
    return [clearing * r for r in scratch_um[:-1]]


def work_minutes(area_m2: float, removal_um: float, rate_cm3_per_min: float, speed: float) -> float:
    """Return A h/(Q f) [min] of one step on one zone.

    ``speed`` is way x position x person. Valid for positive rate and speed.

    >>> round(work_minutes(1.9, 1.4, 0.1, 1.0), 6)
    26.6
    """
    return volume_cm3(removal_um, area_m2) / (rate_cm3_per_min * speed)


def film_needed_um(removal_um: Floats | float, last_scratch_um: Floats | float, overcut: float) -> Floats:
    """Return the film [um] that must be to spend: (1 + overcut) x removal + the last step's scratch."""
    return (1.0 + overcut) * np.asarray(removal_um) + last_scratch_um


def least_reading_um(
    keep_um: float, later_um: float, last_scratch_um: float, overcut: float, bias_um: float, bias_share: float
) -> float:
    """Return R [um], the reading under which work stops.

    R - bias(R) >= keep + (1 + overcut) x later + last scratch, so
    R = (keep + (1 + overcut) later + r_m + bias_um)/(1 - bias_share). Valid for bias_share < 1.

    >>> round(least_reading_um(80, 10, 0.05, 0.15, 2, 0.03), 2)
    96.44
    """
    return (keep_um + (1.0 + overcut) * later_um + last_scratch_um + bias_um) / (1.0 - bias_share)
