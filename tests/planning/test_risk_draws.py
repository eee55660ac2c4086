"""The draws under the audit: each against its closed form, a numeric integral, or a plain count."""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from risk_cases import EXACT, job_dict, one_zone, panel_dict, planned, readings, scratch, zone_dict
from scipy.integrate import quad
from scipy.special import log_ndtr, ndtr

from finishplan.planning.problem import build_problem
from finishplan.planning.result import Plan
from finishplan.planning.risk_draws import (
    SHARED,
    Draws,
    SharedDraws,
    ZoneDraws,
    draw_shared,
    draw_zone,
    least_of_normals,
    log_sd,
    reading_um,
    stream,
    too_high_um,
)
from finishplan.planning.risk_model import DepthRange, RiskFigures, RiskModel, entry_span_um, risk_model
from finishplan.shop.profile import default_profile
from finishplan.survey.defects import pert_mean_um, pert_quantile_um
from finishplan.survey.film import METHODS, z_of
from finishplan.survey.job import Job, read_job_dict

WORKED_JOBS = sorted((Path(__file__).parents[1] / "published" / "worked_jobs").glob("*.job.json"))
MANY = 200_000


def draws(size: int = MANY, seed: int = 5) -> Draws:
    return Draws(np.random.default_rng(seed), size)


def model_of(job: dict[str, object], figures: RiskFigures | None = None) -> RiskModel:
    read, profile, plan = planned(job)
    return risk_model(build_problem(read, profile), plan, figures or RiskFigures())


def shared_of(model: RiskModel, size: int, seed: int = 5) -> SharedDraws:
    return draw_shared(stream(seed, 0, SHARED, size, Counter()), model.figures)


def drawn(model: RiskModel, at: tuple[int, int] = (0, 0), size: int = MANY, seed: int = 5) -> ZoneDraws:
    panel = model.panels[at[0]]
    own = stream(seed, 0, (at[0] + 1, at[1] + 1), size, Counter())
    return draw_zone(model, panel, panel.zones[at[1]], shared_of(model, size, seed), own)


@pytest.mark.parametrize("n", [1.0, 2.5, 10.0, 190.0])
def test_least_of_normals_has_the_mean_and_spread_of_a_numeric_integral(n: float) -> None:
    def density(x: float) -> float:
        return float(n * ndtr(-x) ** (n - 1.0) * math.exp(-x * x / 2.0) / math.sqrt(2.0 * math.pi))

    mean, square = (quad(lambda x, k=k: x**k * density(x), -12.0, 12.0)[0] for k in (1, 2))
    least = least_of_normals(draws().exponential(), n)
    sd = math.sqrt(square - mean**2)
    assert least.mean() == pytest.approx(mean, abs=4.0 * sd / math.sqrt(MANY))
    assert least.std() == pytest.approx(sd, rel=0.01)


@pytest.mark.parametrize("n", [1.0, 7.0, 500.0])
@pytest.mark.parametrize("exponential", [1e-13, 1e-3, 1.0, 30.0])
def test_least_of_normals_solves_its_equation_to_the_ends(n: float, exponential: float) -> None:
    least = float(least_of_normals(np.array([exponential]), n)[0])
    assert n * log_ndtr(-least) == pytest.approx(-exponential, rel=1e-5)


def test_least_of_normals_is_the_least_of_so_many_plain_normals() -> None:
    plain = np.random.default_rng(8).standard_normal((40_000, 25)).min(axis=1)
    least = least_of_normals(draws(40_000).exponential(), 25.0)
    shares = [0.05, 0.5, 0.95]
    assert np.quantile(least, shares) == pytest.approx(np.quantile(plain, shares), abs=0.035)


@pytest.mark.parametrize("cv", [0.0, 0.25, 0.45])
def test_factor_has_middle_one_and_the_stated_spread(cv: float) -> None:
    factor = draws().factor(cv)
    assert np.median(factor) == pytest.approx(1.0, abs=0.005)
    assert factor.std() / factor.mean() == pytest.approx(cv, rel=0.02, abs=1e-12)
    assert math.exp(log_sd(cv) ** 2) - 1.0 == pytest.approx(cv**2)


