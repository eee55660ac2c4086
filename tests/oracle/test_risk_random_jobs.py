"""The audit on random jobs that reach every rule of the choice: its sums are the plan's, its chances chances."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest

from finishplan.planning.next_reading import next_readings_of, planned_film_um
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.risk import Run, audit
from finishplan.planning.risk_draws import SHARED, draw_shared, draw_zone, stream
from finishplan.planning.risk_model import DepthRange, RiskFigures, entry_span_um, risk_model
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.defects import pert_quantile_um
from finishplan.survey.job import read_job_dict

from .random_jobs import random_case

NO_SPREAD = replace(RiskFigures(), removal_cv=0.0, removal_cv_trainee=0.0, minutes_cv=0.0, minutes_cv_tested=0.0)


@pytest.mark.parametrize("start", range(0, 60, 20))
def test_audit_agrees_with_the_plan_it_audits(start: int) -> None:
    for seed in range(start, start + 20):
        raw, shop = random_case(seed)
        job, profile = read_job_dict(raw), apply_shop(default_profile(), shop)
        plan, problem = make_plan(job, profile), build_problem(job, profile)
        risk = audit(job, profile, plan, seed, 300, readings=False)
        assert risk.minutes.planned == pytest.approx(plan.minutes), seed
        model = risk_model(problem, plan, NO_SPREAD)
        assert sum(Run(model, 1, 1, 0.0).planned_by_person().values()) == pytest.approx(plan.minutes), seed
        for zone in risk.zones:
            assert 0.0 <= zone.sand_through.chance <= zone.under_keep.chance <= 1.0, seed
            assert zone.under_keep_with_stops.chance <= zone.under_keep.chance, seed


@pytest.mark.parametrize("start", range(0, 60, 20))
def test_at_the_planned_depths_every_place_takes_what_the_plan_says(start: int) -> None:
    # every depth is put at its planned value and nothing is spread: the audit's removals are then the planner's
    spots = 0
    for seed in range(start, start + 20):
        raw, shop = random_case(seed)
        job, profile = read_job_dict(raw), apply_shop(default_profile(), shop)
        plan, problem = make_plan(job, profile), build_problem(job, profile)
        model = risk_model(problem, plan, NO_SPREAD)
        shared = draw_shared(stream(1, 0, SHARED, 2, Counter()), NO_SPREAD)
        for p, panel in enumerate(model.panels):
            for z, zone in enumerate(panel.zones):
                exact = replace(
                    zone, depths=tuple(at_plan(d) for d in zone.depths),
                    locals=tuple(replace(x, depth=x.depth and at_plan(x.depth)) for x in zone.locals))
                out = draw_zone(model, panel, exact, shared, stream(1, 0, (p + 1, z + 1), 2, Counter()))
                planned = plan.panels[p].zones[z]
                assert out.thinnest.taken_um == pytest.approx(planned.removal_um), (seed, panel.name, zone.name)
                local = [d for d in planned.defects if d.repair in ("spot", "fill")]
                for place, defect in zip(out.others, local, strict=True):
                    assert place.taken_um == pytest.approx(defect.film_needed_um), (seed, panel.name, zone.name)
                    spots += 1
                assert not out.deeper.any()
    assert spots > 5


def at_plan(depth: DepthRange) -> DepthRange:
    um = depth.planned_um / depth.share
    return replace(depth, low_um=um, likely_um=um, high_um=um)


@pytest.mark.parametrize("start", range(0, 60, 20))
def test_depth_ranges_and_needs_are_the_planners(start: int) -> None:
    for seed in range(start, start + 20):
        raw, shop = random_case(seed)
        job, profile = read_job_dict(raw), apply_shop(default_profile(), shop)
        plan, problem = make_plan(job, profile), build_problem(job, profile)
        for panel, planned in zip(problem.panels, plan.panels, strict=True):
            for zone, zone_plan in zip(panel.zones, planned.zones, strict=True):
                for entry in zone.entries:
                    if entry.full_depth_um is not None:
                        span = entry_span_um(problem, panel, zone, entry)
                        assert pert_quantile_um(*span, problem.policy.depth_quantile) == entry.full_depth_um
                if zone_plan.starts_at is not None:
                    need = planned_film_um(problem, planned, zone_plan, zone)
                    assert need <= zone.spare_um + 1e-6, (seed, panel.panel.name, zone_plan.name)


@pytest.mark.parametrize("start", range(0, 40, 10))
def test_next_readings_are_in_order_and_possible(start: int) -> None:
    for seed in range(start, start + 10):
        raw, shop = random_case(seed)
        job, profile = read_job_dict(raw), apply_shop(default_profile(), shop)
        plan, problem = make_plan(job, profile), build_problem(job, profile)
        found = next_readings_of(problem, plan, risk_model(problem, plan, RiskFigures()), seed)
        keys = [n.best.per_minute for n in found]
        assert keys == sorted(keys, reverse=True)
        for worth in (w for n in found for w in n.worth):
            assert 0.0 <= worth.opens <= 1.0
            assert 0.0 <= worth.risk_cut <= worth.stops <= 1.0
            assert math.isfinite(worth.film_um)
