"""Working hours along the calendar: counted against a minute-by-minute tally."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue, FinishplanError
from finishplan.office.working_time import Calendar, intersect, morning_after, read_week

HOURS = {"mon": (("08:00", "12:00"), ("12:30", "16:00")), "tue": (("09:15", "11:00"),), "sat": (("22:00", "24:00"),)}
FIRST = date(2026, 3, 2)


def tallied(calendar: Calendar, until: int) -> list[int]:
    """The working minutes before ``until``, one by one."""
    found = []
    for minute in range(until):
        day = FIRST + timedelta(days=minute // 1440)
        if day not in calendar.off and any(a <= minute % 1440 < b for a, b in calendar.week[day.weekday()]):
            found.append(minute)
    return found


TALLY = tallied(Calendar(FIRST, read_week(HOURS), frozenset({date(2026, 3, 9)})), 30 * 1440)


def made() -> Calendar:
    return Calendar(FIRST, read_week(HOURS), frozenset({date(2026, 3, 9)}))


@given(st.integers(0, 20 * 1440))
def test_count_is_the_tally(moment: int) -> None:
    assert made().count(moment) == sum(1 for minute in TALLY if minute < moment)


@given(st.integers(0, 1500))
def test_moment_is_the_nth_working_minute(worked: int) -> None:
    assert made().moment(worked) == TALLY[worked]


@given(st.integers(0, 10 * 1440), st.integers(1, 900))
def test_work_ends_after_its_minutes_and_starts_before_them(start: int, minutes: int) -> None:
    calendar = made()
    end = calendar.end_of(start, minutes)
    assert end == [minute for minute in TALLY if minute >= start][minutes - 1] + 1
    latest = calendar.start_of(end, minutes)
    assert latest >= start
    assert calendar.end_of(latest, minutes) == end


def test_no_hours_mean_monday_to_friday_with_a_break() -> None:
    calendar = Calendar(FIRST, read_week({}))
    assert calendar.longest_day() == 450
    assert calendar.at(calendar.moment(240)) == datetime(2026, 3, 2, 12, 30)
    assert calendar.at(calendar.moment(5 * 450)) == datetime(2026, 3, 9, 8, 0)


def test_hours_that_touch_are_one_opening_and_a_late_evening_ends_at_midnight() -> None:
    week = read_week({"mon": (("08:00", "10:00"), ("10:00", "24:00"))})
    assert week[0] == ((480, 1440),)


def test_the_morning_after_is_the_next_day_also_from_midnight() -> None:
    assert [morning_after(end) for end in (0, 1, 1440, 1441)] == [0, 1440, 1440, 2880]


@given(*(st.lists(st.tuples(st.integers(0, 60), st.integers(1, 9)), max_size=8) for _ in range(2)), st.integers(0, 50))
def test_times_that_two_lists_share(a: list[tuple[int, int]], b: list[tuple[int, int]], begin: int) -> None:
    def opened(spans: list[tuple[int, int]]) -> tuple[list[int], list[int]]:
        starts, ends = [], []
        for gap, long in spans:
            starts.append((ends[-1] if ends else 0) + gap + 1)
            ends.append(starts[-1] + long)
        return starts, ends

    def covered(found: tuple[list[int], list[int]]) -> set[int]:
        return {m for s, e in zip(*found, strict=True) for m in range(s, e)}

    one, two = opened(a), opened(b)
    shared = covered(intersect(one, two, begin))
    assert {m for m in shared if m >= begin} == {m for m in covered(one) & covered(two) if m >= begin}


@pytest.mark.parametrize(("hours", "text"), [
    ({"mon": ()}, r'hours: the week has no working time; give a day, such as "mon": \[\["08:00", "16:00"\]\]'),
    ({"mon": (("08:00", "08:00"),)}, r"hours, mon: end of work is '08:00'; it must be after 08:00"),
    ({"tue": (("08:00", "12:00"), ("11:00", "13:00"))}, r"hours, tue: start of work is '11:00'; it must not be before"),
    ({"fri": (("8 am", "12:00"),)}, r"hours, fri: time is '8 am'; give a clock time such as \"08:00\""),
    ({"fri": (("08:00", "24:30"),)}, r"hours, fri: time is '24:30'; give a clock time"),
])
def test_hours_that_cannot_be_worked_are_named(hours: dict[str, tuple[tuple[str, str], ...]], text: str) -> None:
    with pytest.raises(FinishplanError, match=text):
        read_week(hours)


def test_a_calendar_that_never_opens_again_says_so() -> None:
    calendar = Calendar(FIRST, read_week({"mon": (("08:00", "09:00"),)}))
    with pytest.raises(FinishplanError, match="no day with working hours is left"):
        calendar.moment(10_000_000)


def test_bad_value_is_the_class_of_a_wrong_time() -> None:
    with pytest.raises(BadValue):
        read_week({"mon": (("08:00", "07:00"),)})
