"""The plan format that other people's scripts read: every key, every kind of value, every number unrounded."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from finishplan import cli
from finishplan.planning.plan import make_plan
from finishplan.planning.result import REPAIRS, VERDICTS
from finishplan.records.files import demo_job_path, demo_shop_path
from finishplan.reference import SOURCE_KINDS
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict

JOBS = Path(__file__).parent / "published" / "worked_jobs"
DEMO, SHOP = str(demo_job_path()), str(demo_shop_path())
NUMBER, TEXT, FLAG = (int, float), str, bool
MAYBE = (int, float, type(None))
DEFECT = {"index": (int, type(None)), "kind": TEXT, "planning_depth_um": MAYBE, "depth_from": TEXT, "repair": TEXT,
          "why": TEXT}
ZONE = {"name": TEXT, "verdict": TEXT, "last_service": FLAG, "film_mean_um": NUMBER, "film_low_um": NUMBER,
        "keep_um": NUMBER, "spare_um": NUMBER, "starts_at": (str, type(None)), "to_take_out_um": NUMBER,
        "removal_um": NUMBER, "film_left_um": NUMBER, "untouched": FLAG, "would_fit": [TEXT], "defects": [DEFECT]}
PANEL = {"name": TEXT, "sequence": [TEXT], "minutes": {"look": NUMBER, "work": NUMBER, "repairs": NUMBER},
         "steps": [{"step": TEXT, "minutes": NUMBER,
                    "zones": [{"zone": TEXT, "removal_um": NUMBER, "least_reading_um": NUMBER}]}],
         "zones": [ZONE], "runners_up": [{"instead": TEXT, "minutes": NUMBER, "film_um_m2": NUMBER}],
         "close_calls": list, "limited_by": TEXT}
PLAN = {"format": TEXT, "version": int, "title": TEXT, "favour": TEXT, "objective_min": NUMBER, "film_weight": NUMBER,
        "set_up": {"steps": [TEXT], "kits": [TEXT], "minutes": NUMBER}, "panels": [PANEL],
        "film_against_time": [{"name": TEXT, "minutes": NUMBER, "film_um_m2": NUMBER}],
        "labour": {"lines": list, "minutes": NUMBER},
        "materials": [{"item": TEXT, "quantity": MAYBE, "unit": TEXT, "packs": (int, type(None))}],
        "cautions": [{"id": TEXT, "severity": TEXT, "text": TEXT, "sum": (str, type(None))}],
        "days": (dict, type(None)),
        "risk": (dict, type(None)), "notes": [TEXT],
        "sources": [{"value": TEXT, "kind": TEXT, "source": TEXT}]}
"""The plan format, version 1: what other people's scripts may rely on. Keys may be added, never taken away."""


def departures(found: Any, wanted: Any, at: str = "plan") -> Iterator[str]:
    """Say where ``found`` departs from the contract ``wanted``."""
    if isinstance(wanted, dict):
        if not isinstance(found, dict):
            yield f"{at} is no object"
            return
        for key, inner in wanted.items():
            if key not in found:
                yield f"{at}.{key} is missing"
            else:
                yield from departures(found[key], inner, f"{at}.{key}")
    elif isinstance(wanted, list):
        if not isinstance(found, list):
            yield f"{at} is no list"
            return
        for number, part in enumerate(found):
            yield from departures(part, wanted[0], f"{at}[{number}]")
    elif not isinstance(found, wanted) or (isinstance(found, bool) and wanted is not FLAG):
        yield f"{at} is {found!r}"


def plan_json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The plan as the command writes it: JSON alone on standard output, nothing beside it."""
    assert cli.main(["plan", *arguments, "--json"]) in (0, 1)
    out, err = capsys.readouterr()
    assert err == ""
    found: dict[str, Any] = json.loads(out)
    return found


@pytest.mark.parametrize("job", [DEMO, *map(str, sorted(JOBS.glob("*.job.json")))],
                         ids=lambda name: Path(name).name.split(".")[0])
def test_json_keeps_the_contract(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = plan_json(capsys, job)
    assert (found["format"], found["version"]) == ("finishplan-plan", 1)
    assert list(departures(found, PLAN)) == []
    for panel in found["panels"]:
        assert all(zone["verdict"] in VERDICTS for zone in panel["zones"])
        assert all(d["repair"] in REPAIRS for zone in panel["zones"] for d in zone["defects"])
        assert [step["step"] for step in panel["steps"]] == panel["sequence"]
    assert all(any(s["kind"].startswith(kind) for kind in SOURCE_KINDS) for s in found["sources"])


def test_lists_of_the_contract_are_not_empty(capsys: pytest.CaptureFixture[str]) -> None:
    """What is only checked entry by entry must have entries: the demo shows something of everything."""
    found = plan_json(capsys, DEMO, "--shop", SHOP)
    panels, zones = found["panels"], [zone for panel in found["panels"] for zone in panel["zones"]]
    for name in ("sequence", "steps", "runners_up"):
        assert any(panel[name] for panel in panels), name
    for name in ("defects", "would_fit"):
        assert any(zone[name] for zone in zones), name
    for name in ("film_against_time", "materials", "cautions", "notes", "sources"):
        assert found[name], name
    assert found["set_up"]["steps"] and found["set_up"]["kits"] and found["labour"]["lines"]


def test_contract_is_not_met_by_anything() -> None:
    """The check itself can fail."""
    assert list(departures({}, ZONE)) == [f"plan.{key} is missing" for key in ZONE]
    assert list(departures({"untouched": 1}, {"untouched": FLAG})) == ["plan.untouched is 1"]
    assert list(departures({"n": True}, {"n": NUMBER})) == ["plan.n is True"]


def test_json_numbers_are_the_plans_own(capsys: pytest.CaptureFixture[str]) -> None:
    """Unrounded: every number reads back as the very float that the library holds."""
    found = plan_json(capsys, DEMO, "--shop", SHOP)
    job = read_job_dict(json.loads(demo_job_path().read_bytes()))
    plan = make_plan(job, apply_shop(default_profile(), json.loads(demo_shop_path().read_bytes())))
    assert found["objective_min"] == plan.objective_min
    assert found["set_up"]["minutes"] == plan.set_up_minutes
    for panel, planned in zip(found["panels"], plan.panels, strict=True):
        assert panel["minutes"]["work"] == planned.work_minutes
        for zone, done in zip(panel["zones"], planned.zones, strict=True):
            assert (zone["removal_um"], zone["film_low_um"]) == (done.removal_um, done.film_low_um)
            assert [d["planning_depth_um"] for d in zone["defects"]] == [d.planning_depth_um for d in done.defects]
    lows = [zone["film_low_um"] for panel in found["panels"] for zone in panel["zones"]]
    assert any(low != round(low, 6) for low in lows)
