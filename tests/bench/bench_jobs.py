"""Jobs for the bench tests: the worked jobs, the demo, and small ones made here; all invented."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from finishplan.shop.profile import Profile, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import Answer, work_up

ROOT = Path(__file__).parents[2]
WORKED = ROOT / "tests" / "published" / "worked_jobs"
NAMES = sorted(path.name.removesuffix(".job.json") for path in WORKED.glob("*.job.json"))


@cache
def worked(name: str) -> Answer:
    raw = json.loads((WORKED / f"{name}.job.json").read_text(encoding="utf-8"))
    return work_up(read_job_dict(raw), default_profile(), draws=0)


@cache
def demo() -> Answer:
    raw = json.loads((ROOT / "data" / "demo" / "lid_and_rim.job.json").read_text(encoding="utf-8"))
    return work_up(read_job_dict(raw), default_profile(), draws=0)


def every_answer() -> list[Answer]:
    return [*(worked(name) for name in NAMES), demo()]


def zone(*defects: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """A well measured field."""
    readings = [{"um": um, "spot": k + 1} for k, um in enumerate((402, 398, 405, 400, 395))]
    return {"name": "field", "area_m2": 0.5, "readings": readings, "defects": list(defects), **changes}


def panel(*zones: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {"name": "part", "off": True, "zones": list(zones) or [zone()], **changes}


def job(*panels: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {
        "format": "finishplan-job", "version": 1, "title": "Made for a test", "build": "pigmented through",
        "finish_id": {"result": "polyester", "how": "solvent on a hidden spot"},
        "instrument": {"year": 1995}, "panels": list(panels), **changes,
    }


def answer(*panels: dict[str, Any], profile: Profile | None = None, **changes: Any) -> Answer:
    return work_up(read_job_dict(job(*panels, **changes)), profile or default_profile(), draws=0)


SCRATCH = {"kind": "scratch", "depth_um": 20.0, "length_mm": 60}
DULL = {"kind": "dull_area", "depth_um": 3.0}
NICK = {"kind": "nick", "depth_um": 230.0, "width_mm": 2.0}
PEEL = {"kind": "orange_peel", "depth_um": 15.0}
