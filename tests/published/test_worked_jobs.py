"""Ten worked jobs, computed by a separate model of the same method: what the planner must come to."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from finishplan.planning.plan import make_plan
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict

JOBS = Path(__file__).parent / "worked_jobs"
NAMES = sorted(path.name.removesuffix(".job.json") for path in JOBS.glob("*.job.json"))


def load(name: str) -> Any:
    return json.loads((JOBS / name).read_text(encoding="utf-8"))


def test_there_are_ten() -> None:
    assert len(NAMES) == 10


@pytest.mark.parametrize("name", NAMES)
def test_worked_job(name: str) -> None:
    plan = make_plan(read_job_dict(load(f"{name}.job.json")), default_profile())
    expected = load(f"{name}.expected.json")
    assert plan.objective_min == pytest.approx(expected["objective_min"], abs=1e-6)
    for part, minutes in expected["parts_min"].items():
        assert getattr(plan.parts, part) == pytest.approx(minutes, abs=1e-6), part
    assert list(plan.set_up_steps) == expected["set_up"]["steps"]
    assert list(plan.kits) == expected["set_up"]["kits"]
    for panel, want in zip(plan.panels, expected["panels"], strict=True):
        assert list(panel.sequence) == want["sequence"]
        for zone, of in zip(panel.zones, want["zones"], strict=True):
            assert (zone.verdict, zone.starts_at) == (of["verdict"], of["starts_at"]), zone.reasons
            assert zone.film_low_um == pytest.approx(of["film_low_um"], abs=1e-6)
            assert zone.removal_um == pytest.approx(of["removal_um"], abs=1e-6)
            repairs = ["zone" if d.repair in ("buff", "sand") else d.repair for d in zone.defects]
            assert repairs == of["repairs"]
            depths = [d.planning_depth_um for d in zone.defects]
            for depth, wanted in zip(depths, of["planning_depth_um"], strict=True):
                assert depth == (None if wanted is None else pytest.approx(wanted, abs=1e-6))
