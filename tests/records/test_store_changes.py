"""What changed, in words of the trade: every field has words, every change has a line, no line is made up."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel
from store_examples import job, zone

from finishplan.models import inner_model
from finishplan.records.change_words import field_words, value_words
from finishplan.records.changes import job_changes, one_line, shop_changes
from finishplan.shop.shop_file import ShopFile
from finishplan.survey.job import Job, job_as_dict, read_job_dict


def full_job() -> dict[str, Any]:
    """A job with something in every place where something can be."""
    reading = {"um": 412, "method": "ultrasonic", "spot": 1, "at": {"x": 0.3, "y": 0.6}, "note": "near the hinge"}
    scratch = {
        "kind": "scratch", "count": 3, "length_mm": 140, "width_mm": 0.3, "area_m2": 0.01, "seen_in": "detail",
        "depth_um": {"low": 10, "likely": 20, "high": 45}, "wish": "remove", "at": {"x": 0.31, "y": 0.62},
        "missing_ml": 0.5, "photos": ["a"], "note": "old",
    }
    lid = {
        "name": "lid", "part": "main lid", "off": True, "size_m": {"width": 1.45, "height": 1.4},
        "exposure": "half seen", "seen_from": "overall", "target": {"finish": "satin", "last_sheet": "P1000"},
        "worker": "finisher", "sheets_by": "machine", "compounds_by": "rotary",
        "zones": [zone(readings=[reading, {"um": 398, "spot": 2}],
                       defects=[scratch, {"kind": "dull_area", "area_m2": 0.4}],
                       film_estimate_um=400, previous_step="P800", sheets_allowed=True),
                  zone("front edge", kind="edge", area_m2=0.06)],
    }
    return {
        "format": "finishplan-job", "version": 1, "title": "Grand", "customer": "Ms Example", "due": "2026-04-01",
        "view_note": "strip light", "instrument": {"id": "A1", "kind": "grand", "year": 1991, "overcoated": False},
        "finish_id": {"result": "polyester", "how": "solvent", "where": "inside", "by": "Ana", "lead_test": "none"},
        "build": "pigmented through", "seen_from": "detail",
        "site": {"kind": "shop", "room_m3": 120, "air_changes_per_h": 3, "temperature_c": 20, "humidity_percent": 45},
        "crew": {"worker": "finisher", "first_cut": "levels", "favour": "balanced"},
        "solvents": [{"substance": "isopropyl alcohol", "ml": 30, "minutes": 10}],
        "fill": {"resin": "polyester", "styrene_percent": 40, "gel_min": 30, "catalyst_percent": 1.5},
        "panels": [lid, {"name": "rim", "zones": [zone()]}],
        "test_spot": {"panel": "lid", "zone": "field", "defect": 0,
                      "steps": [{"step": "P1500", "minutes": 4}, {"step": "P1000", "minutes": 5, "cleared": True}],
                      "before": [405, 401], "after": [388, 385]},
        "hardware": [{"task": "long hinge off", "count": 1, "brass": "solid"}],
        "services": [{"date": "2019", "what": "buffed", "by": "Ben",
                      "zones": [{"panel": "lid", "zone": "field", "removal_um": 6, "film_um": 412}]}],
    }


def fields_of(model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[str]:
    seen.add(model)
    for name, field in model.model_fields.items():
        yield field.alias or name
        inner = inner_model(field.annotation)
        if inner is not None and inner not in seen:
            yield from fields_of(inner, seen)


@pytest.mark.parametrize("model", [Job, ShopFile])
def test_every_field_has_words_and_its_unit(model: type[BaseModel]) -> None:
    names = set(fields_of(model, set()))
    assert len(names) > 20
    for name in names:
        words, unit = field_words(name)
        assert words and "_" not in words, name
        if name.endswith(("_um", "_m2", "_mm", "_ml", "_percent", "_c", "_min", "_m3", "_g")):
            assert unit and not words.endswith(unit), name


CASES: list[tuple[str, Any, tuple[str, ...]]] = [
    ("title", "Lid", ("title 'Grand' became 'Lid'",)),
    ("customer", None, ("customer 'Ms Example' taken out",)),
    ("due", "", ("due '2026-04-01' taken out",)),
    ("instrument.year", 1992, ("instrument: year 1991 became 1992",)),
    ("instrument.overcoated", True, ("instrument: overcoated no became yes",)),
    ("finish_id.result", "unknown", ("finish: identified as 'polyester' became 'unknown'",)),
    ("site.air_changes_per_h", 4, ("site: air changes 3 an hour became 4 an hour",)),
    ("crew.favour", "quick", ("crew: favour 'balanced' became 'quick'",)),
    ("solvents.0.ml", 60, ("solvent 1: amount 30 ml became 60 ml",)),
    ("panels.0.size_m", None, ("panel 'lid': size 1.45 x 1.4 m taken out",)),
    ("panels.0.off", False, ("panel 'lid': taken off the instrument yes became no",)),
    ("panels.0.name", "main lid", ("panel 'lid' renamed 'main lid'", "test spot: panel 'lid' became 'main lid'")),
    ("panels.0.target", {"finish": "gloss"}, ("panel 'lid', target: finish 'satin' became 'gloss'",
                                              "panel 'lid', target: last sheet 'P1000' taken out")),
    ("panels.0.zones.0.area_m2", 2.5, ("panel 'lid', zone 'field': area 1.9 m2 became 2.5 m2",)),
    ("panels.0.zones.0.readings.1.um", 389.5, ("panel 'lid', zone 'field', reading 2: film 398 um became 389.5 um",)),
    ("panels.0.zones.0.readings.0.at", {"x": 0.5, "y": 0.125}, (
        "panel 'lid', zone 'field', reading 1: place 30 % across, 60 % up became 50 % across, 12.5 % up",)),
    ("panels.0.zones.0.readings", [], (
        "panel 'lid', zone 'field': reading 412 um (ultrasonic, spot 1) taken out",
        "panel 'lid', zone 'field': reading 398 um (ultrasonic, spot 2) taken out")),
    ("panels.0.zones.0.defects.0.depth_um", 20, (
        "panel 'lid', zone 'field', defect scratch (3 of them) (no. 1): depth 10 to 45 um, likely 20 became 20 um",)),
    ("panels.0.zones.0.defects.0.photos", ["a", "b"], (
        "panel 'lid', zone 'field', defect scratch (3 of them) (no. 1): photos 1 photo became 2 photos",)),
    ("panels.0.zones.0.defects.1.kind", "scratch", (
        "panel 'lid', zone 'field': defect dull_area taken out", "panel 'lid', zone 'field': defect scratch added")),
    ("panels.1", {"name": "leg", "zones": [zone()]}, ("panel 'rim' renamed 'leg'",)),
    ("test_spot", None, ("test spot taken out",)),
    ("test_spot.after", [388, 385, 390], ("test spot: readings after 388, 385 um became 388, 385, 390 um",)),
    ("test_spot.steps.1.minutes", 6, ("test spot, step 2: time 5 min became 6 min",)),
    ("hardware.0.brass", "plated", ("hardware task 1: brass 'solid' became 'plated'",)),
    ("services.0.zones.0.removal_um", 7, ("service 1, zone 1: removal 6 um became 7 um",)),
    ("fill.gel_min", None, ("fill: gel 30 min taken out",)),
]


def put(body: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    made: Any = copy.deepcopy(body)
    here, parts = made, path.split(".")
    for part in parts[:-1]:
        here = here[int(part)] if isinstance(here, list) else here[part]
    last: Any = int(parts[-1]) if isinstance(here, list) else parts[-1]
    here[last] = value
    result: dict[str, Any] = made
    return result


@pytest.mark.parametrize(("path", "value", "lines"), CASES, ids=[case[0] for case in CASES])
def test_a_change_is_told_in_one_line(path: str, value: Any, lines: tuple[str, ...]) -> None:
    before = full_job()
    after = put(before, path, value)
    if path == "panels.0.name":
        after["test_spot"]["panel"] = value
    assert job_changes(before, after) == lines
    back = job_changes(after, before)
    assert len(back) >= 1 and back != lines


def test_panels_and_zones_come_and_go() -> None:
    before, after = full_job(), full_job()
    after["panels"] += [{"name": "leg", "zones": [zone(readings=[{"um": 400}])]}, {"name": "arm", "zones": [zone()]}]
    del after["panels"][0]["zones"][1]
    assert job_changes(before, after) == (
        "panel 'leg' added, with 1 zone, 1 reading", "panel 'arm' added, with 1 zone",
        "panel 'lid': zone 'front edge' taken out")
    assert job_changes(after, before) == (
        "panel 'leg' taken out, with 1 zone, 1 reading", "panel 'arm' taken out, with 1 zone",
        "panel 'lid': zone 'front edge' added")


def test_another_order_is_told_once() -> None:
    before, after = full_job(), full_job()
    after["panels"].reverse()
    assert job_changes(before, after) == ("panels put in another order",)


def test_many_readings_are_one_line() -> None:
    before, after = job(), job()
    after["panels"][0]["zones"][0]["readings"] = [{"um": 400 + number} for number in range(12)]
    assert job_changes(before, after) == (
        "panel 'lid', zone 'field': readings 400, 401, 402, 403, 404, 405, 406, 407, 4 more um (ultrasonic) added",)
    after["panels"][0]["zones"][0]["readings"] = [{"um": 400 + number % 900} for number in range(2000)]
    assert "2000" not in job_changes(before, after)[0] and "1992 more um" in job_changes(before, after)[0]


def test_a_default_written_out_is_no_change() -> None:
    assert job_changes(job(), job_as_dict(read_job_dict(job()))) == ()
    assert job_changes(full_job(), full_job()) == ()


def test_a_job_of_another_version_is_told_as_it_stands() -> None:
    before, after = ({"title": title, "colour": "black"} for title in "ab")
    assert job_changes(before, after) == ("title 'a' became 'b'",)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(CASES), min_size=1, max_size=4))
def test_there_is_a_line_exactly_where_two_jobs_differ(chosen: list[tuple[str, Any, tuple[str, ...]]]) -> None:
    before = after = full_job()
    for path, value, _ in chosen:
        try:
            made = put(after, path, value)
            read_job_dict(made)
        except Exception:  # two changes that do not go together
            continue
        after = made
    same = job_as_dict(read_job_dict(before)) == job_as_dict(read_job_dict(after))
    lines = job_changes(before, after)
    assert (lines == ()) == same
    for line in lines:
        assert line.isprintable() and "None" not in line and "{" not in line


def test_shop_files_are_compared_by_the_names_of_steps_tools_and_people() -> None:
    before = {
        "format": "finishplan-shop", "version": 1, "steps": [{"step": "P800", "change_min": 2.0}],
        "tools": [{"way": "machine", "for": "sheet", "speed_factor": 1.0}],
        "people": [{"id": "ana", "name": "Ana", "rate_per_h": 60}], "prices": {"P800": {"pack": 10, "price": 8}},
        "hours": {"mon": [["08:00", "16:00"]]},
    }
    after = copy.deepcopy(before) | {"currency": "EUR", "hours": {"mon": [["08:00", "12:00"], ["13:00", "17:00"]]}}
    after["steps"] = [{"step": "P600"}, {"step": "P800", "change_min": 2.5}]
    after["tools"][0]["speed_factor"] = 1.2  # type: ignore[index]
    after["people"] = [*before["people"], {"id": "ben"}]  # type: ignore[misc]
    after["prices"]["P800"]["price"] = 9  # type: ignore[index]
    assert shop_changes(before, after) == (
        "step 'P600' added",
        "step 'P800': change 2 min became 2.5 min",
        "tool 'machine' for sheet: speed factor 1 became 1.2",
        "person 'ben' added",
        "prices, P800: price 8 became 9",
        "hours mon 08:00 to 16:00 became mon 08:00 to 12:00, 13:00 to 17:00",
        "currency set to 'EUR'",
    )


@pytest.mark.parametrize(("lines", "told"), [
    ((), "saved, with nothing changed that shows"),
    (("title 'a' became 'b'",), "title 'a' became 'b'"),
    (("one", "two", "three"), "one, and 2 more"),
    (("x" * 200,), "x" * 157 + "..."),
    (("x" * 200, "y"), "x" * 145 + "..., and 1 more"),
])
def test_one_line_of_a_history(lines: tuple[str, ...], told: str) -> None:
    assert one_line(lines) == told
    assert len(told) <= 160


@pytest.mark.parametrize(("field", "value", "words"), [
    ("um", 412.0, "412 um"), ("um", 411.95, "411.95 um"), ("off", True, "yes"), ("note", "a\nb", "'a\\nb'"),
    ("keep", {"field": 80, "edge": 60}, "field 80, edge 60"), ("barred_steps", [], "none"),
    ("photos", [], "no photo"), ("before", list(range(100, 120)), ", ".join(map(str, range(100, 112))) + ", ... um"),
    ("x", None, "None"),
])
def test_values_are_told_as_typed(field: str, value: Any, words: str) -> None:
    assert value_words(field, value) == words
