"""A piano may come broken off with a sheet of another system, which no shop here keeps: the plan goes on from it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from finishplan.planning.plan import make_plan
from finishplan.planning.result import Plan
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict

BROKEN_OFF = Path(__file__).parents[1] / "published" / "worked_jobs" / "broken_off_levels.job.json"
PROFILE = default_profile()


def planned(step: str) -> Plan:
    data: Any = json.loads(BROKEN_OFF.read_text(encoding="utf-8"))
    data["panels"] = data["panels"][:1]
    data["panels"][0]["zones"][0]["previous_step"] = step
    return make_plan(read_job_dict(data), PROFILE)


@pytest.mark.parametrize(("step", "alike"), [("US 600", "P1200"), ("JIS #800", "P1200")])
def test_a_sheet_of_another_system_is_gone_on_from_as_by_its_grain(step: str, alike: str) -> None:
    """US 600 and P1200 are told as near alike wherever grades are compared (common practice, no source)."""
    zone, twin = planned(step).panels[0].zones[0], planned(alike).panels[0].zones[0]
    scratch = PROFILE.with_steps([step]).step(step).scratch_depth_um
    assert zone.removal_um >= PROFILE.policy.clearing * scratch - 1e-9
    names = [known.name for known in PROFILE.steps]
    assert abs(names.index(zone.starts_at or "") - names.index(twin.starts_at or "")) <= 1


def test_the_shop_is_not_given_the_sheet() -> None:
    plan = planned("US 600")
    assert all("US 600" not in panel.sequence for panel in plan.panels)
