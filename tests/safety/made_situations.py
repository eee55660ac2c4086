"""Invented jobs for the cautions: small, each changed in the one fact that a caution looks at."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from finishplan.planning.plan import make_plan
from finishplan.planning.result import Plan
from finishplan.safety.cautions import Caution, cautions
from finishplan.safety.situation import Situation
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict

Raw = dict[str, Any]

SCRATCH: Raw = {"kind": "scratch", "length_mm": 60, "width_mm": 0.2, "depth_um": 12.0, "seen_in": "detail"}
SWIRLS: Raw = {"kind": "swirls", "area_m2": 0.5, "seen_in": "detail"}
CHIP: Raw = {"kind": "chip", "length_mm": 8, "width_mm": 6, "depth_um": 300.0, "seen_in": "detail"}
NICK_OF_NO_SIZE: Raw = {"kind": "chip", "depth_um": 300.0, "seen_in": "detail"}
SHEETS = ("P180", "P220", "P240", "P320", "P400", "P500", "P600", "P800", "P1000", "P1200", "P1500", "P2000", "P2500")
DRY: Raw = {"steps": [{"step": name, "wet": False} for name in SHEETS]}
COMPOUND_WAYS = ("wheel", "rotary", "random orbit", "hand")


def powered_by(power: str, **more: Any) -> Raw:
    """A shop whose powered tools all run on ``power``, with ``more`` about each of them."""
    tools = [{"way": "machine", "for": "sheet", "power": power, **more}]
    tools += [{"way": way, "for": "compound", "power": power, **more} for way in ("wheel", "rotary", "random orbit")]
    return {"tools": tools}


def zone(*defects: Raw, area_m2: float = 1.0, **more: Any) -> Raw:
    """A field with three even readings."""
    return {"name": "field", "area_m2": area_m2, "readings": [{"um": 450, "spot": n} for n in (1, 2, 3)],
            "defects": list(defects), **more}


def panel(*defects: Raw, name: str = "side", area_m2: float = 1.0, zones: list[Raw] | None = None,
          **more: Any) -> Raw:
    """A panel of one field."""
    return {"name": name, "zones": zones or [zone(*defects, area_m2=area_m2)], **more}


def raw_job(*panels: Raw, **more: Any) -> Raw:
    """A job of the invented kind: a young grand, identified, in a shop whose room is known."""
    found: Raw = {
        "format": "finishplan-job", "version": 1, "title": "Invented job",
        "instrument": {"kind": "grand", "year": 2008, "overcoated": False},
        "finish_id": {"result": "polyester", "how": "solvent on a hidden spot"},
        "build": "pigmented through",
        "site": {"kind": "shop", "room_m3": 200, "air_changes_per_h": 4, "temperature_c": 20, "alone": False},
        "panels": list(panels) or [panel()],
    }
    for key, value in more.items():
        found[key] = {**found[key], **value} if isinstance(found.get(key), dict) else value
    return found


def made(raw: Raw, shop: Raw | None = None) -> tuple[Job, Plan, Profile]:
    """The job in ``raw`` planned in the shop of ``shop``."""
    profile = default_profile()
    if shop is not None:
        profile = apply_shop(profile, {"format": "finishplan-shop", "version": 1, **deepcopy(shop)})
    job = read_job_dict(deepcopy(raw))
    return job, make_plan(job, profile), profile


def situation(raw: Raw, shop: Raw | None = None) -> Situation:
    """What the sums and triggers look at."""
    return Situation(*made(raw, shop))


def raised(raw: Raw, shop: Raw | None = None) -> dict[str, Caution]:
    """The cautions of a job by id."""
    return {caution.id: caution for caution in cautions(*made(raw, shop))}
