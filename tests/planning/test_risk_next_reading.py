"""The worth of the next reading, against the survey's own count, a numeric integral and planning again."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from risk_cases import job_dict, one_zone, panel_dict, planned, readings, scratch, zone_dict
from scipy.integrate import quad
from scipy.special import gammaln

from finishplan.planning.next_reading import (
    MORE,
    READING_DRAWS,
    Need,
    NextReading,
    cases_words,
    freeing_spare_um,
    low_film_um,
    next_readings_of,
    planned_film_um,
    reading_words,
    share_of,
)
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.risk import audit
from finishplan.planning.risk_model import RiskFigures, risk_model
from finishplan.planning.search import JobTables
from finishplan.planning.verdicts import refusals
from finishplan.shop.policy import Policy
from finishplan.survey.film import METHODS, film_from, sample_sd
from finishplan.survey.job import Reading

RIPPLE = {"kind": "ripple", "wish": "remove"}


def worth_of(job: dict[str, Any], shop: dict[str, Any] | None = None, seed: int = 1) -> tuple[NextReading, ...]:
    read, profile, plan = planned(job, shop)
    problem = build_problem(read, profile)
    return next_readings_of(problem, plan, risk_model(problem, plan, RiskFigures()), seed)


def squares(values: list[float]) -> float:
    return (len(values) - 1) * sample_sd(values) ** 2


@pytest.mark.parametrize("known, new", [
    ([400.0], [350.0]), ([412.0, 398.0], [405.0, 380.0, 441.0]), ([], [390.0]), ([], [390.0, 300.0]),
    ([120.0, 90.0, 300.0], [20.0] * 8)])
@pytest.mark.parametrize("policy", [Policy(), Policy(prior_worth=1.0, prior_share=0.2), Policy(prior_worth=0.0)])
def test_film_after_new_readings_is_the_surveys_own_count(
    known: list[float], new: list[float], policy: Policy
) -> None:
    methods = ["ultrasonic"] * (len(known) + len(new))
    by_survey = film_from(known + new, methods, coverage=policy.coverage, confidence=policy.confidence,
                          prior_share=policy.prior_share, prior_worth=policy.prior_worth)
    mean = sum(known) / len(known) if known else 0.0
    after = low_film_um(policy, (len(known), mean, squares(known) if known else 0.0),
                        (len(new), np.array([sum(new) / len(new)]), np.array([squares(new)])),
                        (METHODS["ultrasonic"],))
    assert float(after[0]) == pytest.approx(by_survey.low_um, abs=1e-9)


def student_density(x: float, nu: float) -> float:
    log = gammaln((nu + 1) / 2) - gammaln(nu / 2) - 0.5 * math.log(nu * math.pi)
    return math.exp(log - (nu + 1) / 2 * math.log1p(x * x / nu))


@pytest.mark.parametrize("values", [(400.0,), (412.0, 398.0), (420.0, 431.0, 405.0, 415.0)])
def test_expected_film_after_one_reading_is_the_integral_over_student_t(values: tuple[float, ...]) -> None:
    # the next reading is mean + spread sqrt(1 + 1/n) t; the gauge shifts all readings alike and is left out
    policy, n = Policy(), len(values)
    film = film_from(values, ["ultrasonic"] * n)
    nu = policy.prior_worth + n - 1
    step = film.spread_um * math.sqrt(1.0 + 1.0 / n)

    def part(t: float) -> float:
        after = film_from([*values, max(1e-9, film.mean_um + step * t)], ["ultrasonic"] * (n + 1))
        return after.low_um * student_density(t, nu)

    expected = quad(part, -40.0, 40.0, limit=400)[0] - film.low_um
    found = worth_of(one_zone(scratch(), readings=readings(*values)))[0].worth[0]
    assert found.more == 1
    assert found.film_um == pytest.approx(expected, abs=4.0 * film.spread_um / math.sqrt(READING_DRAWS))


def test_more_readings_bring_more_film_and_less_each() -> None:
    worth = worth_of(one_zone(scratch(), readings=readings(400.0, 410.0, 420.0)))[0].worth
    gains = [w.film_um for w in worth]
    assert [w.more for w in worth] == list(MORE)
    assert gains == sorted(gains)
    each = [gain / w.more for gain, w in zip(gains, worth, strict=True)]
    assert each == sorted(each, reverse=True)
    assert [w.minutes for w in worth] == pytest.approx([0.35 * k for k in MORE])


@pytest.mark.parametrize("values, depth_um", [((205.0, 195.0), 23.0), ((190.0, 185.0), 23.0)])
def test_chance_that_work_opens_is_that_of_planning_again(values: tuple[float, ...], depth_um: float) -> None:
    # draw the next reading, put it into the job, plan the whole job again and count the zones that are go
    job = one_zone({"kind": "ripple", "wish": "remove", "depth_um": depth_um}, readings=readings(*values))
    read, profile, plan = planned(job)
    assert plan.panels[0].zones[0].verdict == "measure first"
    told = worth_of(job)[0].worth[0].opens
    film, rng, tries, go = film_from(values, ["ultrasonic"] * 2), np.random.default_rng(11), 200, 0
    nu = profile.policy.prior_worth + 1
    for t in rng.standard_t(nu, tries):
        um = max(1.0, film.mean_um + film.spread_um * math.sqrt(1.5) * float(t))
        zone = read.panels[0].zones[0]
        more = zone.model_copy(update={"readings": (*zone.readings, Reading(um=um))})
        panel = read.panels[0].model_copy(update={"zones": (more,)})
        again = make_plan(read.model_copy(update={"panels": (panel,)}), profile)
        # a reading that looks like an echo asks for another; that is not what is counted here
        zone_plan = again.panels[0].zones[0]
        go += zone_plan.verdict == "go" or bool(zone_plan.suspect_readings)
    assert 0.2 < told < 0.9
    assert told == pytest.approx(go / tries, abs=3.5 * math.sqrt(told * (1.0 - told) / tries))


def test_least_film_that_frees_is_found_by_planning_again() -> None:
    job = one_zone({"kind": "ripple", "wish": "remove", "depth_um": 60.0}, readings=readings(170.0, 175.0, 172.0))
    read, profile, plan = planned(job)
    problem = build_problem(read, profile)
    tables = JobTables(problem)
    assert any(d.repair == "refer" for d in plan.panels[0].zones[0].defects)
    spare = freeing_spare_um(problem, tables, (0, 0))
    assert spare is not None

    def refused(spare_um: float) -> int:
        other = JobTables(problem.with_spare(lambda zone: spare_um))
        return len(refusals(other, other.choose())[0, 0])

    assert refused(spare) < refused(spare - 1.0)


def test_film_that_is_not_the_reason_frees_nothing() -> None:
    read, profile, _ = planned(one_zone({"kind": "crack"}))
    problem = build_problem(read, profile)
    assert freeing_spare_um(problem, JobTables(problem), (0, 0)) is None
    assert worth_of(one_zone({"kind": "crack"})) == ()


def test_planned_work_needs_no_more_than_there_is() -> None:
    read, profile, plan = planned(one_zone(
        scratch(depth_um=25.0, at={"x": 0.5, "y": 0.5}), {"kind": "swirls", "wish": "remove"}, area_m2=2.0))
    problem, zone = build_problem(read, profile), plan.panels[0].zones[0]
    need = planned_film_um(problem, plan.panels[0], zone, problem.panels[0].zones[0])
    assert {d.repair for d in zone.defects} >= {"spot"}
    assert (1 + zone.overcut) * zone.removal_um < need <= zone.spare_um


def test_the_reading_that_opens_work_comes_first() -> None:
    thick = zone_dict("thick", readings=readings(430.0, 440.0, 425.0, 433.0), defects=[scratch()])
    short = zone_dict("short", readings=readings(400.0, 410.0), defects=[RIPPLE])
    quiet = zone_dict("quiet", readings=readings(400.0))
    found = worth_of(job_dict(panel_dict("lid", thick), panel_dict("fall", short), panel_dict("arm", quiet)))
    assert [n.zone for n in found] == ["short", "thick"]
    assert found[0].best.opens > 0.9
    assert found[0].best.more == 1
    assert found[1].best.opens == 0


def test_two_readings_are_weighed_where_one_alone_opens_nothing() -> None:
    found = worth_of(one_zone(RIPPLE, readings=readings(400.0)))[0]
    opens = {w.more: w.opens for w in found.worth}
    assert opens[1] == 0.0
    assert opens[2] > 0.9
    assert found.best.more == 2


def test_refused_work_near_its_limit_may_be_opened_by_a_reading() -> None:
    job = one_zone({"kind": "ripple", "wish": "remove", "depth_um": 40.0}, readings=readings(215.0, 205.0, 210.0))
    found = worth_of(job)[0]
    assert found.needed_um is not None
    assert found.needed_um > found.spare_um
    assert 0.0 < found.worth[0].opens < 1.0
    assert found.worth[-1].opens > found.worth[0].opens
    # the more is missing, the less a reading can open it
    thinner = worth_of(one_zone({"kind": "ripple", "wish": "remove", "depth_um": 40.0},
                                readings=readings(195.0, 185.0, 190.0)))
    assert not thinner or thinner[0].worth[0].opens < found.worth[0].opens


def test_risk_that_a_reading_cuts_is_no_more_than_the_risk_there_is() -> None:
    job = one_zone(RIPPLE, readings=readings(262.0, 244.0, 252.0))
    read, profile, plan = planned(job)
    assert plan.panels[0].zones[0].verdict == "go"
    found = audit(read, profile, plan, 1, 20_000)
    worth = found.next_readings[0].worth
    under = found.zones[0].under_keep
    cuts = [w.risk_cut for w in worth]
    assert 0.0 < cuts[0] < cuts[-1] <= under.chance + 4 * under.standard_error
    assert all(w.stops >= w.risk_cut for w in worth)


def test_first_reading_takes_the_place_of_a_guess() -> None:
    found = worth_of(one_zone(RIPPLE, readings=[]))[0]
    assert (found.readings, found.method) == (0, "ultrasonic")
    assert found.worth[0].film_um > 50.0, "a guess counts 30 % less for its own error"
    guessed = worth_of(one_zone(RIPPLE, readings=readings(400.0, method="estimate")))[0]
    assert guessed.readings == 0
    # the guess stays among the readings, and its bias with it, until it is taken out
    assert guessed.worth[0].film_um < found.worth[0].film_um


def test_next_reading_uses_the_gauge_of_the_zone() -> None:
    mixed = readings(400.0) + readings(398.0, 405.0, method="step at mortise")
    assert worth_of(one_zone(scratch(), readings=mixed))[0].method == "step at mortise"


def test_suspect_reading_asks_for_one_beside_it() -> None:
    job = one_zone(RIPPLE, readings=readings(400.0, 60.0, 410.0, 405.0))
    _, profile, plan = planned(job)
    assert plan.panels[0].zones[0].suspect_readings == (1,)
    found = worth_of(job)[0]
    assert found.beside_suspect
    assert [w.more for w in found.worth] == [1]
    assert found.best.opens == pytest.approx(RiskFigures().echo_chance)
    film = plan.panels[0].zones[0].film_low_um
    policy = profile.policy
    if_echo, if_thin = (
        film_from(values, ["ultrasonic"] * len(values), coverage=policy.coverage, confidence=policy.confidence,
                  prior_share=policy.prior_share, prior_worth=policy.prior_worth).low_um
        for values in ([400.0, 410.0, 405.0, 405.0], [400.0, 60.0, 410.0, 405.0, 60.0]))
    assert found.best.film_um == pytest.approx((if_echo + if_thin) / 2.0 - film)


def test_nothing_asked_and_nothing_done_needs_no_reading() -> None:
    assert worth_of(one_zone(readings=readings(400.0))) == ()
    assert not Need(None, None, 0.0).matters


def test_a_handful_of_draws_is_no_finding() -> None:
    happened = np.zeros(1000, dtype=bool)
    happened[:4] = True
    assert share_of(happened) == 0.0
    happened[4] = True
    assert share_of(happened) == 0.005


def test_sentence_for_the_screen() -> None:
    opens, quiet = (worth_of(job)[0] for job in (
        one_zone(RIPPLE, readings=readings(400.0, 410.0)),
        one_zone({"kind": "swirls", "wish": "remove"}, readings=readings(*[430.0] * 9))))
    assert reading_words(opens).startswith("Take the next reading at lid, field: about +")
    assert "lets work begin in 9 of 10 cases" in reading_words(opens)
    assert reading_words(quiet).endswith("nothing that is planned hangs on it.")
    two = replace(opens, best=opens.worth[1], beside_suspect=True)
    assert reading_words(two).startswith("Take two more readings beside the suspect one at lid, field: ")
    assert [cases_words(c) for c in (1.0, 0.999, 0.3, 0.02)] == [
        "10 of 10 cases", "9 of 10 cases", "3 of 10 cases", "fewer than 1 of 10 cases"]
