"""Materials: sheets by volume and area, compounds by tool, resin by the scale, cure by temperature."""

from __future__ import annotations

import math
from typing import Any

import pytest

from finishplan.planning.materials import cure_hours, least_batch_g, materials, sheets_used
from finishplan.planning.plan import make_plan
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import read_job_dict


def made(defects: list[dict[str, Any]], profile: Profile | None = None, **panel: Any) -> dict[str, Any]:
    data = {
        "format": "finishplan-job", "version": 1, "title": "materials", "build": "pigmented through",
        "finish_id": {"result": "polyester"}, "fill": {"catalyst_percent": 1.5},
        "panels": [{"name": "p", "zones": [{"name": "z", "area_m2": 1.2, "defects": defects,
                                            "readings": [{"um": um} for um in (400, 405, 398, 402)]}], **panel}],
    }
    profile = profile or default_profile()
    job = read_job_dict(data)
    lines = materials(make_plan(job, profile), profile, job.fill.catalyst_percent)
    return {line.item: line for line in lines}


def test_sheets_by_volume_fine_ones_also_by_area_and_one_at_least() -> None:
    policy = Policy()
    assert sheets_used(36.0, 1.2, 25.8, policy) == pytest.approx(36.0 / 3.5)
    assert sheets_used(0.1, 1.2, 12.6, policy) == pytest.approx(1.2 / 0.5)
    assert sheets_used(0.1, 1.2, 18.3, policy) == 1.0


def test_plan_s_sheets_are_whole_and_cover_what_is_removed() -> None:
    found = made([{"kind": "ripple", "depth_um": 20.0}])
    sheets = [line for item, line in found.items() if item.startswith("sheet ")]
    assert sheets
    assert all(line.quantity == math.ceil(line.quantity) >= 1 for line in sheets)
    assert all("graded P" in line.note for line in sheets)


def test_every_compound_has_its_own_pad_by_tool() -> None:
    found = made([{"kind": "dull_area", "depth_um": 3.0}])
    assert {i for i in found if i.startswith("pad for")} == {
        f"pad for {c} compound, rotary" for c in ("cutting", "polishing", "finishing")}
    assert found["cutting compound, liquid"].quantity == pytest.approx(45 * 1.2)


def test_wheel_takes_bar_compound() -> None:
    found = made([{"kind": "dull_area", "depth_um": 3.0}], compounds_by="wheel", off=True)
    assert found["cutting compound, bar"].quantity == pytest.approx(15 * 1.2)
    assert "wheel for cutting compound, wheel" in found


def test_resin_is_never_under_what_the_scale_can_weigh_catalyst_for() -> None:
    nick = [{"kind": "nick", "depth_um": 200.0, "length_mm": 3.0, "width_mm": 2.0}]
    scale = apply_shop(default_profile(), {"format": "finishplan-shop", "version": 1, "scale_readability_g": 0.01})
    assert least_batch_g(0.01, 1.5) == pytest.approx(0.01 / (0.1 * 0.015))
    found = made(nick, scale)
    assert found["fill resin"].quantity == pytest.approx(least_batch_g(0.01, 1.5))
    assert found["catalyst"].quantity == pytest.approx(0.015 * least_batch_g(0.01, 1.5))
    assert "never by drops" in found["catalyst"].note
    assert "the shop's scale is not known" in made(nick)["fill resin"].note


def test_a_fill_without_size_is_said_and_not_guessed() -> None:
    found = made([{"kind": "chip"}])
    assert found["fill resin"].quantity is None
    assert "no fill has a size" in found["fill resin"].note


def test_packs_are_rounded_up_once_for_the_job() -> None:
    shop = apply_shop(default_profile(), {
        "format": "finishplan-shop", "version": 1, "prices": {"cutting compound, liquid": {"pack": 50, "price": 9.0}}})
    assert made([{"kind": "dull_area", "depth_um": 3.0}], shop)["cutting compound, liquid"].packs == 2


def test_cure_doubles_ten_degrees_colder_and_warmth_shortens_nothing() -> None:
    policy = Policy()
    assert cure_hours(24.0, 20.0, policy) == 24.0
    assert cure_hours(24.0, 10.0, policy) == 48.0
    assert cure_hours(24.0, 30.0, policy) == 24.0
