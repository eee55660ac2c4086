"""Why, how sure and from what, in words: signed differences, chances as "1 in n", sources without idle ones."""

from __future__ import annotations

import re
from dataclasses import replace

import made_plans as made
import pytest

from finishplan.paper import lines, plan_text, risk_words, sources_used, why_words
from finishplan.planning.materials import MaterialLine
from finishplan.planning.result import AskingLess, CloseCall, CurvePoint, RunnerUp
from finishplan.planning.risk import audit
from finishplan.planning.risk_result import Chance, Levels, ServicesLeft
from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.reference import Sourced
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict
from finishplan.workup import Answer, Beside, work_up


def demo(**changes: object) -> Job:
    return read_job_dict({**read_job_bytes(demo_job_path().read_bytes()), **changes})


def demo_shop() -> Profile:
    return apply_shop(default_profile(), read_shop_bytes(demo_shop_path().read_bytes()))


@pytest.fixture(scope="module")
def answer() -> Answer:
    return work_up(demo(), demo_shop(), draws=0)


# Why.


def test_rows_keep_the_sign_of_a_price() -> None:
    runner = RunnerUp("start at P600 instead", 14.4, 3.2, -0.26, 1, 1)
    assert why_words.runner_row(runner) == ("Start at P600 instead", "+14 min", "-0.3", "one more, one more untouched")
    less = AskingLess("lid, field: nick", "leave", 50.0, -1.26, 1)
    assert why_words.less_row(less) == ("lid, field: nick", "leave", "-50 min", "+1.3", "one fewer")


def test_a_close_call_says_by_how_much_and_what_changes() -> None:
    met = CloseCall("film", "field: film to spend", 3.9, "with a tenth less film: +12 min")
    assert why_words.close_words(met) == "Field: film to spend, met with 3 um in hand; with a tenth less film: +12 min."
    short = CloseCall("film", "edge: film to spend", -9.2, "with 10 um more: one fewer not dealt with")
    assert "10 um short" in why_words.close_words(short)


def test_a_favour_in_force_is_said_by_word_and_others_by_their_difference() -> None:
    plan = replace(made.plan(made.lid()), film_against_time=(
        CurvePoint("quick, balanced", 227.0, 36.0), CurvePoint("keep film", 240.5, 30.0)))
    assert why_words.favour_words(plan, "balanced").startswith("In force: minutes and film together; 3 h 45 at the pan")
    assert why_words.favour_words(plan, "keep film") == f"film first; +14 min, {30.0 - plan.film_um_m2:.1f} cm3 of film"
    assert why_words.favour_words(replace(plan, film_against_time=()), "quick") == "fewest minutes"


def test_own_sequence_names_only_panels_that_go_otherwise() -> None:
    lid, rim = made.lid(), made.panel(made.zone(), name="rim")
    plan = made.plan(lid, rim)
    other = Beside("the best plan", 14.0, -3.0, 0, (("main lid, top face", ("P800",)), ("rim", ())))
    found = why_words.own_sequence_words(plan, ("P800", "cutting compound"), other)
    assert found[0] == "Your sequence P800, cutting against the best plan: +14 min, -3.0 cm3 of film."
    assert len(found) == 2 and found[1].startswith("main lid, top face: the best plan goes P800; yours P800, P1500")
    same = Beside("the best plan", 0.0, 0.0, 0, tuple((p.name, p.sequence) for p in plan.panels))
    assert why_words.own_sequence_words(plan, ("P800",), same) == (
        "Your sequence P800 against the best plan: the same time and film.",
        "The best plan takes the same steps on every panel.")


def test_a_test_spot_is_told_with_place_steps_and_change() -> None:
    spot = {"panel": "main lid, top", "zone": "field", "defect": 0, "steps": [
        {"step": "polishing compound", "minutes": 3.0}, {"step": "P1500", "minutes": 2.0, "cleared": True}]}
    job = demo(test_spot=spot)
    assert why_words.spot_place_words(job) == "main lid, top, field: 2 scratches"
    assert why_words.spot_steps_words(job) == "Polishing 3 min (still there) then P1500 2 min (gone)."
    found = work_up(job, demo_shop(), draws=0)
    assert found.before_test_spot is not None
    lines = why_words.spot_words(found.plan, found.before_test_spot)
    assert lines[0].startswith("This plan against the one before the test spot: ")
    assert why_words.spot_place_words(demo()) == "" == why_words.spot_steps_words(demo())


@pytest.mark.parametrize(("line", "said"), [
    (MaterialLine("sheet P600", 1.0, "sheets", None, "wet, graded P"), "sheet P600: 1 sheet (wet, graded P)"),
    (MaterialLine("sheet P800", 4.0, "sheets", 1, ""), "sheet P800: 4 sheets, one pack"),
    (MaterialLine("fill resin", None, "g", None, "no fill has a size"), "fill resin: – (no fill has a size)"),
])
def test_things_to_lay_out_say_how_much_or_why_not(line: MaterialLine, said: str) -> None:
    assert lines.material_words(line) == said


