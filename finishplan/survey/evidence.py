"""What a test spot tells: every step that left the defect there raises its least depth, the one that
cleared it caps it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from finishplan.survey.film import METHODS
from finishplan.survey.job import TestSpot

SPOT_AREA_M2 = 0.0225
"""Area of a test spot, 15 cm square (assumed)."""
SPOT_METHOD = "ultrasonic"
"""The gauge whose repeatability decides whether a test spot's difference can be told from noise."""
LEAST_OVER_NOISE = 1.0
"""A difference tells something where what is expected is at least so many of its standard deviations (assumed)."""
LEAST_WIDTH = 0.25
"""Where a test takes more than the range holds and the defect is still there: the least width of the new range,
as a share of what was taken (assumed)."""


def taken_um(spot: TestSpot, rates_cm3_per_min: Sequence[float], area_m2: float = SPOT_AREA_M2) -> list[float]:
    """Return what each step of a test spot took [um].

    With readings before and after: the measured difference of the means, shared over the steps by
    rate x minutes. Without, and where the gauge cannot tell so little or shows nothing taken: rate x minutes
    over the spot's area.
    """
    volumes = [rate * step.minutes for rate, step in zip(rates_cm3_per_min, spot.steps, strict=True)]
    expected = [volume / area_m2 for volume in volumes]
    if not spot.before or not spot.after:
        return expected
    total = sum(spot.before) / len(spot.before) - sum(spot.after) / len(spot.after)
    if total <= 0 or sum(expected) < LEAST_OVER_NOISE * difference_sd_um(spot):
        return expected
    return [total * volume / sum(volumes) for volume in volumes]


def difference_sd_um(spot: TestSpot) -> float:
    """Return the standard deviation [um] of a test spot's measured difference: repeatability alone, same spot.

    sd = repeat x mean x sqrt(1/n + 1/m). Valid with readings before and after.
    """
    repeat_um = METHODS[SPOT_METHOD].repeat_share * sum(spot.before) / len(spot.before)
    return repeat_um * math.sqrt(1.0 / len(spot.before) + 1.0 / len(spot.after))


def narrowed_depth(
    depth_um: tuple[float, float, float], spot: TestSpot, rates_cm3_per_min: Sequence[float]
) -> tuple[float, float, float]:
    """Return low, likely, high [um] of a defect after its test spot.

    Where the test contradicts the range, the test is believed. Gone with less than the range holds, the depth
    is what was taken. Still there after more, it is deeper: the range moves up, as wide as it was.
    """
    low, likely, high = depth_um
    so_far = 0.0
    for step, taken in zip(spot.steps, taken_um(spot, rates_cm3_per_min), strict=True):
        so_far += taken
        if step.cleared:
            high = min(high, so_far)
        else:
            low = max(low, so_far)
    if low <= high:
        return low, min(max(likely, low), high), high
    if spot.steps[-1].cleared:
        return so_far, so_far, so_far
    width = max(depth_um[2] - depth_um[0], LEAST_WIDTH * so_far)
    return so_far, so_far + min(likely - depth_um[0], width), so_far + width
