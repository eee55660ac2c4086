"""The other versions of a job: at the customer's, and the three options of a quote."""

from __future__ import annotations

import math

import pytest
from made_jobs import defect, demo_job, demo_shop, filled_job, job, panel, shop, zone

from finishplan.errors import BadValue, FinishplanError, UnknownKey, UnknownName
from finishplan.office.home import HomeRules, at_home, read_home
from finishplan.office.options import FATE_OF_REPAIR, FATES, OPTIONS, option, options, services
from finishplan.office.variants import LEVELLING
from finishplan.planning.plan import make_plan
from finishplan.planning.result import REPAIRS, Plan
from finishplan.planning.risk import audit
from finishplan.survey.job import Job

RULES = HomeRules()


def repairs(plan: Plan) -> set[str]:
    return {d.repair for p in plan.panels for z in p.zones for d in z.defects}


def sheets(plan: Plan) -> set[str]:
    local = {name for p in plan.panels for z in p.zones for d in z.defects for name in d.local_steps}
    return local | {step.step for p in plan.panels for step in p.steps if step.is_sheet}


def rippled() -> Job:
    return job(panel("lid", zone(defects=[defect("ripple", depth_um=18.0)])),
               panel("rim", zone(defects=[defect("fine_scratch", depth_um=4.0)]), position="upright", off=False))


def test_a_visit_pours_no_resin_and_takes_no_coarse_sheet_and_no_machine() -> None:
    for made in (filled_job(), rippled(), demo_job()):
        answer = at_home(made, shop(), RULES)
        assert "fill" not in repairs(answer.plan)
        assert sheets(answer.plan) <= {"P1500", "P2000", "P2500"}
        ways = {zone.way for p in answer.plan.panels for step in p.steps if step.is_sheet for zone in step.zones}
        assert "machine" not in ways


def test_a_visit_says_what_it_cannot_do_and_why() -> None:
    answer = at_home(filled_job(hardware=[{"task": "polish one caster", "brass": "solid"}]), shop(), RULES)
    said = {(c.panel, c.what): c.why for c in answer.cannot}
    assert said["lid", "chip"] == "no resin is poured at the customer's"
    assert said["lid", "ripple"] == "it takes a sheet coarser than P1500, or a machine"
    assert said["hardware", "polish one caster"] == "the wheel stands in the shop"
    assert ("music desk", "swirls") not in said


def test_with_resin_allowed_and_coarse_sheets_a_visit_does_what_the_shop_does() -> None:
    rules = HomeRules(fills=True, coarsest_sheet="P320", sheets_by="machine")
    answer = at_home(filled_job(), shop(), rules)
    assert answer.cannot == ()
    assert repairs(answer.plan) == repairs(make_plan(filled_job(), shop()))


def test_visits_are_as_many_as_the_hours_take() -> None:
    answer = at_home(rippled(), shop(), RULES)
    assert answer.visits == math.ceil(answer.minutes / 180.0)
    assert at_home(rippled(), shop(), HomeRules(visit_h=24.0)).visits == 1
    assert "wash-down between dust and buffing" not in {line.what for line in answer.lines}


def test_satin_coarser_than_a_visit_waits_for_the_shop() -> None:
    satin = panel("desk", zone(), target={"finish": "satin", "last_sheet": "P1000"})
    answer = at_home(job(satin, panel("lid", zone(defects=[defect("swirls")]))), shop(), RULES)
    assert [(c.panel, c.what) for c in answer.cannot] == [("desk", "satin P1000")]
    with pytest.raises(FinishplanError, match="nothing of this job can be done at the customer's: every panel ends at"):
        at_home(job(satin), shop(), RULES)


@pytest.mark.parametrize(("raw", "kind", "text"), [
    ({"coarsest_sheet": "P1501"}, UnknownName, r"home, coarsest_sheet: step is 'P1501'; did you mean 'P1500'\?"),
    ({"coarsest_sheet": "cutting compound"}, BadValue, "home: coarsest_sheet is 'cutting compound'; name a sheet"),
    ({"sheets_by": "drum"}, BadValue, "home: sheets_by is 'drum'; choose one of: machine, hand block, hand"),
    ({"visit_h": 0}, BadValue, "home: visit_h is 0; give a number over 0"),
    ({"resin": True}, UnknownKey, "home: unknown key 'resin'"),
])
def test_wrong_rules_of_a_visit_are_named(raw: dict[str, object], kind: type[Exception], text: str) -> None:
    with pytest.raises(kind, match=text):
        read_home(raw, shop())


def test_every_repair_has_a_fate() -> None:
    assert set(FATE_OF_REPAIR) == set(REPAIRS)
    assert set(FATE_OF_REPAIR.values()) | {"softened"} == set(FATES)


