"""The drawing that is tapped on: the same places as the printed one, numbers and letters that can be told apart."""

from __future__ import annotations

import json
import re

import made_plans as made
import pytest

from finishplan.paper.tap_sheet import MARGIN_PX, letter_of, letters, scale_words, tap_frame, tap_sheet
from finishplan.records.files import demo_job_path
from finishplan.survey.job import Panel, read_job_dict

JOB = read_job_dict(json.loads(demo_job_path().read_text(encoding="utf-8")))


@pytest.mark.parametrize("panel", JOB.panels, ids=[panel.name for panel in JOB.panels])
def test_sheet_is_plain_data_inside_its_own_bounds(panel: Panel) -> None:
    for zone in panel.zones:
        sheet = json.loads(json.dumps(tap_sheet(panel, zone.name)))
        x, y, width, height = sheet["box"]
        assert sheet["w"] == width + 2 * MARGIN_PX and min(x, y) >= 0
        assert x + width <= sheet["w"] and y + height <= sheet["h"]
        assert height >= 90
        for mark in [*sheet["spots"], *sheet["defects"]]:
            assert x <= mark["x"] <= x + width and y <= mark["y"] <= y + height


def test_places_come_back_as_the_shares_they_were_given_as() -> None:
    lid = JOB.panels[0]
    sheet = tap_sheet(lid, "field")
    x, y, width, height = sheet["box"]
    shares = [((m["x"] - x) / width, 1 - (m["y"] - y) / height) for m in sheet["defects"]]
    for share, placed in zip(shares, [(0.31, 0.62), (0.62, 0.35), (0.5, 0.5)], strict=True):
        assert share == pytest.approx(placed)
    assert [spot["label"] for spot in sheet["spots"]] == ["1", "2", "3", "4", "5", "6"]


def test_sizes_are_true_to_the_panel_s_scale() -> None:
    scratch, nick, dull = tap_sheet(JOB.panels[0], "field")["defects"]
    per_m = tap_frame(JOB.panels[0])[0].px_per_m
    assert scratch["half"] == pytest.approx(0.070 * per_m) and scratch["radius"] == 0
    assert nick["half"] == pytest.approx(0.002 * per_m)
    assert dull["radius"] == pytest.approx((0.4 / 3.141592653589793) ** 0.5 * per_m)


def test_only_the_surveyed_zone_s_marks_can_be_picked() -> None:
    lid = JOB.panels[0]
    here, there = tap_sheet(lid, "field", picked=1), tap_sheet(lid, "front edge")
    assert [mark["index"] for mark in here["defects"]] == [0, 1, 2]
    assert [mark["picked"] for mark in here["defects"]] == [False, True, False]
    assert [mark["index"] for mark in there["defects"]] == [None, None, None]
    assert all(spot["here"] for spot in here["spots"]) and not any(spot["here"] for spot in there["spots"])


def test_letters_run_over_the_whole_panel() -> None:
    found = letters(JOB.panels[0])
    assert found[("field", 0)] == "a" and found[("front edge", 0)] == "f"
    names = [letter_of(number) for number in range(2000)]
    assert len(set(names)) == 2000 and names[701] == "zz" and names[702] == "aaa"


def test_outline_is_the_printed_one_s_shape() -> None:
    lid = tap_sheet(JOB.panels[0], "field")["outline"]
    assert lid.count("C") == 2 and lid.endswith("Z")
    rim = tap_sheet(JOB.panels[2], "field")["outline"]
    assert re.fullmatch(r"M[\d.,]+h[\d.]+v[\d.]+h-[\d.]+Z", rim)


@pytest.mark.parametrize(("size", "said"), [
    ({"width": 1.45, "height": 1.4}, "1.45 x 1.40 m, to scale."),
    ({"width": 4.0, "height": 0.02}, "4.00 x 0.02 m; drawn higher than to scale, to be tapped on."),
    (None, "Size not given: drawn as "),
])
def test_scale_is_told(size: object, said: str) -> None:
    assert scale_words(made.surveyed_lid(size_m=size)).startswith(said)
