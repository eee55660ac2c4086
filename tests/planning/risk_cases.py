"""Jobs for the audit of risk, all invented: one zone in plain numbers, and a whole piano of panels."""

from __future__ import annotations

from typing import Any

from finishplan.planning.plan import make_plan
from finishplan.planning.result import Plan
from finishplan.planning.risk_model import RiskFigures
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict

EXACT = RiskFigures(removal_cv=0.0, removal_cv_trainee=0.0, minutes_cv=0.0, minutes_cv_tested=0.0, gauge_least=0.0,
                    gauge_most=0.0)
"""Nothing is spread: what is planned happens."""


def readings(*values_um: float, method: str = "ultrasonic") -> list[dict[str, Any]]:
    return [{"um": float(um), "method": method} for um in values_um]


def zone_dict(name: str = "field", **more: Any) -> dict[str, Any]:
    zone = {"name": name, "kind": "field", "area_m2": 1.0, "readings": readings(400.0, 410.0, 390.0), "defects": []}
    return zone | more


def panel_dict(name: str, *zones: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"name": name, "off": True, "zones": list(zones)} | more


def job_dict(*panels: dict[str, Any], **more: Any) -> dict[str, Any]:
    job = {"format": "finishplan-job", "version": 1, "title": "Invented", "build": "pigmented through",
           "finish_id": {"result": "polyester"}, "panels": list(panels)}
    return job | more


def scratch(**more: Any) -> dict[str, Any]:
    return {"kind": "scratch", "wish": "remove", "length_mm": 100.0, "width_mm": 0.2} | more


def planned(job: dict[str, Any], shop: dict[str, Any] | None = None) -> tuple[Job, Profile, Plan]:
    read = read_job_dict(job)
    profile = default_profile()
    if shop is not None:
        profile = apply_shop(profile, {"format": "finishplan-shop", "version": 1} | shop)
    return read, profile, make_plan(read, profile)


def one_zone(*defects: dict[str, Any], **zone: Any) -> dict[str, Any]:
    return job_dict(panel_dict("lid", zone_dict(defects=list(defects), **zone)))


def piano(panels: int) -> dict[str, Any]:
    """A job of many panels: fields with ripple and scratches, edges with swirls, a few spots and fills."""
    made = []
    for p in range(panels):
        defects: list[dict[str, Any]] = [
            {"kind": "swirls", "wish": "remove"},
            {"kind": "ripple", "wish": "remove"} if p % 3 == 0 else scratch(count=2, at={"x": 0.5, "y": 0.5}),
            {"kind": "nick", "wish": "remove", "width_mm": 2.0, "length_mm": 4.0},
        ]
        field = zone_dict(area_m2=0.8, readings=readings(420, 431 + p, 405, 415), defects=defects)
        edge = zone_dict("edge", kind="edge", area_m2=0.05, readings=readings(260, 270 + p, 255),
                         defects=[{"kind": "swirls", "wish": "remove"}])
        made.append(panel_dict(f"panel {p}", field, edge, size_m={"width": 1.0, "height": 0.8}))
    return job_dict(*made)
