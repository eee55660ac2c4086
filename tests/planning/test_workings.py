"""Every number told again must come out: the printed sum is worked out and held against the plan's own number."""

from __future__ import annotations

import math
import re

import pytest
from oracle.random_jobs import Case, random_case, spotty_case

from finishplan.errors import FinishplanError
from finishplan.planning.job_workings import job_workings, material_workings
from finishplan.planning.materials import materials
from finishplan.planning.plan import make_plan
from finishplan.planning.result import Plan
from finishplan.planning.worked_number import Working
from finishplan.planning.workings import zone_workings
from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.reference import SOURCE_KINDS
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict

ALLOWED = re.compile(r"[\d.e+\-*/() ,]*")


def outcome(worked: str) -> float:
    """The value of a printed sum, read as a person would."""
    text = worked.replace(" x ", " * ").replace("^", "**")
    if text.startswith("the more of "):
        text = f"max({text.removeprefix('the more of ').replace(' and ', ', ')})"
    bare = text.replace("max", "").replace("up", "")
    assert ALLOWED.fullmatch(bare), worked
    return float(eval(text, {"__builtins__": {}}, {"max": max, "up": lambda v: math.ceil(v - 1e-3)}))


def check(found: Working) -> None:
    assert found.what and found.formula and math.isfinite(found.value)
    for given in found.inputs:
        assert given.name and given.source, found
        assert re.split(r" \(|; ", given.kind)[0] in {*SOURCE_KINDS, "worked out"}, given
    if found.worked:
        scale = max(1.0, abs(found.value), *(abs(float(n)) for n in re.findall(r"\d+\.?\d*", found.worked)))
        assert outcome(found.worked) == pytest.approx(found.value, abs=2e-3 * scale), found


def all_of(job: Job, profile: Profile, plan: Plan) -> list[Working]:
    places = [(p, z) for p, panel in enumerate(plan.panels) for z in range(len(panel.zones))]
    zones = [w for at in places for w in zone_workings(job, profile, plan, at)]
    return [*zones, *job_workings(plan, profile), *material_workings(plan, profile, job.fill.catalyst_percent)]


def planned(seed: int) -> tuple[Job, Profile, Plan] | None:
    case: Case = spotty_case(seed) if seed % 4 == 3 else random_case(seed)
    job, profile = read_job_dict(case[0]), apply_shop(default_profile(), case[1])
    try:
        return job, profile, make_plan(job, profile)
    except FinishplanError:
        return None


def test_every_printed_sum_comes_out_on_random_jobs() -> None:
    """Sixty invented jobs, some lean, satin, half-sanded, tested or for a trainee."""
    seen: set[str] = set()
    for seed in range(60):
        found = planned(seed)
        for working in all_of(*found) if found else ():
            check(working)
            seen.add(re.sub(r"(P|US |JIS #)?\d+|:.*|of all of.*", "", working.formula))
    assert len(seen) > 25
    for part in ("less what the finer steps take", "share that softening takes", "feathered spot",
                 "as PERT spreads it", "a dam if standing"):
        assert any(part in formula for formula in seen), part


def test_one_reading_without_a_usual_spread_is_told_as_nothing_counted_on() -> None:
    job = read_job_dict({"format": "finishplan-job", "version": 1, "title": "one", "panels": [{"name": "lid", "zones": [
        {"name": "field", "area_m2": 1.0, "readings": [{"um": 300}]}]}]})
    shop = {"format": "finishplan-shop", "version": 1, "policy": {"prior_worth": 0}}
    profile = apply_shop(default_profile(), shop)
    told = {w.what: w for w in zone_workings(job, profile, make_plan(job, profile), (0, 0))}
    assert told["film we count on"].value == 0.0
    assert "nothing is counted on" in told["film we count on"].formula


def test_numbers_told_are_those_of_the_plan() -> None:
    job = read_job_dict(read_job_bytes(demo_job_path().read_bytes()))
    profile = apply_shop(default_profile(), read_shop_bytes(demo_shop_path().read_bytes()))
    plan = make_plan(job, profile)
    zone = plan.panels[0].zones[0]
    told = {w.what: w for w in zone_workings(job, profile, plan, (0, 0))}
    assert told["film we count on"].value == zone.film_low_um
    assert told["film we count on"].worked == "405.8 - 2.654 x 28.12 - 14.17"
    assert told["film to spend"].value == zone.spare_um and told["film taken"].value == zone.removal_um
    assert told["film left that we count on"].value == zone.film_left_um
    assert told["least reading before the first stroke"].value == zone.least_start_um
    assert [told[f"{s.step}, minutes"].value for s in plan.panels[0].steps] == [
        part.minutes for s in plan.panels[0].steps for part in s.zones if part.zone == "field"]
    whole = {w.what: w.value for w in job_workings(plan, profile)}
    assert whole["time at the panels"] == plan.minutes and whole["what the plan makes least"] == plan.objective_min
    used = {w.what: w.value for w in material_workings(plan, profile, job.fill.catalyst_percent)}
    for line in materials(plan, profile, job.fill.catalyst_percent):
        name = line.item.replace("sheet P", "sheets P")
        if name in used:
            assert used[name] == pytest.approx(line.quantity)
    assert {"sheets P800", "cutting compound, liquid", "fill resin", "catalyst"} <= set(used)


def test_guessed_and_measured_inputs_are_told_apart_by_their_kind() -> None:
    job = read_job_dict(read_job_bytes(demo_job_path().read_bytes()))
    plan = make_plan(job, default_profile())
    told = {w.what: w for w in zone_workings(job, default_profile(), plan, (0, 0))}
    assert {i.kind for i in told["film, mean"].inputs} == {"measured here"}
    assert told["depth to plan for: nick"].inputs[0].kind == "measured here"
    assert told["depth to plan for: dull area"].inputs[0].kind == "from memory"
    unread = job.model_copy(update={"panels": (job.panels[3].model_copy(update={"zones": (
        job.panels[3].zones[0].model_copy(update={"readings": ()}),)}),)})
    told = {w.what: w for w in zone_workings(unread, default_profile(), make_plan(unread, default_profile()), (0, 0))}
    assert told["film, mean"].inputs[0].kind == "assumed" and "nobody has read" in told["film, mean"].inputs[0].name


def test_a_place_that_is_not_there_is_an_index_error() -> None:
    job = read_job_dict(read_job_bytes(demo_job_path().read_bytes()))
    plan = make_plan(job, default_profile())
    with pytest.raises(IndexError):
        zone_workings(job, default_profile(), plan, (0, 9))
