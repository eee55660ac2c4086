"""Local repairs: the feathered spot, the fill, and the short ladders of sheets that follow them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.planning.sequences import may_follow
from finishplan.shop.policy import Policy
from finishplan.shop.steps import Step
from finishplan.units import MM_PER_M, UM_PER_M

DISH = math.pi / 2.0 - 2.0 / math.pi
"""Volume of a round cosine dish over depth x radius^2: 0.93418 (calculus)."""


def feather_radius_m(depth_um: float, slope_mrad: float = 0.5, power_per_m: float = 0.05) -> float:
    """Return the feather radius W [m] of a spot: rim to bottom of a cosine dish.

    W = max(pi d/(2 theta), pi sqrt(d/P)): steep enough nowhere that the eye catches slope or
    curvature. theta and P are assumed, set by eye on a test panel. Valid for depth >= 0.

    >>> round(1000 * feather_radius_m(20.0), 1)
    62.8
    """
    depth_m = depth_um / UM_PER_M
    return max(math.pi * depth_m / (2.0 * slope_mrad / 1000.0), math.pi * math.sqrt(depth_m / power_per_m))


def spot_volume_cm3(depth_um: float, radius_m: float, length_mm: float | None) -> float:
    """Return the film one spot takes [cm3]: a round dish, or a trough with two half dishes."""
    length_m = 0.0 if length_mm is None else length_mm / MM_PER_M
    return depth_um * radius_m * length_m + DISH * depth_um * radius_m**2


def spot_footprint_m2(radius_m: float, length_mm: float | None) -> float:
    """Return the area one spot covers [m2]: pi W^2, and 2 W length for a scratch."""
    length_m = 0.0 if length_mm is None else length_mm / MM_PER_M
    return 2.0 * radius_m * length_m + math.pi * radius_m**2


@dataclass(frozen=True)
class LocalLadder:
    """The sheets used inside the rings of a repair before the zone's first step goes over it."""

    steps: tuple[Step, ...]
    local_um: float
    """What all but the last sheet's scratches cost: sum of clearing x r."""
    last_layer_um: float
    """clearing x r of the last sheet: the zone's first step must take at least this there."""

    @property
    def first_rate_cm3_per_min(self) -> float:
        """Removal rate of the first sheet at machine speed."""
        return self.steps[0].removal_rate_cm3_per_min


def cut_ladder(ladder: Sequence[Step], first: Step, coarsest: Step, policy: Policy) -> LocalLadder | None:
    """Return ``ladder`` cut off where the zone's ``first`` step can take over, or None if it never can.

    It ends at the first sheet that ``first`` may follow, or that is as fine as ``first`` or finer.
    """
    for k, sheet in enumerate(ladder):
        as_fine = first.is_sheet and sheet.order >= first.order
        if as_fine or may_follow(sheet, first, coarsest, policy):
            used = tuple(ladder[: k + 1])
            layers = [policy.clearing * s.scratch_depth_um for s in used]
            return LocalLadder(used, sum(layers[:-1]), layers[-1])
    return None


def fill_minutes(depth_um: float | None, narrow_edge: bool, clear_build: bool, dam: bool, policy: Policy) -> float:
    """Return the handling minutes of one fill.

    (fill, and a second pour over ``second_pour_over_um``) x edge x clear build, and a dam. ``depth_um``
    is the depth before softening, None where the kind has none.
    """
    minutes = policy.fill_min
    if depth_um is not None and depth_um > policy.second_pour_over_um:
        minutes += policy.second_pour_min
    if narrow_edge:
        minutes *= policy.fill_edge_factor
    if clear_build:
        minutes *= policy.fill_clear_factor
    return minutes + (policy.dam_min if dam else 0.0)


def fill_volume_cm3(
    depth_um: float | None, length_mm: float | None, width_mm: float | None, missing_ml: float | None, policy: Policy
) -> float | None:
    """Return the volume one fill needs with overfill [cm3], or None where its size is not known.

    Missing = typed, else pi/4 x length x width x depth; overfill = the more of ``fill_overfill_mm`` and
    a share of the depth, over the same outline.
    """
    if missing_ml is None and None in (depth_um, length_mm, width_mm):
        return None
    outline_cm2 = math.pi / 4.0 * (length_mm or 0.0) * (width_mm or 0.0) / 100.0
    missing = missing_ml if missing_ml is not None else outline_cm2 * (depth_um or 0.0) / 1e4
    over_mm = max(policy.fill_overfill_mm, policy.fill_overfill_share * (depth_um or 0.0) / 1000.0)
    if outline_cm2:
        return missing + outline_cm2 * over_mm / 10.0
    return missing * (1.0 + policy.fill_overfill_share)
