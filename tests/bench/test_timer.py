"""The timer of a step: what it adds up to, over pauses, reloads, nights, and a clock that is set back."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

import pytest

from finishplan.bench.timer import (
    Timer,
    elapsed_min,
    left_overnight,
    pause,
    read_timer,
    start,
    timer_as_dict,
    timer_words,
    whole_minutes,
)

NINE = datetime.fromisoformat("2031-05-12T09:00:00+02:00")


def at(minutes: float) -> datetime:
    return NINE + timedelta(minutes=minutes)


def test_pauses_do_not_count_and_stretches_add_up() -> None:
    timer = pause(start(Timer(), at(0)), at(12))
    assert elapsed_min(timer, at(500)) == 12.0 and not timer.runs and timer.used
    timer = start(timer, at(30))
    assert elapsed_min(timer, at(35)) == 17.0
    assert pause(timer, at(40)) == Timer(22.0, None, at(0))


def test_starting_a_running_timer_or_pausing_a_paused_one_changes_nothing() -> None:
    runs = start(Timer(), at(0))
    assert start(runs, at(5)) == runs
    paused = pause(runs, at(5))
    assert pause(paused, at(9)) == paused


def test_it_comes_back_from_what_is_kept() -> None:
    for timer in (Timer(), start(Timer(), at(0)), pause(start(Timer(), at(0)), at(7.5))):
        assert read_timer(json.loads(json.dumps(timer_as_dict(timer)))) == timer
    assert read_timer(None) == Timer()


def test_a_clock_set_back_takes_nothing_off() -> None:
    assert elapsed_min(start(Timer(5.0), at(0)), at(-60)) == 5.0


@pytest.mark.parametrize(("minutes", "shown"), [(0.0, 0), (0.05, 0), (0.2, 1), (12.4, 12), (12.6, 13), (5000.0, 1440)])
def test_the_box_shows_whole_minutes_of_at_most_a_day(minutes: float, shown: int) -> None:
    assert whole_minutes(Timer(minutes, None, NINE), at(0)) == shown


def test_a_night_is_noticed_by_the_clock_on_the_wall() -> None:
    evening = start(Timer(), datetime.fromisoformat("2031-05-12T17:50:00+02:00"))
    assert not left_overnight(evening, datetime.fromisoformat("2031-05-12T23:59:00+02:00"))
    morning = datetime.fromisoformat("2031-05-13T07:50:00+02:00")
    assert left_overnight(evening, morning)
    assert not left_overnight(pause(evening, at(600)), morning)
    assert timer_words(evening, morning) == "Runs since 12 May 17:50: 14 h"


def test_it_says_how_it_stands() -> None:
    assert timer_words(Timer(), at(0)) == "Not started"
    assert timer_words(start(Timer(), at(0)), at(20)) == "Runs since 09:00: 20 min"
    assert timer_words(pause(start(Timer(), at(0)), at(20)), at(90)) == "Paused at 20 min"
