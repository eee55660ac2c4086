"""Edits of readings, defects and the test spot."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue
from finishplan.records.files import demo_job_path
from finishplan.survey import choices, edits_entries
from finishplan.survey.edits import ANY, EditClash, zone_at
from finishplan.survey.job import read_job_dict
from finishplan.survey.typed_row import read_depth

RIM = ("rim, bass side", "field")
LID = ("main lid, top", "field")


def demo() -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(demo_job_path().read_text(encoding="utf-8"))
    return raw


@pytest.fixture
def job() -> dict[str, Any]:
    return demo()


def readings(body: Any, at: tuple[str, str] = RIM) -> list[dict[str, Any]]:
    return list(zone_at(body, *at)["readings"])


def defects(body: Any, at: tuple[str, str] = LID) -> list[dict[str, Any]]:
    return list(zone_at(body, *at)["defects"])


def test_readings_are_added_in_order_with_method_spot_and_place(job: dict[str, Any]) -> None:
    before = copy.deepcopy(job)
    made = edits_entries.add_readings(job, *RIM, [330, 331.5], "loupe at chip", 39, {"x": 0.2, "y": 0.3}, "by the lock")
    assert job == before
    assert readings(made.body)[4:] == [
        {"um": 330, "method": "loupe at chip", "spot": 39, "at": {"x": 0.2, "y": 0.3}, "note": "by the lock"},
        {"um": 331.5, "method": "loupe at chip", "spot": 39, "at": {"x": 0.2, "y": 0.3}, "note": "by the lock"}]
    assert made.wording == "rim, bass side, field: readings 330, 331.5 um at spot 39, loupe at chip"
    read_job_dict(made.body)
    assert readings(edits_entries.add_readings(job, *RIM, [330.0]).body)[4] == {"um": 330, "method": "ultrasonic"}


def test_no_reading_is_told(job: dict[str, Any]) -> None:
    with pytest.raises(BadValue, match="readings is 'none'; type at least one"):
        edits_entries.add_readings(job, *RIM, [])


@given(st.lists(st.floats(min_value=0.5, max_value=5000), min_size=1, max_size=8))
def test_no_typed_reading_is_changed(values: list[float]) -> None:
    body = edits_entries.add_readings(demo(), *RIM, values).body
    assert [reading["um"] for reading in readings(body)[4:]] == values
    assert edits_entries.known_um(body, *RIM)[4:] == tuple(values)


def test_one_reading_is_changed_or_taken_out(job: dict[str, Any]) -> None:
    was = readings(job)[2]
    made = edits_entries.change_reading(job, *RIM, 2, was, {"um": 318, "spot": 22, "note": "read again"})
    assert readings(made.body)[2] == {"um": 318, "method": "ultrasonic", "spot": 22, "note": "read again"}
    assert made.wording == "rim, bass side, field: reading 118 um: film, um: 318; note: read again"
    gone = edits_entries.take_out_reading(job, *RIM, 2, was)
    assert [reading["um"] for reading in readings(gone.body)] == [331, 322, 328]
    assert gone.wording == "rim, bass side, field: reading 118 um taken out"


def test_an_entry_that_moved_is_found_and_one_that_changed_is_told(job: dict[str, Any]) -> None:
    was = readings(job)[2]
    moved = edits_entries.take_out_reading(job, *RIM, 0, readings(job)[0]).body
    assert readings(edits_entries.change_reading(moved, *RIM, 2, was, {"um": 318}).body)[1]["um"] == 318
    theirs = edits_entries.change_reading(job, *RIM, 2, was, {"um": 318}).body
    with pytest.raises(EditClash, match="rim, bass side, field: the reading 118 um was changed or taken out meanwhile"):
        edits_entries.change_reading(theirs, *RIM, 2, was, {"um": 320})
    assert readings(edits_entries.change_reading(theirs, *RIM, 2, ANY, {"um": 320}).body)[2]["um"] == 320
    with pytest.raises(EditClash, match="meanwhile"):
        edits_entries.take_out_reading(theirs, *RIM, 9, ANY)


def test_of_two_alike_the_nearest_is_taken(job: dict[str, Any]) -> None:
    body = edits_entries.add_readings(job, *RIM, [300, 301, 300]).body
    gone = edits_entries.take_out_reading(body, *RIM, 6, readings(body)[6]).body
    assert [reading["um"] for reading in readings(gone)[4:]] == [300, 301]


def test_spots_count_on_over_the_whole_job(job: dict[str, Any]) -> None:
    assert edits_entries.next_spot(job) == 39
    empty = {**job, "panels": [{"name": "p", "zones": [{"name": "z", "area_m2": 1.0}]}]}
    assert edits_entries.next_spot(empty) == 1


def test_readings_without_a_place_are_placed_spot_by_spot(job: dict[str, Any]) -> None:
    body = edits_entries.add_readings(job, *RIM, [330, 331], spot=20).body
    assert edits_entries.unplaced_spot(body, *RIM) == (0, 4, 5)
    made = edits_entries.place_readings(body, *RIM, {"x": 0.1, "y": 0.9})
    assert [reading.get("at") for reading in readings(made.body)] == [
        {"x": 0.1, "y": 0.9}, None, None, None, {"x": 0.1, "y": 0.9}, {"x": 0.1, "y": 0.9}]
    assert made.wording == "rim, bass side, field: place of 331, 330, 331 um at spot 20"
    assert edits_entries.unplaced_spot(made.body, *RIM) == (1,)
    assert edits_entries.unplaced_spot(job, *LID) == ()
    with pytest.raises(BadValue, match="every reading here has its place; type a reading first"):
        edits_entries.place_readings(job, *LID, {"x": 0.1, "y": 0.9})


def test_readings_without_a_spot_number_are_placed_one_by_one(job: dict[str, Any]) -> None:
    body = edits_entries.add_readings({**job, "panels": [
        {"name": "p", "zones": [{"name": "z", "area_m2": 1.0}]}]}, "p", "z", [330, 331]).body
    assert edits_entries.unplaced_spot(body, "p", "z") == (0,)


def test_defects_are_added_changed_and_taken_out(job: dict[str, Any]) -> None:
    made = edits_entries.add_defect(job, *LID, {"kind": "etch", "count": 2, "at": {"x": 0.5, "y": 0.5}})
    assert made.wording == "main lid, top, field: 2 etch marks added"
    was = defects(made.body)[5]
    new = {"depth_um": {"low": 2, "likely": 5, "high": 9}, "wish": "soften", "count": 2}
    body = edits_entries.change_defect(made.body, *LID, 5, was, new)
    assert defects(body.body)[5] == {"kind": "etch", "count": 2, "at": {"x": 0.5, "y": 0.5},
                                     "depth_um": {"low": 2, "likely": 5, "high": 9}, "wish": "soften"}
    assert body.wording == "main lid, top, field: etch mark, depth, um: low 2, likely 5, high 9; wish: soften"
    read_job_dict(body.body)
    gone = edits_entries.take_out_defect(body.body, *LID, 5, defects(body.body)[5])
    assert gone.body == job and gone.wording == "main lid, top, field: 2 etch marks taken out"


def test_a_defect_changed_by_another_is_told(job: dict[str, Any]) -> None:
    was = defects(job)[0]
    theirs = edits_entries.change_defect(job, *LID, 0, was, {"count": 3}).body
    with pytest.raises(EditClash, match="main lid, top, field: the defect scratch was changed or taken out meanwhile"):
        edits_entries.change_defect(theirs, *LID, 0, was, {"count": 4})
    later = edits_entries.add_defect(job, *LID, {"kind": "nick"}).body
    assert defects(edits_entries.change_defect(later, *LID, 0, was, {"count": 4}).body)[0]["count"] == 4


@pytest.mark.parametrize(("out", "left"), [(0, 0), (1, None), (2, 1)])
def test_a_test_spot_stays_with_its_defect(job: dict[str, Any], out: int, left: int | None) -> None:
    body = edits_entries.add_test_step(job, *LID, 1, "P1500", 4, False).body
    made = edits_entries.take_out_defect(body, *LID, out, defects(body)[out])
    spot = made.body["test_spot"]
    assert (None if spot is None else spot["defect"]) == left
    assert made.wording.endswith("with its test spot") is (left is None)


def test_a_photo_is_listed_once(job: dict[str, Any]) -> None:
    first = edits_entries.add_photo(job, *LID, 1, defects(job)[1], "a" * 64)
    again = edits_entries.add_photo(first.body, *LID, 1, defects(first.body)[1], "a" * 64)
    assert defects(again.body)[1]["photos"] == ["a" * 64]
    assert first.wording == "main lid, top, field: photo of nick"


def test_a_test_spot_grows_step_by_step_until_the_defect_is_gone(job: dict[str, Any]) -> None:
    first = edits_entries.add_test_step(job, *LID, 0, "P1500", 4, False)
    assert first.wording == "test spot on main lid, top, field: P1500 4 min, defect still there"
    second = edits_entries.add_test_step(first.body, *LID, 0, "P1000", 5.5, True)
    assert second.body["test_spot"]["steps"] == [
        {"step": "P1500", "minutes": 4, "cleared": False}, {"step": "P1000", "minutes": 5.5, "cleared": True}]
    read_job_dict(second.body)
    with pytest.raises(BadValue, match="step is 'P800'; the defect was gone after P1000; start the test anew"):
        edits_entries.add_test_step(second.body, *LID, 0, "P800", 1, False)
    other = edits_entries.add_test_step(second.body, *LID, 1, "P800", 1, False)
    assert other.body["test_spot"] == {"panel": LID[0], "zone": LID[1], "defect": 1,
                                       "steps": [{"step": "P800", "minutes": 1, "cleared": False}]}


def test_film_before_and_after_the_test_and_taking_steps_out(job: dict[str, Any]) -> None:
    body = edits_entries.add_test_step(job, *LID, 0, "P1500", 4, True).body
    read = edits_entries.set_test_readings(body, body["test_spot"], [405, 401.5], [388])
    assert read.body["test_spot"]["before"] == [405, 401.5] and read.body["test_spot"]["after"] == [388]
    assert read.wording == "test spot read before: 405, 401.5; after: 388"
    read_job_dict(read.body)
    alone = edits_entries.set_test_readings(read.body, read.body["test_spot"], after=[])
    assert alone.wording == "test spot read after: not" and alone.body["test_spot"]["before"] == [405, 401.5]
    with pytest.raises(EditClash, match="test spot: after is 388 now, you gave 390"):
        edits_entries.set_test_readings(read.body, body["test_spot"], after=[390])
    gone = edits_entries.take_out_test_step(read.body)
    assert gone.body["test_spot"] is None and gone.wording == "test spot: P1500 taken out"
    for call in (edits_entries.take_out_test_step, lambda b: edits_entries.set_test_readings(b, ANY, [1], [1])):
        with pytest.raises(BadValue, match="test spot is 'not there'; enter its first step first"):
            call(gone.body)


def test_usual_kinds_are_kinds() -> None:
    assert set(edits_entries.USUAL_KINDS) < set(choices.DEFECT_KINDS)
    assert edits_entries.DEFAULT_METHOD in choices.METHODS


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_place_goes_into_its_box_and_comes_back(x: float, y: float) -> None:
    at = {"x": round(x, 4), "y": round(y, 4)}
    assert edits_entries.read_place(edits_entries.place_text(at)) == at


@pytest.mark.parametrize("typed", ["31", "31 62 5", "a b", "31 101", "-1 5"])
def test_what_is_no_place_is_told(typed: str) -> None:
    with pytest.raises(BadValue, match="type percent across and percent up, 0 to 100, as in 31 62"):
        edits_entries.read_place(typed)


def test_what_stands_exactly_at_a_place(job: dict[str, Any]) -> None:
    assert edits_entries.is_placed(job, *LID, {"x": 0.31, "y": 0.62})
    assert not edits_entries.is_placed(job, *LID, {"x": 0.31, "y": 0.63})
    assert not edits_entries.is_placed(job, "main lid, top", "front edge", {"x": 0.31, "y": 0.62})


@pytest.mark.parametrize("depth", [None, 14.0, 0.35, {"low": 1.0, "likely": 2.5, "high": 4.0}])
def test_a_depth_goes_into_its_box_and_comes_back(depth: Any) -> None:
    assert read_depth(edits_entries.depth_text(depth)) == depth


@pytest.mark.parametrize("typed", ["1 2", "1 2 3 4", "deep", "10-20"])
def test_what_is_no_depth_is_told(typed: str) -> None:
    with pytest.raises(BadValue, match="depth, um is"):
        read_depth(typed)


@pytest.mark.parametrize(("typed", "read"), [
    ("10 20 45", (10, 20, 45)), ("8,5; 9 um 10", (8.5, 9, 10)), ("1, 2, 3", (1, 2, 3)),
])
def test_depths_are_read_as_typed(typed: str, read: tuple[float, ...]) -> None:
    assert tuple(read_depth(typed).values()) == read  # type: ignore[union-attr]
