"""Jobs and shops that the office tests work on: the demo pair, and small ones made here."""

from __future__ import annotations

import json
from datetime import date, datetime
from functools import cache
from typing import Any

from finishplan.office.schedule_tasks import JobOrder
from finishplan.planning.plan import make_plan
from finishplan.records.files import demo_job_path, demo_shop_path
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict

MONDAY = date(2026, 3, 2)
START = datetime(2026, 3, 2, 8, 0)
PEOPLE = [
    {"id": "A", "name": "Ada (invented)", "role": "finisher", "rate_per_h": 60.0},
    {"id": "B", "name": "Ben (invented)", "role": "trainee", "rate_per_h": 30.0},
]


def shop(**fields: Any) -> Profile:
    made = {"format": "finishplan-shop", "version": 1, "currency": "EUR", "people": PEOPLE} | fields
    return apply_shop(default_profile(), made)


@cache
def demo_shop() -> Profile:
    return apply_shop(default_profile(), json.loads(demo_shop_path().read_text("utf-8")))


@cache
def demo_job() -> Job:
    return read_job_dict(json.loads(demo_job_path().read_text("utf-8")))


def zone(name: str = "field", area_m2: float = 1.0, um: float = 420.0, **more: Any) -> dict[str, Any]:
    readings = [{"um": um + d, "method": "ultrasonic"} for d in (-6.0, 0.0, 3.0, 5.0, -2.0)]
    return {"name": name, "area_m2": area_m2, "readings": readings, "defects": []} | more


def defect(kind: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind} | more


def panel(name: str, *zones: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"name": name, "off": True, "zones": list(zones)} | more


def job(*panels: dict[str, Any], **more: Any) -> Job:
    made = {
        "format": "finishplan-job", "version": 1, "title": "made for testing", "build": "pigmented through",
        "finish_id": {"result": "polyester"}, "panels": list(panels),
    }
    return read_job_dict(made | more)


def filled_job(**more: Any) -> Job:
    """A lid with a chip to fill and ripple to sand, and a music desk with swirls."""
    chip = defect("chip", depth_um=300.0, length_mm=6.0, width_mm=4.0)
    return job(
        panel("lid", zone(defects=[chip, defect("ripple", depth_um=18.0)])),
        panel("music desk", zone(area_m2=0.3, defects=[defect("swirls")])), **more)


def order(of: Job, profile: Profile, key: str = "J", **more: Any) -> JobOrder:
    return JobOrder(key, of, make_plan(of, profile), more.pop("arrives", MONDAY), **more)