# How sure.

ONE_IN = r"\d+ in \d+"


def test_chances_are_one_in_n_with_how_far_the_draws_leave_them_open() -> None:
    assert risk_words.spread_words(Chance(0.0, 0.0), 20_000) == "under 1 in 6600"
    assert risk_words.spread_words(Chance(0.5, 0.0035), 20_000).startswith("1 in 2")
    found = risk_words.spread_words(Chance(0.0075, 0.0006), 20_000)
    assert re.fullmatch(r"1 in 130 \(1 in 12\d to 1 in 14\d\)", found), found
    few = risk_words.spread_words(Chance(1 / 20_000, 1 / 20_000), 20_000)
    assert few == "under 1 in 4200", "one draw in all leaves no range to tell"


def test_hours_and_cost_are_rows_planned_first() -> None:
    found = Levels(100.0, 110.0, 130.0, 150.5, (1.0, 1.0, 1.0))
    assert risk_words.hours_row(found) == (risk_words.HOURS, "1 h 40", "1 h 50", "2 h 10", "2 h 30")
    assert risk_words.cost_row(found, "EUR") == ("labour, EUR", "100", "110", "130", "151")
    assert risk_words.cost_row(found, "")[0] == "labour"
    assert risk_words.services_words(ServicesLeft((2, 3), (1, 1))) == "2 to 3, then 1"
    assert risk_words.services_words(None) == "–"


def test_the_audit_of_the_demo_reads_well(answer: Answer) -> None:
    risk = audit(answer.job, answer.profile, answer.plan, 1, 4000)
    rows = [risk_words.zone_row(zone, risk.draws) for zone in risk.zones]
    assert [row[0] for row in rows] == [f"{p.name}, {z.name}" for p in answer.plan.panels for z in p.zones]
    for row, zone in zip(rows, risk.zones, strict=True):
        assert len(row) == len(risk_words.ZONE_HEADS)
        shown = rf"(under )?{ONE_IN}( \({ONE_IN} to {ONE_IN}\))?|–|none"
        assert all(re.fullmatch(shown, cell) for cell in row[1:5]), row
        assert (row[1] == "–") == (not zone.worked)
    assert "4,000 draws, seed 1" in risk_words.basis_words(risk) and "no test spot yet" in risk_words.basis_words(risk)
    assert risk_words.readings_words(risk)[0].startswith("Take ")
    assert risk_words.readings_words(replace(risk, next_readings=())) == (
        "No further reading would change what is planned.",)


# From what.


def test_only_figures_that_the_plan_uses_are_listed(answer: Answer) -> None:
    found = sources_used.figures_used(answer.plan, answer.profile)
    names = {given.name for given in found}
    assert {"P800, scratch depth", "cutting compound, removal rate", "rotary for compound, speed"} <= names
    assert not any(name.startswith(("P320,", "P2000,", "wheel for")) for name in names)
    assert "one fill and its levelling" in names and "film that must stay, by build and place: edge" in names
    assert not any("{" in str(given.value) or "_" in given.name for given in found)
    bare = replace(answer.plan, panels=answer.plan.panels[3:4])
    less = {given.name for given in sources_used.figures_used(bare, answer.profile)}
    assert "one fill and its levelling" not in less and "handling of one spot" not in less


def test_an_own_figure_is_told_as_the_shops() -> None:
    shop = apply_shop(default_profile(), {"format": "finishplan-shop", "version": 1, "policy": {"clearing": 2.5}})
    found = sources_used.figures_used(work_up(demo(), shop, draws=0).plan, shop)
    own = [given for given in found if given.kind == "measured here"]
    assert [(given.value, given.source) for given in own] == [(2.5, "our shop's policy")]
    assert re.fullmatch(r"This plan rests on \d+ figures: \d+ assumed \(a start value, .*\) and 1 measured here "
                        r"\(the shop's own figure\)\.", sources_used.kinds_words(found))


@pytest.mark.parametrize(("value", "said"), [(0.15, "0.15"), (1e4, "10000"), (405.8333, "405.8"), ("none", "none")])
def test_values_have_four_digits(value: float | str, said: str) -> None:
    assert sources_used.figure_row(Sourced("x", value, "um", "assumed", "y")) == ("x", said, "um", "assumed", "y")


def test_a_panel_takes_the_same_of_the_same_film_on_the_page_and_in_plain_text(answer: Answer) -> None:
    """One zone stands for a panel: the one that takes the largest share of its film to spend."""
    said = {panel.name: re.findall(r"takes .*? um to spend(?: at [^,.]*)?", lines.panel_gist(panel))
            for panel in answer.plan.panels if lines.panel_verdict(panel) == "go"}
    plain = {panel.name: re.findall(r"takes .*? um to spend(?: at [^,.]*)?", plan_text.panel_line(panel))
             for panel in answer.plan.panels if panel.name in said}
    assert said == plain and any(said.values())
