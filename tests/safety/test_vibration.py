"""Hand-arm vibration: A(8), points and minutes say the same thing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue
from finishplan.safety.vibration import a8, a8_from_points, minutes_to, points, vibration_warnings

days = st.lists(st.tuples(st.floats(0.0, 150.0), st.floats(0.0, 40.0)), min_size=1, max_size=8)


@given(days)
def test_points_and_a8_agree(day: list[tuple[float, float]]) -> None:
    assert a8_from_points(points(day)) == pytest.approx(a8(day), abs=1e-12)


@given(days, st.floats(0.0, 200.0), st.floats(0.0, 40.0))
def test_more_trigger_time_never_gives_less(day: list[tuple[float, float]], minutes: float, a: float) -> None:
    assert a8([*day, (minutes, a)]) >= a8(day) - 1e-12
    assert a8([*day, (minutes, a)]) == pytest.approx(math.hypot(a8(day), a8([(minutes, a)])))


@given(st.floats(0.5, 5.0), st.floats(3.0, 40.0))
def test_after_these_minutes_the_limit_stands(limit: float, a: float) -> None:
    minutes = minutes_to(limit, a)
    assert minutes is not None
    if minutes <= 1440.0:
        assert a8([(minutes, a)]) == pytest.approx(limit)


def test_eight_hours_are_the_tool_itself() -> None:
    assert a8([(480.0, 4.0)]) == 4.0
    assert a8([]) == 0.0
    assert minutes_to(2.5, 0.0) is None
    assert (points([(480.0, 2.5)]), points([(480.0, 5.0)])) == (100.0, 400.0)


@pytest.mark.parametrize("day,message", [
    ([(10.0, -1.0)], "vibration is -1; give 0 to 40 m/s2"),
    ([(10.0, 41.0)], "vibration is 41; give 0 to 40 m/s2"),
    ([(-10.0, 4.0)], "minutes is -10; a day has 1440 minutes"),
    ([(1000.0, 4.0), (500.0, 4.0)], "sum of the minutes is 1500; a day has 1440 minutes"),
])
def test_what_cannot_be_is_refused(day: list[tuple[float, float]], message: str) -> None:
    for sum_of in (a8, points, vibration_warnings):
        with pytest.raises(BadValue, match=f"^{message}"):
            sum_of(day)


def test_limits_and_points_that_cannot_be() -> None:
    with pytest.raises(BadValue, match=r"^limit is 0; give a number of m/s2 over 0$"):
        minutes_to(0.0, 8.0)
    with pytest.raises(BadValue, match=r"^vibration is 50; give 0 to 40 m/s2$"):
        minutes_to(2.5, 50.0)
    with pytest.raises(BadValue, match=r"^points is -1; give 0 or more$"):
        a8_from_points(-1.0)


def test_outside_the_rule_it_warns() -> None:
    assert vibration_warnings([(100.0, 8.5)]) == ()
    assert any("over 30" in words for words in vibration_warnings([(1.0, 31.0)]))
    assert any("8 h on the trigger" in words for words in vibration_warnings([(481.0, 2.0)]))
