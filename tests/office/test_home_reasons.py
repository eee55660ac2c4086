"""A visit says why as the shop does: its prices are found again by planning the visit with the wish changed."""

from __future__ import annotations

from typing import Any

import pytest

from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import Answer, work_up


def visited(change: dict[tuple[str, str, int], str] | None = None) -> Answer:
    """The demo job at the customer's, with the wishes of some defects changed."""
    body: Any = read_file(demo_job_path())
    body["site"]["kind"] = "home"
    for panel in body["panels"]:
        for zone in panel["zones"]:
            for i, defect in enumerate(zone.get("defects", ())):
                wish = (change or {}).get((panel["name"], zone["name"], i))
                if wish is not None:
                    defect["wish"] = wish
    return work_up(read_job_dict(body), apply_shop(default_profile(), read_file(demo_shop_path())), draws=0)


def test_a_visit_has_runners_up_close_calls_wishes_and_a_curve() -> None:
    plan = visited().plan
    assert any(panel.runners_up for panel in plan.panels)
    assert plan.asking_less and plan.film_against_time and plan.two_limits
    assert all(d.repair != "fill" for panel in plan.panels for zone in panel.zones for d in zone.defects)


def test_what_asking_less_saves_on_a_visit_is_the_difference_of_two_visits() -> None:
    plan = visited().plan
    less = next(line for line in plan.asking_less if line.wish == "leave" and line.minutes > 5.0)
    panel, zone = next((p.name, z) for p in plan.panels for z in p.zones
                       if less.what.startswith(f"{p.name}, {z.name}: "))
    at = next(d.index for d in zone.defects if d.index is not None and d.repair not in ("leave", "refer", "clean"))
    softer = visited({(panel, zone.name, at): "leave"}).plan
    assert plan.minutes - softer.minutes == pytest.approx(less.minutes, abs=1e-6)
