"""One hard job (invented) on screen, on paper and as data: all that it raises is there, the same in each.

A big resin pour in a small closed room, a dry-sanded lid, work at the customer's, an old finish of unknown colour.
"""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from finishplan import cli
from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.screens.parts.opening import OPEN, Source
from finishplan.where_typed import IN_FILES, PANEL, TOOL

CHIP = {"kind": "chip", "length_mm": 30, "width_mm": 20, "depth_um": 380.0, "count": 6, "seen_in": "detail"}
PEEL = {"kind": "orange_peel", "area_m2": 1.9, "depth_um": 30.0, "seen_in": "detail"}
SHEETS = ("P180", "P220", "P240", "P320", "P400", "P500", "P600", "P800", "P1000", "P1200", "P1500", "P2000", "P2500")
JOB: dict[str, Any] = {
    "format": "finishplan-job", "version": 1, "title": "Invented: old parlour grand at home",
    "instrument": {"kind": "grand", "year": 1968}, "build": "unknown",
    "finish_id": {"result": "polyester", "how": "solvent"},
    "site": {"kind": "home", "room_m3": 22, "air_changes_per_h": 0, "temperature_c": 24, "alone": True},
    "solvents": [{"substance": "naphtha", "ml": 80}],
    "fill": {"resin": "polyester", "styrene_percent": 43, "gel_min": 20, "catalyst_percent": 2},
    "panels": [{"name": "lid, top", "off": True, "zones": [{
        "name": "field", "area_m2": 1.9, "readings": [{"um": 480, "spot": n} for n in (1, 2, 3)],
        "defects": [PEEL, CHIP]}]}],
    "hardware": [{"task": "lid off"}],
}
SHOP: dict[str, Any] = {
    "format": "finishplan-shop", "version": 1, "place": "Lyon, France", "scale_readability_g": 0.1,
    "steps": [{"step": name, "wet": False} for name in SHEETS],
    "home": {"fills": True, "coarsest_sheet": "P600"},
    "policy": {"near_face_class": "moderate", "stay_min": 120.0}}
RAISED = {
    "big pour in a small closed room": ("F1", "F2", "F3", "F4", "F5", "F6", "F9"),
    "dry-sanded lid": ("D1", "D2", "L1", "L3"),
    "home visit": ("P2",),
    "old finish of unknown colour": ("D5", "D6"),
    "solvent and one person alone": ("S3", "P1"),
}


def files(folder: Path) -> list[str]:
    found = []
    for name, held in (("hard.job.json", JOB), ("hard.shop.json", SHOP)):
        (folder / name).write_text(json.dumps(held), encoding="utf-8")
        found.append(str(folder / name))
    return [found[0], "--shop", found[1]]


def safety_page() -> None:
    from finishplan.screens import safety_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def screen() -> tuple[str, AppTest]:
    app = AppTest.from_function(safety_page, default_timeout=60)
    app.session_state[OPEN] = Source("hard.job.json", json.dumps(JOB).encode(), "hard.shop.json",
                                     json.dumps(SHOP).encode())
    app.run()
    assert not app.error and not app.exception
    return " ".join(str(e.proto.body) for e in app.get("html")), app


def test_the_same_cautions_stand_on_screen_on_paper_and_in_data(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cli.main(["safety", *files(tmp_path), "--json"])
    data = json.loads(capsys.readouterr().out)
    cli.main(["safety", *files(tmp_path)])
    paper = " ".join(capsys.readouterr().out.split())
    shown, _ = screen()
    told = unescape(shown)
    found = {caution["id"]: caution for caution in data["cautions"]}
    for what, ids in RAISED.items():
        assert [i for i in ids if i not in found] == [], what
    for caution in found.values():
        assert " ".join(caution["text"].split()) in paper, caution["id"]
        assert f'{caution["id"]} {caution["hazard"]}' in shown, caution["id"]
        deciding = [figure for figure in caution["figures"] if figure["decides"]]
        assert all(figure["formula"] in paper and figure["formula"] in told for figure in deciding), caution["id"]
    assert LOCAL_FIRST in shown and LOCAL_FIRST in paper and data["local_rules_first"] == LOCAL_FIRST


def test_its_sums_say_how_bad_it_is_and_what_they_rest_on(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    cli.main(["safety", *files(tmp_path), "--json"])
    cautions = {c["id"]: c for c in json.loads(capsys.readouterr().out)["cautions"]}
    near = next(f for f in cautions["F2"]["figures"] if f["decides"] and "near the face, 15 min" in f["what"])
    assert near["share"] >= 1.0 and near["word"] == "not this way"
    inputs = {i["name"]: (i["value"], i["kind"]) for i in near["inputs"]}
    assert inputs["air changes"] == (0, "measured here")
    assert inputs["stay from the start"] == (120.0, "assumed")
    assert inputs["air flow at the face, moderate class"] == (6.0, "published")
    assert inputs["room"] == (22, "measured here")


UNSAID_JOB = {**JOB, "site": {"kind": "shop"}, "panels": [{**JOB["panels"][0], "zones": [{
    **JOB["panels"][0]["zones"][0], "defects": [PEEL, {"kind": "chip", "depth_um": 380.0, "seen_in": "detail"}]}]}]}
UNSAID_SHOP = {**SHOP, "place": "", "equipment": {"respirator": "paper bag"},
               "tools": [{"way": "machine", "for": "sheet", "noise_dba": 84.0}]}


def test_the_page_names_pages_and_files_name_keys(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is missing is asked for where a person can type it; the key of a file stands only where files are read."""
    app = AppTest.from_function(safety_page, default_timeout=60)
    app.session_state[OPEN] = Source("a.job.json", json.dumps(UNSAID_JOB).encode(), "a.shop.json",
                                     json.dumps(UNSAID_SHOP).encode())
    app.run()
    shown = unescape(re.sub(r"<[^>]*>", " ", " ".join(str(e.proto.body) for e in app.get("html"))))
    assert not app.error and re.findall(r"\b[a-z]+_[a-z]\w*", shown) == []
    for name, held in (("a.job.json", UNSAID_JOB), ("a.shop.json", UNSAID_SHOP)):
        (tmp_path / name).write_text(json.dumps(held), encoding="utf-8")
    command = ["safety", str(tmp_path / "a.job.json"), "--shop", str(tmp_path / "a.shop.json")]
    cli.main(command)
    paper = " ".join(capsys.readouterr().out.split())
    cli.main([*command, "--json"])
    data = capsys.readouterr().out
    for place, key in IN_FILES.items():
        if place == PANEL:
            continue  # asked for by the plan, not by a sum of safety
        assert f"({place})" in shown, place
        assert f"({place}; in a file: {key})" in data, place
        assert place == TOOL or f"({place}; in a file: {key})" in paper, place


def test_every_stop_waits_for_a_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cli.main(["safety", *files(tmp_path), "--json"])
    stops = [c["id"] for c in json.loads(capsys.readouterr().out)["cautions"] if c["severity"] == "stop"]
    shown, _ = screen()
    said = shown.split("not signed for: ")[1].split(".</p>")[0]
    assert said.replace(" and ", ", ").split(", ") == stops
