"""Errors and findings as pages tell them: no key of a file, but the label that stands over the box."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from finishplan.errors import BadValue, FinishplanError
from finishplan.paper.survey_words import standing
from finishplan.planning.findings import findings
from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.records.on_pages import JOB_BOXES, KEY, QUOTED, on_page, shop_boxes
from finishplan.screens.parts import guard
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.shop.shop_file import ShopFile, StepChange, ToolChange
from finishplan.survey.job import Job, read_job_dict
from finishplan.survey.templates import template_job
from finishplan.workup import work_up

BROKEN = Path(__file__).parents[1] / "broken"
SCREENS = Path(__file__).parents[2] / "finishplan" / "screens"
SOURCE = "\n".join(path.read_text("utf-8") for path in SCREENS.rglob("*.py"))
MESSAGES = [row["says"].replace("{good} with ", "").replace("{file}: ", "")
            for row in csv.DictReader((BROKEN / "messages.csv").read_text("utf-8").splitlines())]


def keys_in(text: str) -> list[str]:
    """The file keys of a text, outside quotes."""
    return KEY.findall("".join(QUOTED.split(text)[::2]))


def jobs() -> Iterator[tuple[Job, Profile]]:
    shop = apply_shop(default_profile(), read_shop_bytes(demo_shop_path().read_bytes(), "demo"))
    demo = read_job_bytes(demo_job_path().read_bytes(), "demo")
    bare = {"format": "finishplan-job", "version": 1, "title": "bare", "panels": [{"name": "lid", "zones": [
        {"name": "field", "area_m2": 1.5, "readings": [{"um": 300}], "defects": [
            {"kind": "nick", "depth_um": 100, "at": {"x": 0.5, "y": 0.5}}, {"kind": "nick", "depth_um": 120},
            {"kind": "scratch"}]}]}]}
    for raw in (demo, template_job("grand", "empty"), template_job("upright", "empty"), bare):
        yield read_job_dict(raw), shop
    for path in sorted(BROKEN.glob("*.job.json")):
        try:
            yield read_job_dict(read_job_bytes(path.read_bytes(), path.name)), shop
        except FinishplanError:
            continue  # its message is one of MESSAGES


def test_no_finding_and_no_note_of_a_plan_speaks_in_keys() -> None:
    seen = 0
    for job, shop in jobs():
        try:
            answer = work_up(job, shop, draws=1)
        except FinishplanError:
            continue  # its message is one of MESSAGES
        said = [*findings(job, answer.plan, shop), *answer.notes, *(line.note for line in answer.materials),
                *standing(job, shop).missing]
        assert not [one for one in said if keys_in(one)]
        seen += len(said)
    assert seen > 30


@pytest.mark.parametrize("message", MESSAGES)
def test_no_error_is_told_on_a_page_in_keys(message: str) -> None:
    assert not keys_in(on_page(message))
    assert on_page(on_page(message)) == on_page(message), "a message passes two doors"


def test_what_somebody_typed_stays_as_it_is() -> None:
    assert on_page("panel 'room_m3': name is 'size_m'; it stands twice") == (
        "panel 'room_m3': name is 'size_m'; it stands twice")
    assert on_page("x.csv: row 3: length_mm is 'x'; give a number") == (
        "x.csv: row 3: length_mm is 'x'; give a number"), "a table's columns have these names"


def test_a_message_says_label_and_page() -> None:
    assert on_page("prices, sheet P180: pack is null; give a number without quotes") == (
        "Shop page, Prices, sheet P180: 'A pack holds' is empty; give a number")
    assert on_page("tax_share is 19; give a number up to 1") == (
        "'One tax on all, as a share (0.19 is 19 %)' is 19; give a number up to 1")
    assert on_page("ours.json: policy: stay_min is 0; give a number over 0") == (
        "ours.json: Shop page, Policy: 'How long a person stays where solvent or resin is used, min' is 0; "
        "give a number over 0")


@pytest.mark.parametrize("key", JOB_BOXES)
def test_every_label_stands_on_a_page(key: str) -> None:
    assert f'"{JOB_BOXES[key]}"' in SOURCE


def fields(model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[str]:
    """All keys with a bar in them of a file model and what it holds."""
    seen.add(model)
    for name, info in model.model_fields.items():
        if "_" in (key := info.alias or name):
            yield key
        for inner in models_in(info.annotation):
            if inner not in seen:
                yield from fields(inner, seen)


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from models_in(part)


def test_every_key_of_a_job_file_has_its_label() -> None:
    assert not set(fields(Job, set())) - set(JOB_BOXES)


@pytest.mark.parametrize(("group", "model"), [("policy", Policy), ("step '", StepChange), ("tool ", ToolChange)])
def test_every_key_of_a_shop_file_has_its_label(group: str, model: type[BaseModel]) -> None:
    bare = {name for name, info in model.model_fields.items() if "_" in name and not list(models_in(info.annotation))}
    assert not bare - set(shop_boxes()[group])
    assert all(on_page(f"{key} is 1; give less") != f"{key} is 1; give less" for key in shop_boxes()[""])
    assert {key for key in ShopFile.model_fields if re.search("_", key)} - set(shop_boxes()[""]) == {
        "learned_rates", "local_limits"}


def test_the_one_door_of_all_messages_speaks_so() -> None:
    error = BadValue("room_m3", -3, "give a number over 0", "site")
    assert guard.said(error) == "Survey page, Instrument, place and people: 'Room, m3' is -3; give a number over 0"
    assert str(error) == "site: room_m3 is -3; give a number over 0", "the command line keeps the key"
