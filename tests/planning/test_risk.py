"""The audit of a plan: exact where nothing is spread, true errors where something is, one line for bad input."""

from __future__ import annotations

import json
import tracemalloc
from collections import Counter
from dataclasses import asdict, fields, replace
from pathlib import Path

import numpy as np
import pytest
from risk_cases import EXACT, job_dict, one_zone, panel_dict, piano, planned, readings, scratch, zone_dict

from finishplan.errors import BadValue, FinishplanError
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.risk import MOST_DRAWS, Run, audit
from finishplan.planning.risk_model import RiskFigures, RiskModel, figures_of, risk_model, risk_sources
from finishplan.planning.risk_result import Risk, chance, count_range, levels, quantile_error
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict

WORKED_JOBS = sorted((Path(__file__).parents[1] / "published" / "worked_jobs").glob("*.job.json"))
TIGHT = one_zone(scratch(), {"kind": "ripple", "wish": "remove"}, readings=readings(246.0, 252.0, 240.0, 249.0))
"""A zone with film enough for its ripple, and not much more."""


def risk_of(job: dict[str, object], seed: int = 1, draws: int = 4000, **more: object) -> Risk:
    shop = more.pop("shop", None)
    read, profile, plan = planned(job, shop)  # type: ignore[arg-type]
    return audit(read, profile, plan, seed, draws, readings=False, **more)  # type: ignore[arg-type]


def model_of(job: dict[str, object], figures: RiskFigures) -> RiskModel:
    read, profile, plan = planned(job)
    return risk_model(build_problem(read, profile), plan, figures)


def zone_chances(model: RiskModel, more_film_um: float, draws: int = 20_000) -> tuple[float, float]:
    """The chances of the first zone with its level moved, on the same luck."""
    panel = model.panels[0]
    zone = replace(panel.zones[0], mean_um=panel.zones[0].mean_um + more_film_um)
    run = Run(replace(model, panels=(replace(panel, zones=(zone,)),)), 1, draws, 0.0)
    run.go()
    found = run.tallies[0, 0].result(panel, zone, draws)
    return found.under_keep.chance, found.sand_through.chance


@pytest.mark.parametrize("over_um, under, through", [(0.01, 0.0, 0.0), (-0.01, 1.0, 0.0), (-80.01, 1.0, 1.0)])
def test_without_any_spread_the_chance_is_nothing_or_one(over_um: float, under: float, through: float) -> None:
    model = model_of(one_zone({"kind": "ripple", "wish": "remove", "depth_um": 20.0}), EXACT)
    zone = replace(model.panels[0].zones[0], spread_um=0.0)
    model = replace(model, panels=(replace(model.panels[0], zones=(zone,)),))
    to_the_limit = sum(zone.removals_um) + 80.0 - zone.mean_um
    assert zone_chances(model, to_the_limit + over_um) == (under, through)


def test_without_any_spread_minutes_and_cost_are_the_plans() -> None:
    measured = one_zone({"kind": "ripple", "wish": "remove", "depth_um": 20.0}, scratch(depth_um=12.0))
    read, profile, plan = planned(measured)
    found = audit(read, profile, plan, 1, 200, figures=EXACT, rates_per_h={"finisher": 90.0}, allowance_min=30.0)
    whole = plan.minutes + 30.0
    told = found.minutes
    assert (told.planned, told.one_in_two, told.four_in_five, told.nine_in_ten) == pytest.approx((whole,) * 4)
    assert told.standard_errors == pytest.approx((0.0, 0.0, 0.0))
    assert found.cost is not None
    assert found.cost.planned == pytest.approx(found.cost.nine_in_ten) == pytest.approx(1.5 * whole)


def test_chance_falls_as_film_grows_on_the_same_luck() -> None:
    model = model_of(TIGHT, RiskFigures())
    chances = [zone_chances(model, more) for more in (-120.0, -80.0, -40.0, -20.0, 0.0, 20.0, 60.0)]
    under, through = zip(*chances, strict=True)
    assert list(under) == sorted(under, reverse=True)
    assert len(set(under)) == len(under)
    assert list(through) == sorted(through, reverse=True)
    assert through[0] > 0