@pytest.mark.parametrize("share", [1.0, 0.6])
def test_depth_has_the_mean_and_the_planning_depth_of_pert(share: float) -> None:
    span = (8.0, 20.0, 60.0)
    depth = draws().depth_um(DepthRange(*span, share, 0.0))
    assert depth.min() >= share * 8.0
    assert depth.max() <= share * 60.0
    assert depth.mean() == pytest.approx(share * pert_mean_um(*span), abs=0.1)
    assert np.quantile(depth, 0.9) == pytest.approx(share * pert_quantile_um(*span, 0.9), abs=0.2)


def test_measured_depth_is_exact_and_draws_nothing() -> None:
    source = draws(7)
    assert source.depth_um(DepthRange(20.0, 20.0, 20.0, 0.6, 12.0)).tolist() == pytest.approx([12.0] * 7)
    assert source.given == Counter()


@pytest.mark.parametrize("path", WORKED_JOBS, ids=lambda p: p.name.split(".")[0])
def test_depth_ranges_give_back_the_planning_depths(path: Path) -> None:
    raw = json.loads(path.read_text(encoding="utf-8"))
    job, profile = read_job_dict(raw.get("job", raw)), default_profile()
    problem, checked = build_problem(job, profile), 0
    for panel in problem.panels:
        for zone in panel.zones:
            for entry in zone.entries:
                if entry.full_depth_um is not None:
                    span = entry_span_um(problem, panel, zone, entry)
                    assert pert_quantile_um(*span, profile.policy.depth_quantile) == entry.full_depth_um
                    checked += 1
    assert checked or not any(zone.defects for panel in job.panels for zone in panel.zones)


def test_test_spot_narrows_the_depth_that_is_drawn() -> None:
    job = one_zone(scratch(depth_um={"low": 8.0, "likely": 20.0, "high": 60.0})) | {"test_spot": {
        "panel": "lid", "zone": "field", "defect": 0, "before": [400.0], "after": [376.0],
        "steps": [{"step": "P1500", "minutes": 2.0}, {"step": "P1000", "minutes": 2.0, "cleared": True}]}}
    read, profile, _ = planned(job)
    problem = build_problem(read, profile)
    panel, zone = problem.panels[0], problem.panels[0].zones[0]
    low, likely, high = entry_span_um(problem, panel, zone, zone.entries[0])
    assert 8.0 < low <= likely <= high == pytest.approx(24.0)
    assert pert_quantile_um(low, likely, high, 0.9) == zone.entries[0].full_depth_um


@pytest.mark.parametrize("values", [(400.0,), (412.0, 398.0), (420.0, 431.0, 405.0, 415.0, 380.0, 402.0)])
def test_level_and_spread_are_those_of_the_film_we_count_on(values: tuple[float, ...]) -> None:
    # A one-sided tolerance limit is the 10 % quantile of level - z spread under what the readings leave open:
    # the audit and the film count are one model. The gauge is taken as exact here, so its bias is added back.
    read, profile, plan = planned(one_zone(scratch(), readings=readings(*values)))
    model = risk_model(build_problem(read, profile), plan, EXACT)
    zone, film = drawn(model), plan.panels[0].zones[0]
    counted = np.quantile(zone.level_um - z_of(0.95) * zone.spread_um, 0.10)
    assert counted == pytest.approx(film.film_low_um + film.bias_um, abs=0.6)


def test_a_thing_minus_itself_is_exactly_nothing() -> None:
    model = model_of(one_zone(scratch()))
    shared = shared_of(model, 1000)
    before = reading_um(np.full(1000, 400.0), "ultrasonic", shared)
    assert not np.any(before - reading_um(np.full(1000, 400.0), "ultrasonic", shared))
    assert np.ptp(before) > 20.0, "the gauge itself is far from exact"
    other = reading_um(np.full(1000, 400.0), "microscope section", shared)
    assert np.ptp(before - other) > 20.0, "two gauges share nothing"


def test_gauge_bias_is_one_for_all_zones_read_alike() -> None:
    # no spread at all within a zone: what stays open is the gauge, the same for both
    same = [zone_dict(name, readings=readings(400.0, 400.0)) for name in ("one", "two")]
    other = zone_dict("three", readings=readings(400.0, 400.0, method="loupe at chip"))
    read, profile, plan = planned(job_dict(panel_dict("lid", *same, other)), {"policy": {"prior_share": 0.0}})
    model = risk_model(build_problem(read, profile), plan, RiskFigures())
    levels = [drawn(model, (0, z), 5000).level_um for z in range(3)]
    assert not np.any(levels[0] - levels[1])
    assert levels[0].std() == pytest.approx((2.0 + 0.03 * 400.0) / math.sqrt(3.0), rel=0.03)
    assert abs(np.corrcoef(levels[0], levels[2])[0, 1]) < 0.05


