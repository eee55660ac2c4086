"""Solvents, hardware and services come and go one by one; the finish asked for is put together from its two boxes."""

from __future__ import annotations

from typing import Any

import pytest

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.survey.edits import EditClash, change_job
from finishplan.survey.edits_in_place import change_entry, entry_after, take_out_service_zone
from finishplan.survey.edits_lists import (
    LISTS,
    REMEDY,
    add_entry,
    add_service_zone,
    entry_line,
    service_lines,
    take_out_entry,
)
from finishplan.survey.job import Job, read_job_dict

BODY: dict[str, Any] = {
    "format": "finishplan-job", "version": 1, "title": "t",
    "panels": [{"name": "lid", "zones": [{"name": "field", "area_m2": 1.0}]}]}
ENTRIES = {
    "solvents": {"substance": "acetone", "ml": 30.0, "minutes": None},
    "hardware": {"task": "lid off", "count": 1, "brass": "solid"},
    "services": {"date": "2019", "what": "buffed", "by": ""},
}


@pytest.mark.parametrize("field", list(LISTS))
def test_an_entry_comes_and_goes_and_its_job_can_be_read(field: str) -> None:
    made = add_entry(BODY, field, ENTRIES[field])
    assert len(getattr(read_job_dict(made.body), field)) == 1 and field not in BODY
    entry = made.body[field][0]
    assert None not in entry.values() and "" not in entry.values(), "what is not given is left out"
    assert made.wording == f"{entry_line(field, entry)} added"
    back = take_out_entry(made.body, field, 0, entry)
    assert back.body[field] == [] and back.wording.endswith("taken out")


@pytest.mark.parametrize("field", list(LISTS))
def test_an_empty_entry_says_what_to_give(field: str) -> None:
    assert LISTS.keys() == REMEDY.keys() == {"solvents", "hardware", "services"} <= Job.model_fields.keys()
    with pytest.raises(BadValue, match=REMEDY[field]):
        add_entry(BODY, field, {"x": None, "y": ""})


def test_an_entry_that_moved_is_found_and_one_that_changed_is_told() -> None:
    body = {**BODY, "hardware": [{"task": "a"}, {"task": "b"}]}
    assert take_out_entry(body, "hardware", 0, {"task": "b"}).body["hardware"] == [{"task": "a"}]
    with pytest.raises(EditClash, match="hardware c was changed or taken out meanwhile"):
        take_out_entry(body, "hardware", 0, {"task": "c"})


def test_what_a_service_took_is_told_zone_by_zone_once() -> None:
    body = add_entry(BODY, "services", ENTRIES["services"]).body
    made = add_service_zone(body, 0, body["services"][0], {
        "panel": "lid", "zone": "field", "removal_um": 30.0, "film_um": None}).body
    again = add_service_zone(made, 0, made["services"][0], {
        "panel": "lid", "zone": "field", "removal_um": 25.0, "film_um": 380.0})
    assert service_lines(again.body["services"][0]) == ["lid, field: took 25 um and left 380 um"]
    assert read_job_dict(again.body).services[0].zones[0].film_um == 380.0
    with pytest.raises(EditClash, match="service 2019, buffed was changed meanwhile"):
        add_service_zone(made, 0, body["services"][0], {"panel": "lid", "zone": "field", "film_um": 1.0})
    with pytest.raises(FinishplanError, match="neither film taken nor film left is given"):
        add_service_zone(made, 0, made["services"][0], {"panel": "lid", "zone": "field", "film_um": None})
    with pytest.raises(UnknownName, match="rim"):
        add_service_zone(made, 0, made["services"][0], {"panel": "rim", "zone": "field", "film_um": 1.0})


def test_the_fill_resin_is_edited_field_by_field() -> None:
    made = change_job(BODY, BODY, {"fill.catalyst_percent": 2.0, "fill.gel_min": 20.0})
    assert made.body["fill"] == {"catalyst_percent": 2.0, "gel_min": 20.0}
    assert made.wording == "catalyst, %: 2; it gels in, min: 20"
    assert read_job_dict(made.body).fill.resin == "polyester"


def test_an_entry_is_changed_in_place_field_by_field() -> None:
    body = {**BODY, "services": [{"what": "buffed", "zones": [
        {"panel": "lid", "zone": "field", "removal_um": 12.0}, {"panel": "lid", "zone": "edge", "film_um": 300.0}]}]}
    was = body["services"][0]
    made = change_entry(body, "services", 0, was, {"what": "buffed twice", "removal_um 0": 20.0, "film_um 1": 300.0})
    assert made.body["services"][0]["zones"] == [{**was["zones"][0], "removal_um": 20.0}, was["zones"][1]]
    assert made.wording == "service buffed: what: buffed twice; lid, field: took 20 um"
    assert entry_after("services", was, {"what": "buffed twice", "removal_um 0": 20.0}) == made.body["services"][0]
    with pytest.raises(FinishplanError, match="lid, field: neither film taken nor film left is given; type one"):
        change_entry(body, "services", 0, was, {"removal_um 0": None})
    with pytest.raises(EditClash, match="service buffed was changed or taken out meanwhile"):
        change_entry(made.body, "services", 0, was, {"what": "x"})
    with pytest.raises(BadValue, match=REMEDY["services"]):
        change_entry({**BODY, "services": [{"what": "x"}]}, "services", 0, {"what": "x"}, {"what": ""})
    back = take_out_service_zone(body, 0, was, 0)
    assert back.body["services"][0]["zones"] == was["zones"][1:]
    assert back.wording == "service buffed: lid, field: took 12 um, taken out"
    with pytest.raises(EditClash, match="service buffed was changed meanwhile; look at the list again"):
        take_out_service_zone(body, 0, was, 2)