def test_standard_errors_are_the_spread_over_seeds() -> None:
    runs = [risk_of(TIGHT, seed, 1000) for seed in range(120)]
    for name in ("under_keep", "sand_through", "deeper_than_planned"):
        found = [getattr(run.zones[0], name) for run in runs]
        values = [f.chance for f in found]
        told = float(np.mean([f.standard_error for f in found]))
        assert told > 0
        assert np.std(values) == pytest.approx(told, rel=0.25), name
    for place, name in enumerate(("one_in_two", "four_in_five", "nine_in_ten")):
        values = [getattr(run.minutes, name) for run in runs]
        told = float(np.mean([run.minutes.standard_errors[place] for run in runs]))
        assert np.std(values) == pytest.approx(told, rel=0.25), name


def test_quantile_error_of_a_normal_is_the_textbook_one() -> None:
    ordered = np.sort(np.random.default_rng(3).standard_normal(200_000))
    # sqrt(p (1 - p) / n) / density: 0.5 at the middle over 0.39894
    assert quantile_error(ordered, 0.5) == pytest.approx(0.5 / 0.39894 / np.sqrt(200_000), rel=0.1)


def test_one_seed_one_answer_and_another_seed_another() -> None:
    assert risk_of(TIGHT, 7) == risk_of(TIGHT, 7)
    assert risk_of(TIGHT, 7).minutes != risk_of(TIGHT, 8).minutes


def test_more_draws_than_a_block_agree_with_fewer() -> None:
    few, many = risk_of(TIGHT, 1, 20_000), risk_of(TIGHT, 1, 50_000)
    for name in ("under_keep", "sand_through"):
        a, b = getattr(few.zones[0], name), getattr(many.zones[0], name)
        assert abs(a.chance - b.chance) <= 4 * (a.standard_error + b.standard_error)
    assert many.numbers_drawn["normal"] == few.numbers_drawn["normal"] * 50_000 // 20_000
    assert many.minutes.four_in_five == pytest.approx(few.minutes.four_in_five, rel=0.02)


def test_stops_never_make_it_worse_and_help_where_depth_is_wide() -> None:
    wide = {"kind": "ripple", "wish": "remove", "depth_um": {"low": 5.0, "likely": 20.0, "high": 100.0}}
    job = one_zone(wide, readings=readings(*[230.0] * 8), area_m2=0.05)
    found = risk_of(job, draws=20_000, figures=replace(RiskFigures(), removal_cv=0.5)).zones[0]
    assert found.under_keep_with_stops.chance < found.under_keep.chance - 2 * found.under_keep.standard_error
    # the same marked spot gives the gauge away long before the wood shows
    assert found.sand_through_with_stops.chance < found.sand_through.chance / 4


def test_what_is_under_keep_before_work_is_told_apart() -> None:
    found = risk_of(one_zone({"kind": "swirls", "wish": "remove"}, readings=readings(130.0, 170.0, 150.0))).zones[0]
    assert found.worked
    assert 0 < found.under_keep_before.chance <= found.under_keep.chance
    # swirls take 1 or 2 um: nearly all of it was so before
    assert found.under_keep.chance - found.under_keep_before.chance < 0.02
    assert found.sand_through.chance < 0.005


def test_unworked_zone_has_no_chance_of_harm_and_no_services() -> None:
    found = risk_of(one_zone(readings=readings(90.0, 85.0))).zones[0]
    assert not found.worked
    assert found.services is None
    assert (found.under_keep.chance, found.sand_through.chance) == (0.0, 0.0)
    assert found.under_keep_before.chance > 0.1


