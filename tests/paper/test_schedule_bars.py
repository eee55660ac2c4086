"""The days as bars: to scale, one for work without a break, named where there is room, nothing lost in silence."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta

import pytest
from drawn import outside, overlaps, read, shapes, texts, width_of

from finishplan.office.schedule import Days, JobDays, Row
from finishplan.paper.schedule_bars import MOST_ROWS, bars_of, bars_words, day_bars
from finishplan.paper.theme import THEMES

MONDAY = datetime(2026, 3, 2)


def at(hours: float, day: int = 0) -> datetime:
    return MONDAY + timedelta(days=day, minutes=round(60 * hours))


def row(job: str, phase: str, who: tuple[str, ...], *spans: tuple[datetime, datetime]) -> Row:
    minutes = sum((end - begin).seconds // 60 for begin, end in spans)
    return Row(job, f"{phase} something", phase, who, minutes, spans)


def days(*rows: Row, jobs: int = 1) -> Days:
    """A schedule made by hand; our own invention, worked out by nobody."""
    held = tuple(JobDays(f"j{k}", f"job number {k} with a long title", date(2026, 3, 2), None, at(9), at(9), 1, 1)
                 for k in range(jobs))
    return Days(MONDAY, held, rows, at(9), at(9), 0, 0, 1, 1, False, {"F1": 1, "T1": 1},
                {"F1": "a finisher", "T1": "a trainee"}, ())


def test_bars_are_as_long_as_their_minutes() -> None:
    svg = day_bars(days(row("j0", "sand", ("F1",), (at(8), at(10))), row("j0", "buff", ("F1",), (at(11), at(11.5)))))
    assert width_of(shapes(svg, "bar sand")[0]) == pytest.approx(4 * width_of(shapes(svg, "bar buff")[0]), abs=0.02)
    left = {name: float(shapes(svg, f"bar {name}")[0].attrib["x"]) for name in ("sand", "buff")}
    hour = width_of(shapes(svg, "bar sand")[0]) / 2
    assert left["buff"] - left["sand"] == pytest.approx(3 * hour, abs=0.02)


def test_work_of_one_kind_without_a_break_is_one_bar_and_a_break_parts_it() -> None:
    found = bars_of(days(row("j0", "sand", ("F1",), (at(8), at(9))), row("j0", "sand", ("F1",), (at(9), at(9.5))),
                         row("j0", "sand", ("F1",), (at(10), at(11)))))
    assert [(bar.begin_min, bar.end_min) for bar in found] == [(480, 570), (600, 660)]
    two = days(row("j0", "sand", ("F1",), (at(8), at(9))), row("j1", "sand", ("F1",), (at(9), at(10))), jobs=2)
    assert len(bars_of(two)) == 2


def test_two_people_at_one_task_stand_in_two_rows() -> None:
    svg = day_bars(days(row("j0", "refit", ("F1", "T1"), (at(8), at(9)))))
    one, two = shapes(svg, "bar refit")
    assert one.attrib["x"] == two.attrib["x"] and one.attrib["y"] != two.attrib["y"]
    assert {"a finisher", "a trainee", "Mon 2 Mar"} <= {words for words, _ in texts(svg)}


def test_what_has_no_room_for_its_name_is_counted() -> None:
    rows = [row("j0", "hand over" if k % 2 else "prepare", ("F1",), (at(8 + k / 10), at(8 + (k + 1) / 10)))
            for k in range(60)]
    svg = day_bars(days(*rows))
    assert overlaps(svg) == []
    named = sum(words in ("prepare", "hand over") for words, _ in texts(svg))
    assert f"{60 - named} bars too short for a name: see the list" in [words for words, _ in texts(svg)]


def test_very_many_days_are_counted_not_dropped() -> None:
    rows = [row("j0", "sand", ("F1",), (at(8, k), at(9, k))) for k in range(MOST_ROWS + 7)]
    svg = day_bars(days(*rows))
    assert len(shapes(svg, "bar sand")) == MOST_ROWS
    assert "Seven later rows not drawn: see the list" in [words for words, _ in texts(svg)]
    assert bars_words(days(*rows)).count("sand") == MOST_ROWS + 7


def test_the_days_in_words_name_day_person_work_and_hours() -> None:
    said = bars_words(days(row("j0", "sand", ("F1",), (at(8), at(9.5)))))
    assert said == "Mon 2 Mar, a finisher: sand 8:00 to 9:30."
    two = bars_words(days(row("j1", "sand", ("T1",), (at(8), at(9))), jobs=2))
    assert two == "Mon 2 Mar, a trainee: job number 1 with a long title sand 8:00 to 9:00."
    assert read(day_bars(days(row("j0", "sand", ("F1",), (at(8), at(9.5))))))[1].text == said


@pytest.mark.parametrize("seed", range(40))
def test_no_texts_overlap_and_nothing_leaves_the_frame(seed: int) -> None:
    rng = random.Random(seed)
    rows = []
    for day in range(rng.randint(1, 6)):
        for who in ("F1", "T1"):
            hour = rng.uniform(6, 9)
            for _ in range(rng.randint(0, 9)):
                length = rng.choice([0.05, 0.3, 1.2])
                rows.append(row(f"j{rng.randrange(3)}", rng.choice(["sand", "buff", "hand over", "prepare"]), (who,),
                                (at(hour, day), at(hour + length, day))))
                hour += length + rng.choice([0, 0, 0.5])
    held = days(*rows, row("j0", "intake", ("F1",), (at(5), at(5.5))), jobs=3)
    svg = day_bars(held, list(THEMES.values())[seed % 3])
    assert overlaps(svg) == [] and outside(svg) == []
    assert svg == day_bars(held, list(THEMES.values())[seed % 3])


def test_a_schedule_without_work_is_refused() -> None:
    with pytest.raises(ValueError, match="there is no work to draw"):
        day_bars(days())
