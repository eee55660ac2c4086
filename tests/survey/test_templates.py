"""Templates: every part of the table is there, areas add up, and the job reads, plans and asks as it should."""

from __future__ import annotations

import math

import pytest

from finishplan import reference
from finishplan.errors import BadValue, UnknownName
from finishplan.shop.profile import default_profile
from finishplan.survey import choices
from finishplan.survey.job import read_job_dict
from finishplan.survey.templates import (
    EDGE_M,
    INSTRUMENTS,
    edge_area_m2,
    panel_from,
    part_areas_m2,
    part_panels,
    template_job,
)
from finishplan.workup import work_up


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_panels_of_every_part_add_up_to_the_table_s_area(instrument: str) -> None:
    found: dict[str, float] = {}
    for panel in part_panels(instrument):
        zones = panel_from(panel)["zones"]
        found[panel.part] = found.get(panel.part, 0.0) + sum(zone["area_m2"] for zone in zones)
    assert found == pytest.approx(part_areas_m2(instrument), abs=5e-4)
    rows = [row for row in reference.rows("part_areas") if row["instrument"] == instrument]
    assert set(found) == {row["part"] for row in rows}


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_a_template_reads_as_a_job_and_starts_nothing_before_the_finish_is_known(instrument: str) -> None:
    raw = template_job(instrument, "  a title ")
    for zone in (zone for panel in raw["panels"] for zone in panel["zones"]):
        zone["defects"] = [{"kind": "scratch"}]
    job = read_job_dict(raw)
    assert job.title == "a title" and job.instrument.kind == instrument
    assert job.finish_id.result == "unknown" and job.build == "unknown"
    answer = work_up(job, default_profile(), draws=0)
    assert {zone.verdict for panel in answer.plan.panels for zone in panel.zones} == {"identify first"}


def test_names_are_the_closed_lists_own() -> None:
    for instrument in INSTRUMENTS:
        panels = part_panels(instrument)
        assert len({panel.name for panel in panels}) == len(panels)
        for panel in panels:
            assert panel.face in choices.FACES and panel.position in choices.POSITIONS
            assert panel.exposure in choices.EXPOSURES and set(panel.zones) <= set(choices.ZONE_KINDS)


def test_a_bench_is_listed_only_when_it_is_asked_for() -> None:
    plain = [panel["name"] for panel in template_job("grand", "x")["panels"]]
    assert "bench" not in plain and plain[0] == "lid, top"
    asked = template_job("grand", "x", parts=["bench", "lyre"])
    assert [panel["name"] for panel in asked["panels"]] == ["lyre", "bench"]


def test_given_fields_stand_in_the_job() -> None:
    job = template_job("upright", "x", given={"customer": "C", "due": "", "year": 1987, "id": "K-2"})
    assert job["customer"] == "C" and job["due"] is None
    assert job["instrument"] == {"id": "K-2", "kind": "upright", "year": 1987}


@pytest.mark.parametrize(("width", "height"), [(2.0, 1.0), (0.3, 0.3), (1.4, 0.06), (1.0, 0.031)])
def test_edge_area_is_the_rectangle_less_its_inner_one(width: float, height: float) -> None:
    inner = (width - 2 * EDGE_M) * (height - 2 * EDGE_M)
    assert edge_area_m2(width * height, width / height) == pytest.approx(width * height - inner)


def test_a_strip_narrower_than_two_edges_is_all_edge() -> None:
    assert math.isclose(edge_area_m2(1.0 * 0.02, 50.0), 0.02)


@pytest.mark.parametrize(("asked", "error", "said"), [
    (("harp", "x"), UnknownName, "instrument is 'harp'; choose one of: grand, upright"),
    (("grand", "x", ["fallbord"]), UnknownName, "part is 'fallbord'; did you mean 'fallboard'"),
    (("grand", " "), BadValue, "title is ' '; give the job a title"),
    (("grand", "x", []), BadValue, "choose at least one part"),
])
def test_what_no_template_has_is_told(asked: tuple, error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=said):
        template_job(*asked)