def test_services_are_whole_and_capped_and_one_fewer_afterwards() -> None:
    job = one_zone({"kind": "ripple", "wish": "remove", "depth_um": 30.0}, readings=readings(*[260.0] * 8))
    model = model_of(job, EXACT)
    zone = replace(model.panels[0].zones[0], spread_um=0.0)
    taken = sum(zone.removals_um)
    for film, before, after in ((80.0 + 2.5 * taken, 2, 1), (80.0 + 2.0 * taken, 2, 1), (80.0 + 9.0 * taken, 3, 3),
                                (70.0, 0, 0)):
        run = Run(replace(model, panels=(replace(model.panels[0], zones=(replace(zone, mean_um=film),)),)), 1, 50, 0.0)
        run.go()
        services = run.tallies[0, 0].result(model.panels[0], zone, 50).services
        assert services is not None
        assert (services.before, services.after) == ((before, before), (after, after))


def test_count_range_is_the_quantile_of_the_plain_list() -> None:
    values = np.random.default_rng(2).integers(0, 4, 1000)
    counts = Counter(values.tolist())
    expected = tuple(int(v) for v in np.quantile(values, [0.1, 0.9], method="inverted_cdf"))
    assert count_range(counts) == expected


def test_test_spot_narrows_the_minutes() -> None:
    job = one_zone(scratch(depth_um=12.0))
    spot = {"panel": "lid", "zone": "field", "defect": 0, "before": [400.0], "after": [388.0],
            "steps": [{"step": "P1500", "minutes": 2.0, "cleared": True}]}
    without, tested = risk_of(job), risk_of(job | {"test_spot": spot})
    assert (without.tested, tested.tested) == (False, True)
    wide, narrow = (r.minutes.nine_in_ten / r.minutes.one_in_two for r in (without, tested))
    assert 1.0 < narrow < wide


def test_one_person_is_slow_everywhere() -> None:
    # with all of the spread shared, many panels average nothing out; with none of it they do
    job = piano(8)
    shared, own = (risk_of(job, figures=replace(RiskFigures(), minutes_shared=share)) for share in (1.0, 0.0))
    spread = [r.minutes.nine_in_ten / r.minutes.one_in_two - 1.0 for r in (shared, own)]
    assert spread[0] > 3 * spread[1]


def test_the_same_work_is_riskier_in_a_trainees_hands() -> None:
    model = model_of(TIGHT, RiskFigures())
    learner = replace(model, panels=(replace(model.panels[0], worker="trainee"),))
    assert zone_chances(learner, -40.0)[0] > zone_chances(model, -40.0)[0] + 0.002


def test_cost_needs_the_rate_of_everybody_who_works() -> None:
    two = job_dict(panel_dict("lid", zone_dict(defects=[scratch()])),
                   panel_dict("leg", zone_dict(defects=[scratch()]), worker="trainee"))
    people = [{"id": "a", "role": "finisher", "rate_per_h": 80.0}, {"id": "b", "role": "finisher", "rate_per_h": 100.0},
              {"id": "c", "role": "trainee"}]
    assert risk_of(two).cost is None
    unknown = risk_of(two, shop={"people": people})
    assert unknown.cost is None
    assert unknown.rates_per_h == {"finisher": 90.0}
    people[2]["rate_per_h"] = 40.0
    found = risk_of(two, shop={"people": people})
    assert found.cost is not None
    assert 40.0 < 60.0 * found.cost.planned / found.minutes.planned < 90.0
    assert found.cost.one_in_two < found.cost.four_in_five < found.cost.nine_in_ten


