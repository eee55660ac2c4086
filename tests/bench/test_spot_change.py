"""What a test spot moves, before and after, and that taking it out brings back what was."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import pytest

from finishplan.paper.plan_text import plan_text
from finishplan.planning.plan import make_plan
from finishplan.planning.risk import audit
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import as_json, work_up

STEPS = [{"step": "polishing compound", "minutes": 3.0}, {"step": "P1500", "minutes": 2.0, "cleared": True}]
READINGS = {"before": [412.0, 405.0, 409.0], "after": [388.0, 385.0, 392.0]}
PROFILE = apply_shop(default_profile(), read_file(demo_shop_path()))


def job(**spot: Any) -> Any:
    body: Any = read_file(demo_job_path())
    if spot:
        body["test_spot"] = {"panel": "main lid, top", "zone": "field", "defect": 0, "steps": STEPS} | spot
    return read_job_dict(body)


def test_depth_rate_spread_start_and_price_stand_before_and_after() -> None:
    found = work_up(job(**READINGS), PROFILE, draws=2000)
    change, plain = found.spot_change, work_up(job(), PROFILE, draws=2000)
    assert change is not None and change.before is not None and change.after is not None
    assert (change.before.low_um, change.before.high_um) == (10.0, 35.0)
    assert change.after.high_um == pytest.approx(409.0 - 388.0 + 1 / 3 - 2 / 3, abs=0.7)
    assert change.after.source == "test spot"
    was = next(z for p in plain.plan.panels for z in p.zones if (p.name, z.name) == (change.panel, change.zone))
    assert change.starts_before == was.starts_at
    assert change.rate is not None and change.rate.step == "P1500" and change.rate.seen is not None
    assert change.rate.in_use == PROFILE.step("P1500").removal_rate_cm3_per_min
    assert change.minutes_cv_before > change.minutes_cv_after
    assert change.safe_minutes_before is not None and change.safe_minutes_after is not None
    assert plain.risk is not None and change.safe_minutes_before == pytest.approx(plain.risk.minutes.four_in_five)
    assert change.safe_minutes_after < change.safe_minutes_before, "the spread is less, so the safe time is less"
    assert change.safe_cost_before is not None and change.safe_cost_after is not None


def test_the_change_stands_in_text_and_in_json() -> None:
    found = work_up(job(**READINGS), PROFILE, draws=1000)
    text = " ".join(plan_text(found).split())
    assert "test spot: Depth before 10 to 35 um, planned with 28 from a range, now 10 to" in text
    assert "4 in 5 such jobs stayed under" in text
    told = as_json(found)["test_spot_change"]
    assert told == asdict(found.spot_change)  # type: ignore[arg-type]


def test_a_spot_the_gauge_cannot_judge_tells_no_rate_and_without_readings_there_is_none() -> None:
    short = [{"step": "P2500", "minutes": 0.05, "cleared": True}]
    found = work_up(job(steps=short, before=[400.0], after=[398.0]), PROFILE, draws=0).spot_change
    assert found is not None and found.rate is not None
    assert found.rate.seen is None and "within what the gauge can tell" in found.rate.why
    assert found.safe_minutes_after is None
    bare = work_up(job(steps=STEPS), PROFILE, draws=0).spot_change
    assert bare is not None and bare.rate is None


def test_taking_the_spot_out_brings_back_what_was() -> None:
    tested = job(**READINGS)
    back = tested.model_copy(update={"test_spot": None})
    assert make_plan(back, PROFILE) == make_plan(job(), PROFILE)
    risks = [audit(of, PROFILE, make_plan(of, PROFILE), 1, 500, readings=False) for of in (back, job())]
    assert risks[0] == risks[1]
