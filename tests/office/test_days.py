"""The days of real jobs: order of the work, clocks, appointments, people, and what is refused."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random

import pytest
from made_jobs import MONDAY, PEOPLE, START, defect, demo_job, demo_shop, filled_job, job, order, panel, shop, zone
from schedule_checker import broken_rules

from finishplan.errors import BadValue, FinishplanError
from finishplan.office.schedule import Days, Row, due_date, plan_days, works_of
from finishplan.office.schedule_search import Search
from finishplan.office.schedule_tasks import PHASES, JobOrder
from finishplan.office.terms import OfficeFigures
from finishplan.shop.profile import Profile

HARDWARE = [{"task": "lid off"}, {"task": "long hinge off"},
            {"task": "polish one long hinge on its own wheel", "brass": "solid"}]


def days_of(orders: list[JobOrder], profile: Profile, **more: object) -> Days:
    return plan_days(orders, profile, START, **more)  # type: ignore[arg-type]


def rows_of(days: Days, phase: str, key: str = "J") -> list[Row]:
    return [row for row in days.rows if row.phase == phase and row.job == key]


def first(rows: list[Row]) -> datetime:
    return min(row.spans[0][0] for row in rows)


def last(rows: list[Row]) -> datetime:
    return max(row.spans[-1][1] for row in rows)


def named(days: Days, what: str) -> Row:
    return next(row for row in days.rows if row.what == what)


FILLED = days_of([order(filled_job(hardware=HARDWARE), shop())], shop())


def test_all_sanding_comes_before_the_wash_down_and_that_before_the_first_compound() -> None:
    assert last(rows_of(FILLED, "sand")) <= first(rows_of(FILLED, "wash"))
    assert last(rows_of(FILLED, "wash")) <= first(rows_of(FILLED, "buff"))


def test_fills_come_first_and_both_cure_clocks_run() -> None:
    poured = named(FILLED, "lid: fills poured").spans[-1][1]
    assert named(FILLED, "lid: fills cut").spans[0][0] >= poured + timedelta(hours=24)
    assert named(FILLED, "lid: fills levelled").spans[0][0] >= poured + timedelta(hours=72)
    assert poured <= first(rows_of(FILLED, "sand"))


def test_a_colder_room_cures_longer() -> None:
    profile = shop(policy={"cure_min_c": 8.0})
    cold = days_of([order(filled_job(site={"temperature_c": 10.0}), profile)], profile)
    poured = named(cold, "lid: fills poured").spans[-1][1]
    assert named(cold, "lid: fills levelled").spans[0][0] >= poured + timedelta(hours=144)


def test_the_final_look_waits_a_night_and_the_rest_after_intake_a_day() -> None:
    assert first(rows_of(FILLED, "look")).date() >= last(rows_of(FILLED, "buff")).date()
    assert named(FILLED, "next-day cold check").spans[0][0].date() > last(rows_of(FILLED, "buff")).date()
    rested = named(FILLED, "intake and photos").spans[-1][1] + timedelta(hours=24)
    assert named(FILLED, "clean and de-wax").spans[0][0] >= rested


def test_hardware_comes_off_before_the_bench_is_polished_in_between_and_goes_on_after_the_cold_look() -> None:
    off = named(FILLED, "lid off")
    assert len(off.people) == 2
    assert off.spans[-1][1] <= first(rows_of(FILLED, "fill"))
    polished = named(FILLED, "polish one long hinge on its own wheel")
    back = named(FILLED, "lid refitted")
    assert named(FILLED, "long hinge off").spans[-1][1] <= polished.spans[0][0]
    assert polished.spans[-1][1] <= back.spans[0][0]
    assert named(FILLED, "next-day cold check").spans[-1][1] <= back.spans[0][0]
    assert len(back.people) == 2


def test_a_trainee_s_work_is_signed_before_the_wash_down() -> None:
    made = filled_job(crew={"worker": "trainee"})
    days = days_of([order(made, shop())], shop())
    signed = named(days, "looked over and signed, sanding")
    assert signed.people == ("A",)
    assert signed.spans[0][0] >= max(row.spans[-1][1] for row in rows_of(days, "sand") if row.people == ("B",))
    assert signed.spans[-1][1] <= first(rows_of(days, "wash"))


def test_every_rule_holds_for_three_real_jobs_and_the_bound_is_below() -> None:
    profile = demo_shop()
    later = MONDAY + timedelta(days=2)
    orders = [order(demo_job(), profile, "demo"), order(filled_job(), profile, "fill", arrives=later),
              order(filled_job(hardware=HARDWARE), profile, "hinge", due=date(2026, 3, 20))]
    closed, away = frozenset({date(2026, 3, 5)}), {"T1": [date(2026, 3, 6)]}
    works, _ = works_of(orders, profile, START, OfficeFigures(), closed, away)
    found = Search(works, {}, Random(1)).go(tries=30)
    assert broken_rules(works, found.placed) == []
    assert found.bound <= found.score.last


def test_a_person_s_day_of_vibration_is_never_over_the_cap() -> None:
    profile = shop(tools=[{"way": "machine", "for": "sheet", "a_m_s2": 8.0}])
    made = job(panel("lid", zone(area_m2=3.0, defects=[defect("ripple", depth_um=40.0)])),
               panel("rim", zone(area_m2=2.0, defects=[defect("ripple", depth_um=30.0)])))
    days = days_of([order(made, profile)], profile)
    by_day: dict[date, float] = {}
    for row in rows_of(days, "sand"):
        if "set up" not in row.what:
            for begin, end in row.spans:
                by_day[begin.date()] = by_day.get(begin.date(), 0.0) + (end - begin).total_seconds() / 60.0
    assert len(by_day) > 2
    assert max(by_day.values()) <= 480.0 * (2.5 / 8.0) ** 2 * 1.5
    assert any("machine for sanding at 8 m/s2 is planned for at most 45 min" in note for note in days.notes)


def test_the_days_of_the_demo_reach_their_bound() -> None:
    """Regression: the demo job in the demo shop, from Monday 2 March 2026."""
    days = days_of([order(demo_job(), demo_shop())], demo_shop())
    assert days.gap_min == 0
    assert days.ready == days.bound == days.jobs[0].earliest
    assert (days.jobs[0].working_days, days.jobs[0].calendar_days) == (5, 8)


def test_rows_tell_who_and_the_minutes_of_each_person_add_up() -> None:
    total = dict.fromkeys(FILLED.names, 0)
    for row in FILLED.rows:
        assert row.phase in PHASES
        assert sum((end - begin).total_seconds() for begin, end in row.spans) == row.minutes * 60
        for person in row.people:
            total[person] += row.minutes
    assert total == FILLED.person_minutes
    assert FILLED.names == {"A": "Ada (invented)", "B": "Ben (invented)"}


def test_a_surveyed_job_starts_at_the_bench() -> None:
    days = days_of([order(filled_job(), shop(), surveyed=True)], shop())
    assert not rows_of(days, "intake")
    assert days.ready < FILLED.ready
    assert first(rows_of(days, "fill")).date() == MONDAY


def test_a_shop_of_one_brings_in_a_helper_and_says_so() -> None:
    profile = shop(people=PEOPLE[:1])
    days = days_of([order(filled_job(hardware=HARDWARE), profile)], profile)
    assert named(days, "lid off").people == ("A",)
    assert any("More hands than the shop has, by appointment: lid off and lid refitted." in note for note in days.notes)


def test_a_shop_that_says_nothing_has_one_finisher_and_usual_hours() -> None:
    profile = shop(people=[])
    days = days_of([order(filled_job(), profile)], profile)
    assert list(days.names) == ["finisher"]
    assert any(note.startswith("Working hours: Monday to Friday") for note in days.notes)
    assert all(8 <= begin.hour < 16 and begin.weekday() < 5 for row in days.rows for begin, _ in row.spans)


def test_closed_days_and_days_off_are_kept() -> None:
    closed, off = date(2026, 3, 4), date(2026, 3, 5)
    days = days_of([order(filled_job(), shop())], shop(), closed=[closed], away={"A": [off]})
    worked = {begin.date() for row in days.rows for begin, _ in row.spans}
    assert closed not in worked
    assert not [row for row in days.rows if "A" in row.people and any(b.date() == off for b, _ in row.spans)]


def test_work_at_home_is_visits_on_days_of_their_own() -> None:
    made = job(panel("lid", zone(defects=[defect("swirls")])), panel("rim", zone(defects=[defect("dull_area")])),
               site={"kind": "home"})
    days = days_of([order(made, shop())], shop())
    visits = rows_of(days, "visit")
    assert len(visits) == len({row.spans[0][0].date() for row in visits}) == 2
    assert [row.what for row in visits] == ["visit 1 of 2", "visit 2 of 2"]


def test_late_jobs_are_counted_in_days() -> None:
    days = days_of([order(filled_job(), shop(), due=date(2026, 3, 3))], shop())
    assert days.jobs[0].late_days == (days.ready.date() - date(2026, 3, 3)).days > 0


def test_more_jobs_than_hours_keep_all_rules_and_twenty_are_done_in_time() -> None:
    made = filled_job()
    orders = [order(made, shop(), f"J{k}") for k in range(20)]
    days = days_of(orders, shop(), tries=12)
    assert len(days.jobs) == 20
    assert days.bound <= days.ready
    assert days.gap_days <= 3


@pytest.mark.parametrize(("text", "says"), [
    ("31.5.2026", r"due: due is '31.5.2026'; write the day as 2026-05-31, or leave it out"),
    ("soon", r"due: due is 'soon'; write the day as 2026-05-31"),
])
def test_a_due_date_that_is_none_is_named(text: str, says: str) -> None:
    with pytest.raises(BadValue, match=says):
        due_date(text)


def test_due_dates_are_read() -> None:
    assert due_date("2026-05-31") == date(2026, 5, 31)
    assert due_date(None) is due_date(" ") is None


def test_what_cannot_be_put_into_days_is_said() -> None:
    made = order(filled_job(), shop())
    with pytest.raises(BadValue, match=r"due is '2026-03-01'; it is before 2026-03-02; give a later day"):
        days_of([order(filled_job(), shop(), due=date(2026, 3, 1))], shop())
    with pytest.raises(BadValue, match=r"job key is 'J'; it stands twice; give each job its own"):
        days_of([made, made], shop())
    with pytest.raises(FinishplanError, match="no job to be put into days; name at least one"):
        days_of([], shop())
    with pytest.raises(BadValue, match=r"days off: person is 'Zoe'; nobody has that id; known: A, B"):
        days_of([made], shop(), away={"Zoe": [MONDAY]})
    with pytest.raises(BadValue, match=r"site: temperature_c is 15; no fill is poured under 18 C; warm the room"):
        days_of([order(filled_job(site={"temperature_c": 15.0}), shop())], shop())
    with pytest.raises(FinishplanError, match="hours: the week has no working time"):
        days_of([made], shop(hours={"mon": []}))
    with pytest.raises(FinishplanError, match=r"nobody in the shop is a trainee, and .* needs one"):
        days_of([order(filled_job(crew={"worker": "trainee"}), shop())], shop(people=PEOPLE[:1]))
