"""Edits of a job, its panels and zones: a new job comes out, the old one stays, and another's change is told."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from finishplan.errors import BadValue, UnknownName
from finishplan.records.files import demo_job_path
from finishplan.survey import edits
from finishplan.survey.edits import ANY, Edit, EditClash
from finishplan.survey.job import read_job_dict
from finishplan.survey.templates import panel_from, part_panels


@pytest.fixture
def job() -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(demo_job_path().read_text(encoding="utf-8"))
    raw["test_spot"] = {"panel": "main lid, top", "zone": "field", "defect": 1,
                        "steps": [{"step": "P1500", "minutes": 4}]}
    return raw


def done(job: dict[str, Any], edit: Edit, before: dict[str, Any]) -> dict[str, Any]:
    """The job after an edit, after looking that the old one stayed, the new one reads, and one line was said."""
    assert job == before, "an edit changes nothing that comes in"
    read_job_dict(edit.body)
    assert edit.wording and "\n" not in edit.wording
    return edit.body


def test_fields_of_the_job_and_its_groups_change_by_path(job: dict[str, Any]) -> None:
    before = copy.deepcopy(job)
    new = {"build": "clear over veneer", "finish_id.result": "unknown", "site.room_m3": 90, "customer": "C"}
    made = edits.change_job(job, job, new)
    body = done(job, made, before)
    assert body["build"] == "clear over veneer" and body["finish_id"]["result"] == "unknown"
    assert body["finish_id"]["how"] == job["finish_id"]["how"] and body["site"]["room_m3"] == 90
    assert made.wording == "build: clear over veneer; finish: unknown; room, m3: 90; customer: C"


def test_only_what_differs_from_what_was_read_is_changed_and_told(job: dict[str, Any]) -> None:
    theirs = {**job, "customer": "theirs"}
    made = edits.change_job(theirs, job, {"customer": None, "title": "mine"})
    assert made.body["customer"] == "theirs" and made.body["title"] == "mine"
    assert made.wording == "title: mine"
    assert edits.change_job(job, job, {"title": job["title"]}) == (job, "nothing changed")


def test_a_field_changed_by_another_is_told_and_done_only_when_chosen(job: dict[str, Any]) -> None:
    theirs = {**job, "finish_id": {**job["finish_id"], "result": "lacquer"}}
    with pytest.raises(EditClash, match="finish is lacquer now, you gave shellac"):
        edits.change_job(theirs, job, {"finish_id.result": "shellac"})
    assert edits.change_job(theirs, ANY, {"finish_id.result": "shellac"}).body["finish_id"]["result"] == "shellac"


def test_absent_and_default_are_the_same(job: dict[str, Any]) -> None:
    bare = {name: job[name] for name in ("format", "version", "title", "panels")}
    assert edits.change_job(bare, bare, {"build": "unknown", "site.kind": "shop", "site.alone": False}).body == bare
    assert edits.change_job(job, bare, {"site.alone": True}).body["site"]["alone"] is True


def test_a_group_that_is_not_there_yet_is_made(job: dict[str, Any]) -> None:
    bare = {name: job[name] for name in ("format", "version", "title", "panels")}
    assert edits.change_job(bare, bare, {"instrument.year": 1990}).body["instrument"] == {"year": 1990}


def test_a_panel_is_added_under_a_free_name(job: dict[str, Any]) -> None:
    before = copy.deepcopy(job)
    slip = next(panel for panel in part_panels("grand") if panel.name == "key slip")
    body = done(job, edits.add_panel(job, panel_from(slip)), before)
    assert body["panels"][-1]["name"] == "key slip 2"
    assert edits.add_panel(body, panel_from(slip)).wording == "panel key slip 3 added"


def test_fields_of_a_panel_change_and_its_test_spot_follows_a_new_name(job: dict[str, Any]) -> None:
    before, was = copy.deepcopy(job), edits.panel_at(job, "main lid, top")
    made = edits.change_panel(job, "main lid, top", was, {"name": "lid", "off": True, "exposure": "half seen"})
    body = done(job, made, before)
    assert body["panels"][0]["name"] == "lid" and body["panels"][0]["exposure"] == "half seen"
    assert body["test_spot"]["panel"] == "lid"
    assert made.wording == "main lid, top: name: lid; exposure: half seen"
    assert edits.change_panel(job, "key slip", edits.panel_at(job, "key slip"), {"name": "x"}).body["test_spot"] == (
        job["test_spot"])


def test_a_panel_changed_by_another_is_told(job: dict[str, Any]) -> None:
    was = edits.panel_at(job, "key slip")
    theirs = edits.change_panel(job, "key slip", was, {"size_m": {"width": 1.3, "height": 0.05}}).body
    with pytest.raises(EditClash, match=r"key slip: size, m is width 1\.3, height 0\.05 now, you gave not given"):
        edits.change_panel(theirs, "key slip", was, {"size_m": None})
    agreed = edits.change_panel(theirs, "key slip", was, {"size_m": {"width": 1.3, "height": 0.05}})
    assert agreed.body == theirs


def test_taking_a_panel_out_takes_its_test_spot_along(job: dict[str, Any]) -> None:
    before = copy.deepcopy(job)
    made = edits.take_out_panel(job, "main lid, top")
    assert done(job, made, before)["test_spot"] is None
    assert made.wording == "panel main lid, top taken out, with its test spot"
    kept = edits.take_out_panel(job, "key slip")
    assert kept.body["test_spot"] == job["test_spot"] and kept.wording == "panel key slip taken out"


def test_the_last_panel_and_the_last_zone_stay(job: dict[str, Any]) -> None:
    alone = {**job, "panels": [job["panels"][2]], "test_spot": None}
    with pytest.raises(BadValue, match="panel is 'rim, bass side'; it is the only one; a job needs a panel"):
        edits.take_out_panel(alone, "rim, bass side")
    with pytest.raises(BadValue, match="zone is 'field'; it is the panel's only one"):
        edits.take_out_zone(alone, "rim, bass side", "field")


@pytest.mark.parametrize(("by", "place"), [(1, 1), (-1, 0), (99, 6), (2, 2)])
def test_a_panel_moves_along_the_walk(job: dict[str, Any], by: int, place: int) -> None:
    made = edits.move_panel(job, "main lid, top", by)
    names = [panel["name"] for panel in made.body["panels"]]
    assert names.index("main lid, top") == place and len(names) == 7
    assert made.wording == f"main lid, top now no. {place + 1} of the walk"


def test_zones_are_added_changed_and_taken_out(job: dict[str, Any]) -> None:
    before = copy.deepcopy(job)
    more = edits.add_zone(job, "key slip", {"name": "field", "kind": "edge", "area_m2": 0.01})
    body = done(job, more, before)
    assert [zone["name"] for zone in body["panels"][5]["zones"]] == ["field", "field 2"]
    was = edits.zone_at(body, "key slip", "field 2")
    changed = edits.change_zone(body, "key slip", "field 2", was, {"name": "edge", "area_m2": 0.02})
    assert changed.wording == "key slip, field 2: name: edge; area, m2: 0.02"
    assert edits.take_out_zone(changed.body, "key slip", "edge").body == job


def test_a_zone_s_new_name_and_going_reach_the_test_spot(job: dict[str, Any]) -> None:
    was = edits.zone_at(job, "main lid, top", "field")
    named = edits.change_zone(job, "main lid, top", "field", was, {"name": "face"})
    assert named.body["test_spot"]["zone"] == "face"
    gone = edits.take_out_zone(job, "main lid, top", "field")
    assert gone.body["test_spot"] is None and gone.wording.endswith("with its test spot")
    assert edits.take_out_zone(job, "main lid, top", "front edge").body["test_spot"] == job["test_spot"]


@pytest.mark.parametrize(("call", "said"), [
    (lambda j: edits.panel_at(j, "key slipp"), "panel is 'key slipp'; did you mean 'key slip'"),
    (lambda j: edits.zone_at(j, "key slip", "feld"), "panel 'key slip': zone is 'feld'; did you mean 'field'"),
    (lambda j: edits.take_out_panel(j, "x"), "panel is 'x'"),
    (lambda j: edits.move_panel(j, "x", 1), "panel is 'x'"),
    (lambda j: edits.add_zone(j, "x", {"name": "y"}), "panel is 'x'"),
])
def test_names_that_are_not_there_are_told(job: dict[str, Any], call: Any, said: str) -> None:
    with pytest.raises(UnknownName, match=said):
        call(job)


def test_free_name_counts_on() -> None:
    assert edits.free_name("leg", []) == "leg"
    assert edits.free_name("leg", ["leg", "leg 2", "leg 3"]) == "leg 4"


@pytest.mark.parametrize(("value", "words"), [
    (None, "not given"), ("", "not given"), (True, "yes"), (False, "no"), (1.5, "1.5"), ([1, 2], "1, 2"), ([], "none"),
    ({"x": 0.25, "y": 1}, "x 0.25, y 1"), ("  text ", "text"),
])
def test_values_in_a_line_of_the_history(value: object, words: str) -> None:
    assert edits.value_words(value) == words


@pytest.mark.parametrize("size", [None, {"width": 1.45, "height": 1.4}])
def test_a_size_goes_into_its_box_and_comes_back(size: Any) -> None:
    assert edits.read_size(edits.size_text(size)) == size


@pytest.mark.parametrize("typed", ["1.45", "1 2 3", "wide"])
def test_what_is_no_size_is_told(typed: str) -> None:
    with pytest.raises(BadValue, match=r"type width and height in m, as in 1\.45 1\.40"):
        edits.read_size(typed)