@pytest.mark.parametrize("path", WORKED_JOBS, ids=lambda p: p.name.split(".")[0])
def test_worked_jobs_are_audited_whole(path: Path) -> None:
    raw = json.loads(path.read_text(encoding="utf-8"))
    job, profile = read_job_dict(raw.get("job", raw)), default_profile()
    if raw.get("shop"):
        profile = apply_shop(profile, raw["shop"])
    plan = make_plan(job, profile)
    found = audit(job, profile, plan, 1, 500)
    assert [(z.panel, z.zone) for z in found.zones] == [(p.name, z.name) for p in plan.panels for z in p.zones]
    assert found.minutes.planned == pytest.approx(plan.minutes)
    model = risk_model(build_problem(job, profile), plan, RiskFigures())
    assert sum(Run(model, 1, 1, 0.0).planned_by_person().values()) == pytest.approx(plan.minutes)
    for zone, planned_zone in zip(found.zones, (z for p in plan.panels for z in p.zones), strict=True):
        assert zone.worked == (planned_zone.removal_um > 0)
        assert zone.sand_through.chance <= zone.under_keep.chance
    assert json.loads(json.dumps(asdict(found)))["seed"] == 1


def test_any_zone_is_no_less_than_the_worst_and_no_more_than_the_sum() -> None:
    found = risk_of(piano(4), draws=20_000)
    zones = [z.under_keep.chance for z in found.zones]
    assert max(zones) <= found.any_under_keep.chance <= sum(zones)


def test_memory_stays_small_on_thirty_panels() -> None:
    read, profile, plan = planned(piano(30))
    audit(read, profile, plan, 1, 100)
    tracemalloc.start()
    audit(read, profile, plan, 1, 20_000)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 300e6
    # one zone is drawn at a time, so thirty panels need hardly more than one
    assert peak < 40e6


@pytest.mark.parametrize("draws", [-5, 0, 2.5, True, MOST_DRAWS + 1])
def test_bad_draws_are_named(draws: object) -> None:
    with pytest.raises(BadValue, match=r"^draws is .*; give a whole number from 1 to 2,000,000$"):
        risk_of(TIGHT, draws=draws)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", [-1, 1.5, "one", False])
def test_bad_seed_is_named(seed: object) -> None:
    with pytest.raises(BadValue, match=r"^seed is .*; give a whole number, 0 or more$"):
        risk_of(TIGHT, seed=seed)  # type: ignore[arg-type]


def test_plan_of_another_job_is_refused() -> None:
    read, profile, _ = planned(TIGHT)
    _, _, other = planned(piano(2))
    with pytest.raises(FinishplanError, match=r"^this plan belongs to another job: its panels and zones differ"):
        audit(read, profile, other)


def test_every_figure_travels_with_unit_kind_and_meaning() -> None:
    shipped = risk_sources(RiskFigures())
    assert [s.name for s in shipped] == [f.name for f in fields(RiskFigures)]
    assert all(s.kind == "assumed" and s.unit and s.source for s in shipped)
    own = {s.name: s for s in risk_sources(replace(RiskFigures(), removal_cv=0.3))}
    assert (own["removal_cv"].kind, own["removal_cv"].source) == ("measured here", "our shop's policy")
    assert own["minutes_cv"].kind == "assumed"


def test_shop_figures_come_from_the_policy_where_it_names_them() -> None:
    class Own:
        removal_cv = 0.33
        clearing = 2.0

    found = figures_of(Own())  # type: ignore[arg-type]
    assert found == replace(RiskFigures(), removal_cv=0.33)


def test_named_sequence_is_audited_too() -> None:
    read, profile, _ = planned(TIGHT)
    names = ("P800", "P1200", "P2000", "cutting compound", "polishing compound", "finishing compound")
    plan = make_plan(read, profile, sequence=names)
    found = audit(read, profile, plan, 1, 500, sequence=names)
    assert found.minutes.planned == pytest.approx(plan.minutes)


def test_levels_and_chance_of_a_plain_list() -> None:
    found = levels(np.arange(101.0)[::-1], 42.0)
    assert (found.planned, found.one_in_two, found.four_in_five, found.nine_in_ten) == (42.0, 50.0, 80.0, 90.0)
    assert chance(0, 100) == chance(0, 1)
    assert chance(25, 100).standard_error == pytest.approx(0.0433, abs=1e-4)