def test_bias_of_mixed_methods_is_weighed_by_their_readings() -> None:
    mixed = readings(400.0, 400.0) + readings(400.0, method="loupe at chip") + readings(400.0, method="estimate")
    zone = model_of(one_zone(scratch(), readings=mixed)).panels[0].zones[0]
    assert zone.bias_um == pytest.approx({"ultrasonic": 14.0 / 2, "loupe at chip": 25.0 / 4, "estimate": 120.0 / 4})
    shared = SharedDraws({name: np.ones(3) for name in METHODS}, {})
    assert too_high_um(zone.bias_um, shared, 3) == pytest.approx([7.0 + 6.25 + 30.0] * 3)


def test_unread_zone_rests_on_a_guess_that_may_be_far_off() -> None:
    zone = drawn(model_of(one_zone(scratch(), readings=[]), replace(RiskFigures(), removal_cv=0.0)))
    assert zone.level_um.mean() == pytest.approx(350.0, rel=0.02)
    assert zone.level_um.std() > 0.3 * 350.0 / math.sqrt(3.0)


def test_one_reading_without_a_usual_spread_is_taken_as_wide_open() -> None:
    read, profile, plan = planned(one_zone(scratch(), readings=readings(400.0)), {"policy": {"prior_worth": 0}})
    model = risk_model(build_problem(read, profile), plan, RiskFigures())
    assert (model.panels[0].zones[0].spread_um, model.panels[0].zones[0].nu) == (40.0, 1.0)
    assert plan.panels[0].zones[0].film_low_um == 0.0


def test_another_zone_changes_no_draw_of_this_one() -> None:
    field = zone_dict(defects=[scratch()])
    one = model_of(job_dict(panel_dict("lid", field, zone_dict("edge", kind="edge", area_m2=0.05))))
    two = model_of(job_dict(panel_dict("lid", field, zone_dict(
        "edge", kind="edge", area_m2=0.09, readings=readings(200.0)))))
    assert np.array_equal(drawn(one, size=500).level_um, drawn(two, size=500).level_um)
    assert np.array_equal(drawn(one, size=500).thinnest.taken_um, drawn(two, size=500).thinnest.taken_um)


def test_levels_stays_on_until_the_real_depth_is_gone_and_lean_does_not() -> None:
    depth = {"kind": "ripple", "wish": "remove", "depth_um": {"low": 10.0, "likely": 30.0, "high": 80.0}}
    levels_job, lean_job = one_zone(depth), one_zone(depth) | {"crew": {"first_cut": "lean"}}
    levels, lean = (model_of(job, EXACT) for job in (levels_job, lean_job))
    zone = levels.panels[0].zones[0]
    later = sum(zone.removals_um[1:])
    taken = drawn(levels).thinnest.taken_um - later
    assert taken.min() >= max(10.0, zone.least_first_um) - 1e-9
    assert taken.max() > zone.removals_um[0] + 5.0
    assert np.mean(drawn(levels).deeper) == pytest.approx(0.10, abs=0.005)
    assert np.mean(drawn(lean).deeper) == pytest.approx(0.10, abs=0.005)
    assert drawn(lean).thinnest.taken_um == pytest.approx(sum(lean.panels[0].zones[0].removals_um))
    assert drawn(levels).first_share == pytest.approx(taken / zone.removals_um[0])


def test_shallow_defects_leave_the_first_step_its_own_pattern() -> None:
    model = model_of(one_zone({"kind": "orange_peel", "wish": "remove", "depth_um": {
        "low": 0.0, "likely": 0.01, "high": 30.0}}), EXACT)
    zone = model.panels[0].zones[0]
    first = drawn(model).thinnest.taken_um - sum(zone.removals_um[1:])
    assert zone.least_first_um > 0
    assert first.min() == pytest.approx(zone.least_first_um)
    assert np.mean(first <= zone.least_first_um + 1e-9) > 0.1


