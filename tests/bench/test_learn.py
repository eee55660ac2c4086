"""Learning the shop's rates: one line by hand, what does not count, and known rates found again by simulation."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
from bench_jobs import PEEL, answer, panel, zone
from bench_logs import Book
from hypothesis import given
from hypothesis import strategies as st

from finishplan.bench.film_change import film_change
from finishplan.bench.learn import (
    LINE_SD,
    PRIOR_SD,
    learn,
    learned_profile,
    rate_words,
)
from finishplan.bench.observations import Observation, all_observations, from_test_spot
from finishplan.planning.plan import make_plan
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import Reading

SHOP = {"format": "finishplan-shop", "version": 1, "people": [
    {"id": "F1", "role": "finisher"}, {"id": "T1", "role": "trainee"}]}


@cache
def bench() -> Any:
    """A field whose first step is P800, in a shop with a finisher and a trainee."""
    found = answer(panel(zone(PEEL)), profile=apply_shop(default_profile(), SHOP))
    assert found.plan.panels[0].sequence[0] == "P800"
    return found


def log_step(book: Book, minutes: float, after: list[float], step: str = "P800", **more: Any) -> None:
    book.minutes(step, minutes, **more)
    book.done(step)
    for spot, um in enumerate(after, start=1):
        book.read(um, spot, step)


def seen(book: Book, found: Any = None) -> tuple[Observation, ...]:
    found = found or bench()
    return all_observations([(found.job, found.plan)], found.profile, book.lines)


def one(step: str = "P800", rate: float = 0.8, person: str = "F1", way: str = "machine", why: str = "") -> Observation:
    return Observation(step, way, person, "part", (1,), 0.5, 20.0, 2.0, (5, 5), 0.5 * 20.0 / rate, 1.0, why)


def test_one_line_by_hand() -> None:
    book = Book()
    log_step(book, 12.5, [382.0, 378.0, 385.0, 380.0, 375.0])
    (line,) = seen(book)
    assert (line.step, line.way, line.person, line.left_out) == ("P800", "machine", "F1", "")
    assert line.removal_um == pytest.approx(20.0)
    assert line.rate_cm3_per_min == pytest.approx(0.5 * 20.0 / 12.5)
    # Repeat 1 % of a mean of 400 um, five spots read once before and once after.
    assert line.sd_um == pytest.approx(4.0 * math.sqrt(2.0 / 5.0))
    assert line.log_variance == pytest.approx((line.sd_um / 20.0) ** 2)
    assert line.readings == (5, 5)


def test_position_and_person_are_taken_out_of_the_rate() -> None:
    found = answer(panel(zone(PEEL), off=False, position="upright"), profile=bench().profile)
    book = Book()
    log_step(book, 12.5, [382.0, 378.0, 385.0, 380.0, 375.0], who="T1")
    (line,) = seen(book, found)
    assert line.person == "T1"
    assert line.factor == pytest.approx(0.8 * 0.6)
    assert line.rate_cm3_per_min == pytest.approx(0.5 * 20.0 / (12.5 * 0.48))


def test_two_people_share_a_step_by_their_minutes() -> None:
    book = Book()
    book.minutes("P800", 6.0, who="T1")
    log_step(book, 4.0, [382.0, 378.0, 385.0, 380.0, 375.0])
    (line,) = seen(book)
    assert line.person == "several people"
    assert line.minutes * line.factor == pytest.approx(6.0 * 0.6 + 4.0)
    learned = learn(bench().profile, [line])
    assert learned.by_person == ()
    assert learned.by_step[0].lines == 1


def test_only_what_lies_between_two_rounds_of_readings_counts() -> None:
    names = bench().plan.panels[0].sequence
    book = Book()
    log_step(book, 10.0, [], "P800")
    log_step(book, 10.0, [370.0, 366.0, 373.0], names[1])
    (line,) = seen(book)
    assert (line.step, line.left_out) == (names[1], "several steps lie between two rounds of readings")


def test_a_step_after_another_is_read_from_it() -> None:
    names = bench().plan.panels[0].sequence
    book = Book()
    log_step(book, 10.0, [382.0, 378.0, 385.0])
    log_step(book, 8.0, [373.0, 369.0, 376.0], names[1])
    first, second = seen(book)
    assert (second.step, second.removal_um, second.minutes) == (names[1], pytest.approx(9.0), 8.0)
    assert first.removal_um == pytest.approx(20.0)


def test_a_step_not_done_or_not_timed_tells_nothing() -> None:
    book = Book()
    book.minutes("P800", 5.0)
    book.read(390.0, 1, "P800")
    assert seen(book) == ()
    book = Book()
    book.done("P800")
    book.read(390.0, 1, "P800")
    assert seen(book) == ()


def test_a_step_too_small_for_the_gauge_is_left_out_by_what_it_should_take() -> None:
    found = answer(panel(zone({"kind": "swirls"})), profile=bench().profile)
    name = found.plan.panels[0].sequence[0]
    for after in ([396.0, 392.0, 399.0], [401.0, 398.0, 405.0]):
        book = Book()
        log_step(book, 5.0, after, name)
        (line,) = seen(book, found)
        assert line.left_out.startswith("a step of about ")
        assert "is within what the gauge can tell" in line.left_out


def test_nothing_taken_by_the_readings_is_left_out() -> None:
    book = Book()
    log_step(book, 12.5, [403.0, 399.0, 406.0, 401.0, 396.0])
    (line,) = seen(book)
    assert line.left_out == "the readings show nothing taken"


def test_a_line_set_aside_does_not_count() -> None:
    book = Book()
    log_step(book, 12.5, [382.0, 378.0, 385.0])
    book.add("set aside", values={"line": 1, "reason": "the timer ran through lunch"})
    assert seen(book) == ()


def test_readings_of_a_drifted_gauge_do_not_count() -> None:
    book = Book()
    log_step(book, 12.5, [382.0, 378.0, 385.0])
    book.add("shim check", values={"shim_um": 250.0, "um": 270.0})
    assert seen(book) == ()


def test_two_legs_need_two_plans() -> None:
    book = Book()
    log_step(book, 12.5, [382.0, 378.0, 385.0])
    book.add("replan", values={"why": "read", "role": "finisher"})
    found = bench()
    with pytest.raises(ValueError, match="zip"):
        seen(book)
    twice = all_observations([(found.job, found.plan)] * 2, found.profile, book.lines)
    assert [line.step for line in twice] == ["P800"]


def test_zones_worked_in_one_go_make_one_line() -> None:
    edge = {"name": "edge", "kind": "edge", "area_m2": 0.1, "sheets_allowed": True,
            "readings": [{"um": 260.0, "spot": 9}], "defects": [{"kind": "orange_peel", "depth_um": 15.0}]}
    found = answer(panel(zone(PEEL), edge), profile=bench().profile)
    step = found.plan.panels[0].steps[0]
    assert [part.zone for part in step.zones] == ["field", "edge"]
    book = Book()
    log_step(book, 40.0, [382.0, 378.0, 385.0, 380.0, 375.0], step.step)
    book.read(240.0, 9, step.step, zone="edge")
    (line,) = seen(book, found)
    # Q = sum(A d / way) / minutes, by hand 0.3 at the edge.
    assert line.rate_cm3_per_min == pytest.approx((0.5 * 20.0 + 0.1 * 20.0 / 0.3) / 40.0)
    assert line.way == max(step.zones, key=lambda z: z.minutes).way


def test_minutes_of_one_zone_are_that_zones_alone() -> None:
    edge = {"name": "edge", "kind": "edge", "area_m2": 0.1, "sheets_allowed": True,
            "readings": [{"um": 260.0, "spot": 9}], "defects": [{"kind": "orange_peel", "depth_um": 15.0}]}
    found = answer(panel(zone(PEEL), edge), profile=bench().profile)
    step = found.plan.panels[0].steps[0]
    book = Book()
    book.minutes(step.step, 10.0, zone="field")
    book.minutes(step.step, 5.0, zone="edge")
    log_step(book, 8.0, [382.0, 378.0, 385.0], step.step)
    (line,) = seen(book, found)
    # The edge was not read: 10 minutes of the field's own, and its planned share of the 8.
    share = step.zones[0].minutes / sum(part.minutes for part in step.zones)
    assert line.minutes == pytest.approx(10.0 + 8.0 * share)
    assert line.area_m2 == 0.5


def test_readings_before_more_minutes_are_not_the_film_after() -> None:
    book = Book()
    book.minutes("P800", 6.0)
    for spot, um in enumerate([391.0, 387.0, 394.0], start=1):
        book.read(um, spot, "P800")
    log_step(book, 6.5, [382.0, 378.0, 385.0])
    (line,) = seen(book)
    assert line.removal_um == pytest.approx(20.0)
    assert line.readings == (3, 3)


def test_a_test_spot_is_one_line_shown_and_not_used() -> None:
    spot = {"panel": "part", "zone": "field", "defect": 0,
            "steps": [{"step": "P1500", "minutes": 0.25}, {"step": "P1000", "minutes": 0.5, "cleared": True}],
            "before": [405.0, 401.0, 408.0], "after": [388.0, 385.0, 390.0]}
    found = answer(panel(zone(PEEL)), test_spot=spot)
    (line,) = all_observations([(found.job, found.plan)], found.profile, ())
    volumes = (0.576 * 0.25, 0.737 * 0.5)
    taken = (405 + 401 + 408 - 388 - 385 - 390) / 3
    assert (line.step, line.person, line.left_out) == ("P1000", "test spot", "")
    assert line.rate_cm3_per_min == pytest.approx(0.0225 * taken * volumes[1] / sum(volumes) / 0.5)
    share = volumes[1] / sum(volumes)
    assert line.sd_um == pytest.approx(share * 0.01 * (405 + 401 + 408) / 3 * math.sqrt(2 / 3))
    learned = learn(found.profile, [line])
    (rate,) = learned.by_step
    assert (rate.lines, rate.in_use, rate.used) == (1, False, rate.shipped)
    assert rate.learned != rate.shipped
    assert learned.by_tool == learned.by_person == ()


@pytest.mark.parametrize("change", [{"before": []}, {"after": []}])
def test_a_test_spot_without_readings_is_no_line(change: dict[str, Any]) -> None:
    spot = {"panel": "part", "zone": "field", "defect": 0, "steps": [{"step": "P1000", "minutes": 0.5}],
            "before": [405.0], "after": [388.0], **change}
    found = answer(panel(zone(PEEL)), test_spot=spot)
    assert from_test_spot(found.job, found.profile) is None


def test_under_three_lines_shown_and_not_used() -> None:
    profile = default_profile()
    for count in (1, 2, 3, 4):
        rate = learn(profile, [one(rate=0.5)] * count).by_step[0]
        assert rate.in_use == (count >= 3)
        assert rate.used == (rate.learned if count >= 3 else rate.shipped)
        assert rate.low < rate.learned < rate.high
        assert rate.learned < rate.shipped
    (two,) = learn(profile, [one(rate=0.5)] * 2).by_step
    assert two.why_shipped == "two lines: shown, not used; one more line to go"


def test_the_sum_is_the_stated_one() -> None:
    rate = learn(default_profile(), [one(rate=0.5), one(rate=0.6)]).by_step[0]
    weight = 1.0 / (0.1**2 + LINE_SD**2)
    precision = 1.0 / PRIOR_SD**2 + 2 * weight
    mean = (math.log(0.827) / PRIOR_SD**2 + weight * (math.log(0.5) + math.log(0.6))) / precision
    assert rate.learned == pytest.approx(math.exp(mean))
    assert math.log(rate.high / rate.low) == pytest.approx(2 * 1.644854 / math.sqrt(precision), rel=1e-6)


def test_tools_and_people_side_by_side() -> None:
    lines = [one(rate=0.5)] * 3 + [one(rate=0.9, person="F2", way="hand block")] * 3 + [one(why="no difference")]
    learned = learn(default_profile(), lines)
    assert [(r.of, r.lines, r.left_out) for r in learned.by_tool] == [("hand block", 3, 0), ("machine", 3, 1)]
    assert [(r.of, r.lines) for r in learned.by_person] == [("F1", 3), ("F2", 3)]
    assert all(r.used == r.shipped and r.why_shipped.startswith("shown to compare") for r in learned.by_tool)
    assert learned.by_step[0].lines == 6
    assert learned.by_person[0].learned < learned.by_step[0].learned < learned.by_person[1].learned
    assert rate_words(learned.by_step[0]).startswith("P800: shipped 0.83, learned 0.")
    assert "six lines), 1 left out, used 0." in rate_words(learned.by_step[0])


def test_the_learned_profile_is_marked_and_the_shipped_one_is_not_touched() -> None:
    profile = default_profile()
    learned = learn(profile, [one(rate=0.5)] * 4 + [one("P1500", 0.3)])
    ours = learned_profile(profile, learned)
    assert profile.step("P800").removal_rate_cm3_per_min == 0.827
    assert ours.step("P800").removal_rate_cm3_per_min == learned.by_step[0].used
    assert ours.step("P1500") == profile.step("P1500")
    kinds = {figure.name: figure.kind for figure in ours.figures()}
    assert kinds["P800, removal rate"] == "measured here"
    assert not kinds["P800, scratch depth"].startswith("measured here")
    assert not kinds["P1500, removal rate"].startswith("measured here")
    assert learned_profile(profile, learned, keep_shipped=["P800"]) == profile


def test_a_slower_shop_is_planned_slower() -> None:
    found = bench()
    names = found.plan.panels[0].sequence
    ours = learned_profile(found.profile, learn(found.profile, [one(name, 0.2) for name in names for _ in range(5)]))
    assert make_plan(found.job, ours).minutes > found.plan.minutes


def test_steps_the_shop_does_not_have_teach_nothing() -> None:
    learned = learn(default_profile(), [one("US 600")])
    assert learned.by_step == ()
    assert len(learned.observations) == 1


def test_what_is_known_of_a_rate_only_grows() -> None:
    spans = []
    for count in range(1, 12):
        rate = learn(default_profile(), [one()] * count).by_step[0]
        spans.append(rate.high / rate.low)
    assert spans == sorted(spans, reverse=True)


some_film = st.lists(st.floats(50.0, 500.0), min_size=1, max_size=6)


@given(some_film, some_film)
def test_film_less_itself_is_nothing(first: list[float], second: list[float]) -> None:
    before = [Reading(um=um, spot=k) for k, um in enumerate(first)]
    same = film_change(before, before)
    assert same is not None
    assert same.removal_um == 0.0
    after = [Reading(um=um, spot=k) for k, um in enumerate(second)]
    there, back = film_change(before, after), film_change(after, before)
    assert there is not None
    assert back is not None
    assert there.removal_um == pytest.approx(-back.removal_um)


def test_other_spots_count_with_the_films_own_spread() -> None:
    before = [Reading(um=400.0, spot=k) for k in range(4)]
    same = film_change(before, [Reading(um=380.0, spot=k) for k in range(4)])
    other = film_change(before, [Reading(um=380.0, spot=k + 10) for k in range(4)])
    assert same is not None
    assert other is not None
    assert same.same_spots
    assert not other.same_spots
    assert same.sd_um == pytest.approx(4.0 * math.sqrt(2 / 4))
    assert other.sd_um == pytest.approx(math.hypot(4.0, 40.0) * math.sqrt(2 / 4))
    assert film_change(before, [Reading(um=380.0, method="loupe at chip")]) is None
    assert film_change([Reading(um=400.0, method="estimate")], [Reading(um=380.0, method="estimate")]) is None
