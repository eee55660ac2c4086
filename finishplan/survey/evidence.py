"""What a test spot tells: every step that left the defect there raises its least depth, the one that
cleared it caps it."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan.survey.job import TestSpot

SPOT_AREA_M2 = 0.0225
"""Area of a test spot, 15 cm square (assumed)."""


def taken_um(spot: TestSpot, rates_cm3_per_min: Sequence[float], area_m2: float = SPOT_AREA_M2) -> list[float]:
    """Return what each step of a test spot took [um].

    With readings before and after: the measured difference of the means, shared over the steps by
    rate x minutes. Without: rate x minutes over the spot's area. A difference under 0 counts as 0.
    """
    volumes = [rate * step.minutes for rate, step in zip(rates_cm3_per_min, spot.steps, strict=True)]
    if spot.before and spot.after:
        total = max(0.0, sum(spot.before) / len(spot.before) - sum(spot.after) / len(spot.after))
        return [total * volume / sum(volumes) for volume in volumes]
    return [volume / area_m2 for volume in volumes]


def narrowed_depth(
    depth_um: tuple[float, float, float], spot: TestSpot, rates_cm3_per_min: Sequence[float]
) -> tuple[float, float, float]:
    """Return low, likely, high [um] of a defect after its test spot.

    Where the test contradicts the range, the test is believed: the range closes onto it.
    """
    low, likely, high = depth_um
    so_far = 0.0
    for step, taken in zip(spot.steps, taken_um(spot, rates_cm3_per_min), strict=True):
        so_far += taken
        if step.cleared:
            high = min(high, so_far)
        else:
            low = max(low, so_far)
    if low > high:
        low = high = so_far if spot.steps[-1].cleared else low
    return low, min(max(likely, low), high), high
