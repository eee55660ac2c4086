"""The labour table: it adds up, hardware does what its material allows, and every role has its minutes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_jobs import defect, demo_job, demo_shop, filled_job, job, panel, shop, zone

from finishplan import reference
from finishplan.errors import UnknownName
from finishplan.office.hardware import BRASS_WORK, DOES, NO_KEYTOPS, hardware_table, hardware_work
from finishplan.office.labour import (
    COUNTED_BY,
    GROUPS,
    LabourLine,
    labour,
    minutes_by_group,
    minutes_by_role,
    role_costs,
    total_minutes,
    whole_minutes,
)
from finishplan.office.terms import CostPerHour, OfficeFigures, read_figures
from finishplan.planning.plan import make_plan
from finishplan.survey.choices import BRASS
from finishplan.survey.job import Job

POLISH = "polish one long hinge on its own wheel"


def with_hardware(*tasks: dict[str, object], **more: object) -> Job:
    return job(panel("lid", zone(defects=[defect("swirls")])), hardware=list(tasks), **more)


def lines_of(of: Job) -> tuple[LabourLine, ...]:
    return labour(of, make_plan(of, shop()))


@given(st.lists(st.floats(0.0, 500.0), max_size=40))
def test_whole_minutes_add_up_and_are_each_within_one(minutes: list[float]) -> None:
    whole = whole_minutes(minutes)
    assert sum(whole) == math.floor(math.fsum(minutes) + 0.5)
    assert all(abs(a - b) < 1.0 for a, b in zip(whole, minutes, strict=True))


def test_every_allowance_of_the_table_is_counted_by_something() -> None:
    assert [row["what"] for row in reference.rows("allowances")] == list(COUNTED_BY)


def test_every_hardware_task_does_a_known_thing_and_every_brass_has_its_work() -> None:
    assert {row.does for row in hardware_table().values()} == set(DOES)
    assert set(BRASS_WORK) == set(BRASS)


def test_the_table_of_the_demo_adds_up_by_group_by_role_and_in_whole_minutes() -> None:
    lines = labour(demo_job(), make_plan(demo_job(), demo_shop()))
    total = total_minutes(lines)
    assert math.isclose(sum(minutes_by_group(lines).values()), total)
    assert math.isclose(sum(minutes_by_role(lines).values()), total)
    assert sum(whole_minutes([line.minutes for line in lines])) == round(total)
    assert set(minutes_by_group(lines)) == set(GROUPS)


def test_the_plan_s_own_minutes_are_all_in_the_table() -> None:
    for made in (demo_job(), filled_job()):
        plan = make_plan(made, shop())
        assert math.isclose(minutes_by_group(labour(made, plan))["plan"], plan.minutes)


def test_refitting_takes_its_factor_of_taking_off_and_keeps_its_people() -> None:
    work = {w.what: w for w in hardware_work(with_hardware({"task": "lid off"}), OfficeFigures())}
    assert (work["lid off"].person_minutes, work["lid off"].people) == (30.0, 2)
    assert (work["lid refitted"].person_minutes, work["lid refitted"].people) == (pytest.approx(39.0), 2)
    more = hardware_work(with_hardware({"task": "lid off"}), OfficeFigures(refit_factor=2.0))
    assert more[-1].person_minutes == 60.0


@pytest.mark.parametrize(("brass", "does", "minutes", "wheel"), [
    ("solid", "polish", 30.0, True), ("plated", "clean", 8.0, False),
    ("lacquered", "wash", 8.0, False), ("unknown", "clean", 8.0, False),
])
def test_only_solid_brass_is_polished(brass: str, does: str, minutes: float, wheel: bool) -> None:
    (work,) = hardware_work(with_hardware({"task": POLISH, "brass": brass}), OfficeFigures())
    assert (work.does, work.person_minutes, work.wheel) == (does, minutes, wheel)


def test_keytops_are_buffed_only_when_shown_to_be_plastic() -> None:
    made = with_hardware({"task": "buff a set of plastic keytops"})
    (kept,) = hardware_work(made, OfficeFigures())
    assert (kept.does, kept.wheel, kept.note) == ("clean", False, NO_KEYTOPS)
    (buffed,) = hardware_work(made, OfficeFigures(), plastic_keytops=True)
    assert (buffed.does, buffed.wheel, buffed.person_minutes) == ("keytops", True, 60.0)


def test_an_unknown_hardware_task_is_named_with_its_choices() -> None:
    with pytest.raises(UnknownName, match=r"hardware task 2: task is 'lidd off'; did you mean 'lid off'\? choose"):
        lines_of(with_hardware({"task": "lock off"}, {"task": "lidd off"}))


def test_two_people_share_an_appointment_between_lead_and_helper() -> None:
    line = next(line for line in lines_of(with_hardware({"task": "lid off", "count": 2})) if line.what == "lid off x 2")
    assert line.by_role() == {"finisher": 30.0, "helper": 30.0}
    assert line.clock_minutes == 30.0


def test_a_finisher_supervises_a_share_of_the_trainee_s_hours() -> None:
    made = with_hardware(crew={"worker": "trainee"})
    lines = lines_of(made)
    trainee = minutes_by_role(lines)["trainee"]
    supervision = next(line for line in lines if line.group == "supervision")
    assert supervision.minutes == pytest.approx(0.15 * trainee)
    assert supervision.role == "finisher"
    assert not [line for line in lines_of(with_hardware()) if line.group == "supervision"]


def test_a_spot_makes_dust_so_there_is_a_wash_down_before_the_compounds() -> None:
    made = job(panel("lid", zone(area_m2=2.0, defects=[defect("scratch", depth_um=30.0, length_mm=20.0)])))
    plan = make_plan(made, shop())
    assert plan.kits == ("spot",)
    assert not any(step.is_sheet for p in plan.panels for step in p.steps)
    assert "wash-down between dust and buffing" in {line.what for line in labour(made, plan)}


def test_rates_come_from_people_then_terms_and_a_helper_is_paid_as_a_trainee() -> None:
    lines = lines_of(with_hardware({"task": "lid off"}))
    roles = {role.role: role for role in role_costs(lines, shop().file.people)}
    assert (roles["finisher"].rate_per_h, roles["helper"].rate_per_h) == (60.0, 30.0)
    assert roles["helper"].rate_from == "as a trainee"
    assert roles["finisher"].cost == pytest.approx(roles["finisher"].minutes)
    bare = {role.role: role for role in role_costs(lines, (), CostPerHour(finisher=50.0))}
    assert (bare["finisher"].rate_per_h, bare["helper"].rate_from) == (50.0, "as a finisher")
    assert role_costs(lines)[0].cost is None


def test_the_shops_own_minutes_count_and_say_that_they_are() -> None:
    made = with_hardware({"task": "lid off"}, {"task": POLISH, "brass": "plated"})
    plan = make_plan(made, shop())
    own = read_figures({"allowance_min": {"intake and photos": 12.0, "office": 0.0},
                        "hardware_min": {"lid off": 24.0}, "hardware_clean_min": {POLISH: 6.0}})
    lines, shipped = {line.what: line for line in labour(made, plan, own)}, labour(made, plan)
    assert (lines["intake and photos"].minutes, lines["intake and photos"].kind) == (12.0, "measured here")
    assert "office" not in lines and any(line.what == "office" for line in shipped)
    assert (lines["lid off"].minutes, lines["lid off"].kind) == (24.0, "measured here")
    assert lines["lid refitted"].minutes == 24.0 * own.refit_factor
    cleaned = next(line for what, line in lines.items() if what.startswith(POLISH))
    assert (cleaned.minutes, cleaned.kind) == (6.0, "measured here")
    untouched = {line.what: line for line in shipped}
    assert lines["survey"] == untouched["survey"] and lines["survey"].kind == "from memory"