@pytest.mark.parametrize("made", [demo_job(), filled_job(), rippled()], ids=["demo", "filled", "rippled"])
def test_buffing_only_takes_no_sheet_no_spot_and_no_fill(made: Job) -> None:
    found = option("buff only", made, shop(), draws=0)
    assert found.plan is not None
    assert not sheets(found.plan)
    assert repairs(found.plan) <= {"buff", "leave", "clean", "refer"}


@pytest.mark.parametrize("made", [demo_job(), filled_job(), rippled()], ids=["demo", "filled", "rippled"])
def test_levelling_takes_at_least_its_film_off_every_seen_field_with_a_sheet_first_or_says_where_not(made: Job) -> None:
    found = option("level every seen face", made, shop(), draws=0)
    assert found.plan is not None
    for planned, surveyed in zip(found.plan.panels, made.panels, strict=True):
        for of in planned.zones:
            if of.kind == "field" and surveyed.exposure == "seen" and planned.name not in found.not_levelled:
                assert of.removal_um >= 20.0
                assert of.starts_at is not None
                assert of.starts_at.startswith("P")


def test_levelling_leaves_hidden_and_half_seen_panels_alone() -> None:
    made = job(panel("lid", zone()), panel("back", zone(), exposure="hidden"),
               panel("bottom", zone(), exposure="half seen"))
    found = option("level every seen face", made, shop(), draws=0)
    assert found.plan is not None
    assert [bool(p.sequence) for p in found.plan.panels] == [True, False, False]
    assert not [one for one in found.outcomes if one.what == LEVELLING.name]


def test_repairing_what_shows_is_the_plan() -> None:
    assert option("repair what shows", demo_job(), demo_shop(), draws=0).plan == make_plan(demo_job(), demo_shop())


def test_what_stays_is_listed_with_the_view_that_shows_it() -> None:
    made = job(panel("lid", zone(defects=[
        defect("crack", seen_in="overall"), defect("swirls"), defect("fine_scratch", seen_in="lamp"),
        defect("scratch", depth_um=12.0, wish="soften"), defect("etch", depth_um=4.0, wish="leave")])))
    found = option("repair what shows", made, shop(), draws=0)
    fates = {one.what: (one.fate, one.seen_in, one.seen) for one in found.outcomes}
    assert fates["crack"] == ("stays", "overall", True)
    assert fates["swirls"] == ("goes", None, False)
    assert fates["fine scratch"] == ("stays", "lamp", False)
    assert fates["scratch"][0] == "softened"
    assert fates["etch mark"] == ("stays", None, True)
    assert {one.what for one in found.stays_visible} == {"crack", "scratch", "etch mark"}


def test_services_are_spare_film_over_what_one_service_takes() -> None:
    of = make_plan(rippled(), shop()).panels[0].zones[0]
    one = (1.0 + of.overcut) * of.removal_um
    before, after = services(of, 3)
    assert before == min(3, math.floor((of.film_low_um - of.keep_um) / one))
    assert after == max(0, min(3, math.floor((of.film_low_um - of.keep_um) / one) - 1)) or before == 3
    assert services(of, 100)[1] == services(of, 100)[0] - 1  # type: ignore[operator]


def test_a_job_that_buffing_does_not_reach_does_nothing_and_says_so() -> None:
    made = job(panel("lid", zone(defects=[defect("chip", depth_um=300.0, length_mm=5.0, width_mm=4.0)])))
    assert not option("buff only", made, shop(), draws=0).does_anything
    satin = job(panel("desk", zone(defects=[defect("swirls")]), target={"finish": "satin", "last_sheet": "P1000"}))
    found = option("buff only", satin, shop(), draws=0)
    assert found.plan is None
    assert [one.fate for one in found.outcomes] == ["stays"]


def test_the_risk_of_an_option_is_that_of_the_audit() -> None:
    found = option("repair what shows", demo_job(), demo_shop(), draws=2000, seed=5)
    assert found.plan is not None
    assert found.sand_through == audit(demo_job(), demo_shop(), found.plan, 5, 2000, readings=False).any_sand_through
    assert found.minute_factors is not None
    assert len(found.minute_factors) == 2000
    assert option("repair what shows", demo_job(), demo_shop(), draws=0).sand_through is None


def test_options_at_home_keep_to_the_visit() -> None:
    for found in options(filled_job(site={"kind": "home"}), shop(), draws=0):
        assert found.plan is not None
        assert "fill" not in repairs(found.plan)
        assert sheets(found.plan) <= {"P1500", "P2000", "P2500"}


def test_an_unknown_option_is_named() -> None:
    with pytest.raises(UnknownName, match=f"option is 'all'; choose one of: {', '.join(OPTIONS)}"):
        option("all", demo_job(), demo_shop())
