"""Every price an explanation names is re-found by forcing the decision another way and planning again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.result import Plan, RunnerUp
from finishplan.planning.search import JobTables
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict

JOBS = Path(__file__).parents[1] / "published" / "worked_jobs"
PROFILE = default_profile()


def raw(name: str) -> Any:
    return json.loads((JOBS / f"{name}.job.json").read_text(encoding="utf-8"))


def planned(data: Any, **options: Any) -> Plan:
    return make_plan(read_job_dict(data), PROFILE, **options)


def price_of(plan: Plan, runner: RunnerUp) -> float:
    """The runner-up's objective, from the differences that are shown."""
    policy = PROFILE.policy
    return (plan.objective_min + runner.minutes + plan.film_weight * runner.film_um_m2
            + policy.refer_price * runner.refers + policy.untouched_price * runner.untouched)


@pytest.mark.parametrize("name", ["one_deep_scratch", "satin"])
def test_other_start_is_the_best_of_all_other_starts(name: str) -> None:
    data = raw(name)
    plan = planned(data, why=True)
    first = plan.panels[0].sequence[0]
    table = JobTables(build_problem(read_job_dict(data), PROFILE)).panels[0].table
    others = []
    for q in range(len(table.length)):
        names = table.names_of(q)
        if names[0] != first and table.valid["rotary"][q]:
            forced = planned(data, sequence=names)
            if forced.panels[0].sequence == names:
                others.append(forced.objective_min)
    shown = [r for r in plan.panels[0].runners_up if r.instead.startswith("start at")]
    if not shown:
        pytest.skip("no other start refuses as little")
    assert price_of(plan, shown[0]) == pytest.approx(min(others), abs=1e-6)


def test_zone_instead_of_spot_costs_what_a_job_without_spots_costs() -> None:
    data = raw("one_deep_scratch")
    plan = planned(data, why=True)
    runner = next(r for r in plan.panels[0].runners_up if "instead of a spot" in r.instead)
    data["panels"][0]["size_m"] = {"width": 1.5, "height": 1.3}
    data["panels"][0]["zones"][0]["defects"][0]["at"] = {"x": 0.5, "y": 0.0}
    no_spot = planned(data)
    assert [d.repair for d in no_spot.panels[0].zones[0].defects] == ["sand"]
    assert price_of(plan, runner) == pytest.approx(no_spot.objective_min, abs=1e-6)


@pytest.mark.parametrize("name", ["example", "spots_and_fills", "trainee", "near_an_edge"])
def test_asking_less_is_the_job_planned_again(name: str) -> None:
    data = raw(name)
    plan = planned(data, why=True)
    assert plan.asking_less
    for less in plan.asking_less:
        changed = raw(name)
        if less.wish.startswith("seen from"):
            changed["seen_from"] = less.wish.removeprefix("seen from ")
        else:
            places = [(z, d) for p in changed["panels"] for z in p["zones"] for d in z.get("defects", [])
                      if less.what.startswith(f"{p['name']}, {z['name']}: ")]
            assert places
            savings = []
            for _, defect in places:
                was = defect.get("wish")
                defect["wish"] = less.wish
                softer = planned(changed)
                savings.append((plan.minutes - softer.minutes, plan.film_um_m2 - softer.film_um_m2))
                defect["wish"] = was
            assert any(m == pytest.approx(less.minutes, abs=1e-6) and f == pytest.approx(less.film_um_m2, abs=1e-6)
                       for m, f in savings), less
            continue
        softer = planned(changed)
        assert plan.minutes - softer.minutes == pytest.approx(less.minutes, abs=1e-6)


def test_runner_up_is_never_better_than_the_plan() -> None:
    for path in sorted(JOBS.glob("*.job.json")):
        plan = planned(json.loads(path.read_text(encoding="utf-8")), why=True)
        for panel in plan.panels:
            for runner in panel.runners_up:
                assert price_of(plan, runner) >= plan.objective_min - 1e-6, runner


def test_favours_lie_on_the_curve_and_share_a_point_where_they_are_one() -> None:
    for name in ("broken_off_levels", "example"):
        plan = planned(raw(name), why=True)
        names = ", ".join(point.name for point in plan.film_against_time if point.name).split(", ")
        assert sorted(names) == ["balanced", "keep film", "quick"]
        minutes = [point.minutes for point in plan.film_against_time]
        film = [point.film_um_m2 for point in plan.film_against_time]
        assert minutes == sorted(minutes)
        assert film == sorted(film, reverse=True)
        for favour in ("quick", "balanced", "keep film"):
            point = next(p for p in plan.film_against_time if favour in p.name.split(", "))
            own = planned(raw(name), favour=favour)
            assert (own.minutes, own.film_um_m2) == pytest.approx((point.minutes, point.film_um_m2), abs=1e-6)


def test_close_call_says_what_changes_with_a_tenth_less() -> None:
    data = raw("buffing_only")
    data["panels"] = data["panels"][:1]
    zone = data["panels"][0]["zones"][0]
    zone["defects"] = [{"kind": "orange_peel", "depth_um": 20.0}]
    full = planned(data, why=True).panels[0]
    need = 1.15 * full.zones[0].removal_um + 0.05
    zone["readings"] = [{"um": um} for um in (150.0, 152.0, 151.0)]
    for shift in range(0, 60):
        zone["readings"] = [{"um": 140.0 + shift + d} for d in (0.0, 2.0, 1.0)]
        plan = planned(data, why=True)
        panel = plan.panels[0]
        if panel.sequence and panel.zones[0].spare_um - need < 0.1 * panel.zones[0].spare_um:
            assert panel.close_calls, panel.zones[0]
            assert panel.close_calls[0].changes.startswith("with a tenth less film")
            return
    pytest.fail("no film made a close call")
