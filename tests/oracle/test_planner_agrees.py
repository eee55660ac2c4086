"""The exact planner against two outside answers: an integer program, and every plan of tiny jobs listed.

Both outside answers come from the raw job and the tables alone and share no code with the planner. A program
that its solver did not prove optimal counts as a failure, never as agreement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from finishplan.speed.generic import GenericAnswer, build_model, read_tables, solve_model

from .enumeration import cheapest
from .random_jobs import Case, random_case, spotty_case, tiny_case

REFERENCE = Path(__file__).parents[2] / "data" / "reference"
JOBS, SPOTTY, TINY, BLOCK = 260, 80, 120, 20
TIME_LIMIT_S = 30.0


def planner_objective_min(case: Case) -> float:
    from finishplan.planning.plan import make_plan
    from finishplan.shop.profile import apply_shop, default_profile
    from finishplan.survey.job import read_job_dict

    job, shop = case
    return float(make_plan(read_job_dict(job), apply_shop(default_profile(), shop)).objective_min)


def generic_answer(case: Case) -> GenericAnswer:
    job, shop = case
    return solve_model(build_model(job, read_tables(REFERENCE, shop)), TIME_LIMIT_S)


def listed_objective_min(case: Case) -> float:
    job, shop = case
    return cheapest(build_model(job, read_tables(REFERENCE, shop)))


def disagreements(make: Callable[[int], Case], seeds: range, outside: Callable[[Case], float]) -> list[str]:
    found = []
    for seed in seeds:
        case = make(seed)
        theirs, ours = outside(case), planner_objective_min(case)
        if ours != pytest.approx(theirs, rel=1e-6, abs=1e-6):
            found.append(f"{make.__name__}({seed}): planner {ours!r}, outside {theirs!r}")
    return found


def proved_objective_min(case: Case) -> float:
    answer = generic_answer(case)
    assert answer.proved, "the solver did not prove its answer"
    return answer.objective_min


@pytest.mark.parametrize("start", range(0, JOBS, BLOCK))
def test_planner_equals_integer_program(start: int) -> None:
    assert disagreements(random_case, range(start, start + BLOCK), proved_objective_min) == []


@pytest.mark.parametrize("start", range(0, SPOTTY, BLOCK))
def test_planner_equals_integer_program_where_spots_compete(start: int) -> None:
    assert disagreements(spotty_case, range(start, start + BLOCK), proved_objective_min) == []


@pytest.mark.parametrize("start", range(0, TINY, BLOCK))
def test_planner_and_integer_program_equal_listing(start: int) -> None:
    found = []
    for seed in range(start, start + BLOCK):
        case = tiny_case(seed)
        listed = listed_objective_min(case)
        assert proved_objective_min(case) == pytest.approx(listed, rel=1e-6, abs=1e-6), seed
        planned = planner_objective_min(case)
        if planned != pytest.approx(listed, rel=1e-6, abs=1e-6):
            found.append(f"tiny_case({seed}): planner {planned!r}, outside {listed!r}")
    assert found == []


def test_one_entry_of_two_is_referred() -> None:
    """With shipped figures: 1,000 nicks cost more to fill than to refer, the one nick beside them does not."""
    readings = [{"um": um, "method": "ultrasonic"} for um in (400, 405, 410)]
    nicks = [{"kind": "nick", "depth_um": 200.0, "count": count} for count in (1, 1000)]
    zone = {"name": "field", "area_m2": 0.1, "readings": readings, "defects": nicks}
    job = {"format": "finishplan-job", "version": 1, "title": "nicks (invented for testing)",
           "build": "pigmented through", "panels": [{"name": "fallboard", "zones": [zone]}]}
    case = job, {"format": "finishplan-shop", "version": 1}
    # change 18, looks 3 x 1.2, work 0.1 x (0.3/0.3 + 1.4/0.1 + 0.5/0.04), film 0.1 x 2.2; then fill, kit, refused
    by_hand = 18 + 3.6 + 2.75 + 0.22 + 25 + 25 + 10_000
    assert proved_objective_min(case) == pytest.approx(by_hand, rel=1e-9)
    assert planner_objective_min(case) == pytest.approx(by_hand, rel=1e-9)


def test_random_jobs_reach_every_choice() -> None:
    """A fuzz run that never gets to a rule proves nothing about it."""
    done: Counter[str] = Counter()
    for seed in range(80):
        answer = generic_answer(random_case(seed))
        for panel, choice in zip(answer.model.panels, answer.choices, strict=True):
            satin = not any(answer.model.steps[k].scratch_um < 1 for k in panel.ends)
            done["panel left alone" if not choice.sequence else "satin" if satin else "gloss"] += 1
            for zone, chosen in zip(panel.zones, choice.zones, strict=True):
                done.update(chosen.repairs)
                done["joins late"] += 0 < len(chosen.suffix) < len(choice.sequence)
                done["untouched"] += bool(choice.sequence) and not chosen.suffix
                done["broken off"] += zone.must_take_um > 0 and bool(chosen.suffix)
                done["lean"] += zone.lean and bool(chosen.suffix)
                done["sheet first"] += bool(chosen.suffix) and answer.model.steps[chosen.suffix[0]].sheet
    wanted = ("panel left alone", "satin", "gloss", "joins late", "untouched", "broken off", "lean",
              "sheet first", "zone", "spot", "fill", "leave", "clean", "refer")
    assert {name: done[name] for name in wanted if done[name] < 3} == {}
