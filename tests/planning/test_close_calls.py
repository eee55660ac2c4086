"""Limits met within a tenth: every change they tell is found again by planning in a shop with the limit moved."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from finishplan.paper.why_words import close_words, limit_words
from finishplan.planning.plan import make_plan
from finishplan.planning.result import CloseCall, Plan
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import read_job_dict

JOBS = Path(__file__).parents[1] / "published" / "worked_jobs"
SHIPPED = default_profile()


def lid(**defect: Any) -> dict[str, Any]:
    """A lid of 1 m2 with 400 um everywhere and one scratch in its middle."""
    data: dict[str, Any] = json.loads((JOBS / "one_deep_scratch.job.json").read_text(encoding="utf-8"))
    data["panels"] = data["panels"][:1]
    zone = data["panels"][0]["zones"][0]
    zone["area_m2"] = 1.0
    zone["readings"] = [{"um": um} for um in (600.0, 601.0, 602.0, 600.0, 601.0, 602.0)]
    zone["defects"] = [{"kind": "scratch", "length_mm": 80.0, "depth_um": 40.0, "seen_in": "overall", "wish": "remove"}
                       | defect]
    data["panels"][0]["zones"] = [zone]
    data["panels"][0]["size_m"] = {"width": 1.0, "height": 1.0}
    return data


def planned(data: Any, profile: Profile = SHIPPED, why: bool = False) -> Plan:
    return make_plan(read_job_dict(data), profile, why=why)


def calls(data: Any, limit: str, profile: Profile = SHIPPED) -> list[CloseCall]:
    plan = planned(data, profile, why=True)
    return [call for panel in plan.panels for call in panel.close_calls if call.limit == limit]


def with_policy(**moved: float) -> Profile:
    return replace(SHIPPED, policy=SHIPPED.policy.model_copy(update=moved))


def refers(plan: Plan) -> int:
    return sum(d.repair == "refer" for panel in plan.panels for zone in panel.zones for d in zone.defects)


def told_minutes(changes: str) -> float:
    """The minutes of a change as the sentence tells them; 0 where nothing changes."""
    if changes.endswith("nothing changes"):
        return 0.0
    words = changes.split(": ", 1)[1].split(" and ")[0].split(",")[0]
    sign = -1.0 if words.startswith("-") else 1.0
    parts = words.lstrip("+-").split()
    hours, minutes = (float(parts[0]), float(parts[2])) if "h" in parts else (0.0, float(parts[0]))
    return sign * (60.0 * hours + minutes)


def assert_told(call: CloseCall, data: Any, moved: Profile) -> None:
    """The minutes that a call tells are those of the job planned in the moved shop, to the 5 min they are told in."""
    before, after = planned(data), planned(data, moved)
    assert told_minutes(call.changes) == pytest.approx(after.minutes - before.minutes, abs=2.6), call


def test_a_spot_close_to_its_most_share_tells_what_less_share_would_cost() -> None:
    data = lid()
    share = planned(data).panels[0].zones[0].defects[0].footprint_m2
    most = share / 0.95
    profile = with_policy(spot_max_share=most)
    (call,) = calls(data, "spot share", profile)
    assert call.margin_um is None
    assert f"at most {100 * most:g} %" in call.by
    before, after = planned(data, profile), planned(data, with_policy(spot_max_share=0.9 * most))
    assert after.minutes > before.minutes + 5.0
    assert told_minutes(call.changes) == pytest.approx(after.minutes - before.minutes, abs=2.6)
    assert calls(data, "spot share", with_policy(spot_max_share=share / 0.85)) == []


def test_a_spot_just_over_its_most_share_tells_what_more_share_would_save() -> None:
    data = lid()
    share = planned(data).panels[0].zones[0].defects[0].footprint_m2
    profile = with_policy(spot_max_share=share / 1.05)
    (call,) = calls(data, "spot share", profile)
    before, after = planned(data, profile), planned(data, with_policy(spot_max_share=1.1 * share / 1.05))
    assert after.minutes < before.minutes - 5.0
    assert told_minutes(call.changes) == pytest.approx(after.minutes - before.minutes, abs=2.6)


def test_a_zone_that_has_all_its_spots_tells_what_one_fewer_costs() -> None:
    data = lid(count=3, depth_um=18.0)
    assert [d.repair for d in planned(data).panels[0].zones[0].defects] == ["spot"]
    (call,) = calls(data, "spots")
    assert call.by == "3 of at most 3"
    assert_told(call, data, with_policy(spot_max_per_m2=2.0))
    assert calls(lid(count=2, depth_um=18.0), "spots") == []


def test_a_zone_that_wants_one_spot_more_tells_what_it_saves() -> None:
    data = lid(count=4, depth_um=18.0)
    assert [d.repair for d in planned(data).panels[0].zones[0].defects] != ["spot"]
    (call,) = calls(data, "spots")
    assert "with one spot more" in call.changes
    assert_told(call, data, with_policy(spot_max_per_m2=4.0))


def test_a_spot_close_to_an_edge_tells_how_close_and_what_it_costs_without() -> None:
    data = lid(at={"x": 0.5, "y": 0.5})
    radius = planned(data).panels[0].zones[0].defects[0].footprint_m2
    assert calls(data, "edge") == []
    solved = None
    for mm in range(20, 200):
        data = lid(at={"x": 0.5, "y": mm / 1000.0})
        if planned(data).panels[0].zones[0].defects[0].repair == "spot":
            solved = mm
            break
    assert solved is not None and radius > 0
    (call,) = calls(data, "edge")
    assert call.by == f"{solved} mm from the edge, a spot needs {solved} mm"
    nearer = lid(at={"x": 0.5, "y": (solved - 1) / 1000.0})
    assert told_minutes(call.changes) == pytest.approx(planned(nearer).minutes - planned(data).minutes, abs=2.6)
    assert calls(lid(at={"x": 0.5, "y": math.ceil(1.3 * solved) / 1000.0}), "edge") == []


@pytest.mark.parametrize(("width_mm", "moved", "saves"), [(0.48, 0.45, True), (0.52, 0.55, False), (0.7, None, False)])
def test_damage_nearly_too_narrow_for_resin(width_mm: float, moved: float | None, saves: bool) -> None:
    data = lid(kind="chip", length_mm=5.0, width_mm=width_mm, depth_um=300.0)
    found = calls(data, "fill width", with_policy(fill_opened_over_um=1e4))
    assert calls(data, "fill width", with_policy(fill_opened_over_um=100.0)) == []
    if moved is None:
        assert found == []
        return
    (call,) = found
    assert f"{width_mm:g} mm wide" in call.by
    closed = {"fill_opened_over_um": 1e4}
    fewer = refers(planned(data, with_policy(fill_min_width_mm=moved, **closed))) - refers(
        planned(data, with_policy(**closed)))
    assert fewer == (-1 if saves else 1)
    assert f"one {'fewer' if saves else 'more'} not dealt with" in call.changes


def test_two_readings_and_nearly_five_um_ask_for_a_third() -> None:
    data = lid(kind="dull_area", area_m2=0.5, length_mm=None, depth_um=None)
    data["panels"][0]["zones"][0]["readings"] = [{"um": 600.0}, {"um": 601.0}]
    taken = planned(data).panels[0].zones[0].removal_um
    (call,) = calls(data, "readings", with_policy(unmeasured_um=1.02 * taken))
    assert call.margin_um == pytest.approx(0.02 * taken, rel=1e-6)
    assert call.changes.endswith("three readings come first")
    (over,) = calls(data, "readings", with_policy(unmeasured_um=0.98 * taken))
    assert over.margin_um is not None and over.margin_um < 0
    assert "two readings would do" in over.changes
    assert calls(data, "readings", with_policy(unmeasured_um=2.0 * taken)) == []


def test_a_first_sheet_that_levels_nearly_its_most() -> None:
    data = lid(kind="orange_peel", length_mm=None, depth_um=12.0)
    plan = planned(data)
    first, zone = plan.panels[0].steps[0], plan.panels[0].steps[0].zones[0]
    step = SHIPPED.step(first.step)
    limit = zone.removal_um / 0.95
    profile = replace(SHIPPED, steps=tuple(
        replace(s, max_level_um=limit) if s.name == step.name else s for s in SHIPPED.steps))
    assert planned(data, profile).panels[0].sequence[0] == first.step
    (call,) = calls(data, "level", profile)
    assert call.margin_um == pytest.approx(0.05 * limit, rel=1e-6)
    lower = replace(SHIPPED, steps=tuple(
        replace(s, max_level_um=0.9 * limit) if s.name == step.name else s for s in SHIPPED.steps))
    change = planned(data, lower).minutes - planned(data, profile).minutes
    assert told_minutes(call.changes) == pytest.approx(change, abs=2.6)


def test_film_under_a_spot_can_be_what_is_close() -> None:
    data = lid()
    zone = data["panels"][0]["zones"][0]
    for um in range(600, 100, -2):
        zone["readings"] = [{"um": float(um)}] * 6
        plan = planned(data, why=True)
        if plan.panels[0].zones[0].defects[0].repair != "spot":
            break
        found = [c for c in plan.panels[0].close_calls if c.limit == "film"]
        if found:
            assert "under the spot on the scratch" in found[0].where
            return
    pytest.fail("no film made the spot a close call")


def test_two_limits_move_as_a_shop_that_moved_them_would_plan() -> None:
    job = read_job_dict(read_file(demo_job_path()))
    profile = apply_shop(default_profile(), read_file(demo_shop_path()))
    plan = make_plan(job, profile, why=True)
    assert len(plan.two_limits) >= 4
    for move in plan.two_limits:
        if move.limit.startswith("jump"):
            ratio = profile.policy.max_step_ratio * (1.1 if float(move.moved_to) > 1.8 else 0.9)
            other = replace(profile, policy=profile.policy.model_copy(update={"max_step_ratio": ratio}))
        else:
            way = move.limit.rsplit(" ", 1)[1]
            tool = replace(profile.tool(way, "compound"), cutting_coarsest_before=move.moved_to)
            other = replace(profile, tools={**profile.tools, (way, "compound"): tool})
        again = make_plan(job, other)
        assert move.minutes == pytest.approx(again.minutes - plan.minutes, abs=1e-6), move
        assert move.film_um_m2 == pytest.approx(again.film_um_m2 - plan.film_um_m2, abs=1e-6), move
    assert any(abs(move.minutes or 0.0) > 1.0 for move in plan.two_limits)
    assert make_plan(job, profile, sequence=plan.panels[0].sequence, why=True).two_limits == ()


def test_words_of_a_limit_that_is_no_film() -> None:
    call = CloseCall("spots", "field: number of spots", None, "with one spot more: -20 min", "3 of at most 3")
    assert close_words(call) == "Field: number of spots, 3 of at most 3; with one spot more: -20 min."
    said = limit_words(planned(lid(), why=True).two_limits)
    assert said[0].startswith("jump between sheets, now 1.8; at 1.98")
