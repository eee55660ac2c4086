"""A test spot narrows a depth; where it contradicts the range, it is believed."""

from __future__ import annotations

import pytest

from finishplan.survey.evidence import narrowed_depth, taken_um
from finishplan.survey.job import TestSpot


def spot(cleared: bool, before: tuple[float, ...] = (), after: tuple[float, ...] = ()) -> TestSpot:
    steps = [{"step": "P1500", "minutes": 0.3}, {"step": "P1000", "minutes": 0.4, "cleared": cleared}]
    return TestSpot.model_validate(
        {"panel": "lid", "zone": "field", "defect": 0, "steps": steps, "before": before, "after": after}
    )


RATES = [0.576, 0.737]


def test_without_readings_rate_times_minutes_over_the_spot() -> None:
    assert taken_um(spot(True), RATES) == pytest.approx([0.576 * 0.3 / 0.0225, 0.737 * 0.4 / 0.0225])


def test_with_readings_the_measured_difference_is_shared_by_rate_times_minutes() -> None:
    taken = taken_um(spot(True, (405.0, 401.0, 408.0), (388.0, 385.0, 390.0)), RATES)
    assert sum(taken) == pytest.approx(404.6667 - 387.6667, abs=1e-3)
    assert taken[0] / taken[1] == pytest.approx(0.576 * 0.3 / (0.737 * 0.4))


def test_cleared_caps_the_depth_and_left_raises_it() -> None:
    first, second = taken_um(spot(True), RATES)
    low, likely, high = narrowed_depth((1.0, 20.0, 60.0), spot(True), RATES)
    assert (low, high) == pytest.approx((first, first + second))
    assert low <= likely <= high
    low, likely, high = narrowed_depth((1.0, 20.0, 60.0), spot(False), RATES)
    assert low == pytest.approx(first + second)
    assert high == 60.0


def test_a_test_that_contradicts_the_range_is_believed() -> None:
    first, second = taken_um(spot(True), RATES)
    assert narrowed_depth((40.0, 50.0, 60.0), spot(True), RATES) == pytest.approx((first + second,) * 3)


def test_still_there_after_more_than_the_range_moves_it_up_as_wide_as_it_was() -> None:
    taken = sum(taken_um(spot(False), RATES))
    assert narrowed_depth((0.5, 1.0, 9.5), spot(False), RATES) == pytest.approx((taken, taken + 0.5, taken + 9.0))


def test_a_typed_depth_that_the_test_went_beyond_is_no_longer_exact() -> None:
    taken = sum(taken_um(spot(False), RATES))
    assert narrowed_depth((2.0, 2.0, 2.0), spot(False), RATES) == pytest.approx((taken, taken, 1.25 * taken))


def test_a_difference_that_shows_nothing_taken_is_not_believed() -> None:
    assert taken_um(spot(True, (400.0,), (402.0,)), RATES) == taken_um(spot(True), RATES)


def test_a_difference_within_the_noise_of_the_gauge_is_not_believed() -> None:
    """What the steps should take decides, not what was read: 2 um against a noise of 5.7 um."""
    little = TestSpot.model_validate({
        "panel": "lid", "zone": "field", "defect": 0, "steps": [{"step": "P2500", "minutes": 0.1, "cleared": True}],
        "before": (400.0,), "after": (392.0,)})
    assert taken_um(little, [0.4]) == pytest.approx([0.4 * 0.1 / 0.0225])
    much = little.model_copy(update={"steps": (little.steps[0].model_copy(update={"minutes": 1.0}),)})
    assert taken_um(much, [0.4]) == pytest.approx([8.0])