def test_a_depth_that_nothing_explains_stays_the_least() -> None:
    # a plan that takes more than its defects ask for was asked to: the audit must not take less
    read, profile, plan = planned(one_zone({"kind": "orange_peel", "wish": "remove", "depth_um": 10.0}))
    panel = plan.panels[0]
    deeper = replace(panel.steps[0], zones=(replace(panel.steps[0].zones[0], removal_um=20.0),))
    levelled = replace(plan, panels=(replace(panel, steps=(deeper, *panel.steps[1:])),))
    model = risk_model(build_problem(read, profile), levelled, EXACT)
    assert model.panels[0].zones[0].least_first_um == 20.0


def test_hand_stops_where_the_gauge_shows_the_least_reading() -> None:
    # the marked spot has 25 um to give and the depth may be 60: without stops the first grade goes straight past
    job = one_zone({"kind": "ripple", "wish": "remove", "depth_um": {"low": 1.0, "likely": 15.0, "high": 60.0}},
                   readings=readings(*[180.0] * 12))
    model = model_of(job, EXACT)
    panel, zone = model.panels[0], model.panels[0].zones[0]
    assert zone.marked_um == 180.0
    marked = zone.least_after_first_um + 25.0
    zone = replace(zone, marked_um=marked, least_start_um=0.0)
    out = draw_zone(model, panel, zone, shared_of(model, MANY), draws())
    shown = marked - (out.thinnest.stopped_um - sum(zone.removals_um[1:]))
    assert np.all(out.thinnest.stopped_um <= out.thinnest.taken_um)
    assert np.any(out.thinnest.stopped_um < out.thinnest.taken_um - 1.0)
    # the repeat error, 1 % of the reading, is all that the same spot can be off by
    assert np.mean(shown < zone.least_after_first_um - 3 * 0.01 * marked) < 0.002


def test_nothing_is_begun_under_the_least_starting_reading() -> None:
    model = model_of(one_zone(scratch(depth_um=20.0)), EXACT)
    panel, zone = model.panels[0], model.panels[0].zones[0]
    thin = replace(zone, marked_um=zone.least_start_um * 0.5)
    out = draw_zone(model, panel, thin, shared_of(model, 500), draws(500))
    assert not np.any(out.thinnest.stopped_um)
    assert np.all(out.thinnest.taken_um > 0)


def test_spot_takes_its_depth_on_top_and_its_minutes_grow_with_it() -> None:
    model = model_of(one_zone(scratch(depth_um={"low": 20.0, "likely": 30.0, "high": 60.0}, at={"x": 0.5, "y": 0.5}),
                              {"kind": "swirls", "wish": "remove"}, area_m2=2.0), EXACT)
    zone, out = model.panels[0].zones[0], drawn(model)
    local = zone.locals[0]
    assert (local.repair, local.count) == ("spot", 1)
    assert local.depth is not None
    least = sum(zone.removals_um[1:]) + local.local_um + max(zone.least_first_um, local.last_layer_um)
    assert out.others[0].taken_um.min() >= 20.0 + least - 1e-9
    minutes = np.asarray(out.local_min[0])
    deep = out.others[0].taken_um.argmax()
    assert minutes[deep] == minutes.max() > local.minutes > minutes.min() >= local.handling_min


def test_without_any_spread_spots_and_fills_take_what_the_plan_says() -> None:
    model, _, plan = exact_plan()
    zone = plan.panels[0].zones[0]
    done = [d for d in zone.defects if d.repair in ("spot", "fill")]
    out = drawn(model, size=50)
    assert {d.repair for d in done} == {"spot", "fill"}
    assert out.thinnest.taken_um == pytest.approx(zone.removal_um)
    for place, minutes, defect in zip(out.others, out.local_min, done, strict=True):
        assert place.taken_um == pytest.approx(defect.film_needed_um)
        assert np.asarray(minutes) == pytest.approx(defect.minutes)


def exact_plan() -> tuple[RiskModel, Job, Plan]:
    job = one_zone(
        scratch(depth_um=25.0, at={"x": 0.5, "y": 0.5}), {"kind": "swirls", "wish": "remove", "depth_um": 0.8},
        {"kind": "nick", "wish": "remove", "width_mm": 2.0, "length_mm": 4.0}, area_m2=2.0)
    read, profile, plan = planned(job)
    return risk_model(build_problem(read, profile), plan, EXACT), read, plan
