"""The panel drawing: to scale, readable, and the same bytes each time."""

from __future__ import annotations

import math
import random
import re

import made_plans as made
import pytest
from drawn import outside, overlaps, read, shapes, texts

from finishplan.paper.outline import area_of, flat, lid_points
from finishplan.paper.panel import directions, frame_of, panel_drawing, reading_spots, size_of
from finishplan.paper.theme import THEMES
from finishplan.survey.choices import DEFECT_KINDS
from finishplan.survey.job import Panel


def test_width_and_height_share_one_scale() -> None:
    for width, height in ((1.45, 1.40), (4.0, 0.32), (0.3, 2.0)):
        frame = frame_of(made.surveyed_lid(size_m={"width": width, "height": height}))
        assert frame.width / frame.height == pytest.approx(width / height)


def test_rectangle_outline_has_the_panel_size() -> None:
    panel = made.surveyed_lid(part="outer rim", size_m={"width": 4.0, "height": 0.32})
    outline = shapes(panel_drawing(panel), "outline")[0].attrib["d"]
    width, height = (float(n) for n in re.findall(r"h([\d.]+)v([\d.]+)", outline)[0])
    assert width / height == pytest.approx(4.0 / 0.32, rel=1e-3)


def test_scratch_and_dull_area_are_drawn_in_true_size() -> None:
    panel = made.surveyed_lid()
    per_m = frame_of(panel).px_per_m
    line, circle = shapes(panel_drawing(panel), "defect")
    assert float(re.findall(r"h([\d.]+)", line.attrib["d"])[0]) == pytest.approx(0.140 * per_m, abs=0.02)
    assert float(circle.attrib["r"]) == pytest.approx(math.sqrt(0.4 / math.pi) * per_m, abs=0.02)


def test_places_count_from_the_lower_left() -> None:
    panel = made.surveyed_lid()
    frame = frame_of(panel)
    assert frame.at(0, 0) == (frame.x, frame.y + frame.height)
    assert frame.at(1, 1) == (frame.x + frame.width, frame.y)
    first = shapes(panel_drawing(panel), "spot")[0]
    centre = (float(first.attrib["cx"]), float(first.attrib["cy"]))
    assert centre == pytest.approx(frame.at(0.15, 0.2), abs=0.01)


def test_readings_with_and_without_a_place() -> None:
    panel = made.surveyed_lid()
    assert [number for number, _, _ in reading_spots(panel)] == ["1", "2", "3", "4"]
    words = [text for text, _ in texts(panel_drawing(panel))]
    assert {"1", "2", "3", "4"} <= set(words)
    assert "1 reading has no place yet" in words


def test_defects_without_a_place_are_told() -> None:
    assert "no place given: swirls" in [text for text, _ in texts(panel_drawing(made.surveyed_lid()))]


def test_edges_are_taped_only_where_no_sheet_goes() -> None:
    open_edge = [{"name": "front edge", "kind": "edge", "area_m2": 0.1, "sheets_allowed": True}]
    assert len(shapes(panel_drawing(made.surveyed_lid()), "tape")) == 1
    assert shapes(panel_drawing(made.surveyed_lid(zones=open_edge)), "tape") == []
    satin = made.surveyed_lid(target={"finish": "satin", "last_sheet": "P1000"})
    assert shapes(panel_drawing(satin), "tape") == []


def test_tape_is_twenty_millimetres_wide() -> None:
    panel = made.surveyed_lid()
    tape = shapes(panel_drawing(panel), "tape")[0]
    assert float(tape.attrib["stroke-width"]) / 2 == pytest.approx(0.020 * frame_of(panel).px_per_m, abs=0.02)


def test_strokes_cross_from_sheet_to_sheet_and_end_along() -> None:
    assert directions(["P800"]) == [("P800", "along")]
    ways = [way for _, way in directions(["P320", "P500", "P800", "P1500"])]
    assert ways == ["across", "along", "across", "along"]
    svg = panel_drawing(made.surveyed_lid(), ["P800", "P1500"])
    assert len(shapes(svg, "along")) == len(shapes(svg, "across")) == 1


def test_panel_without_a_size_is_drawn_of_the_same_area_and_says_so() -> None:
    panel = Panel.model_validate({"name": "arm", "zones": [{"name": "field", "area_m2": 0.12}]})
    width, height, given = size_of(panel)
    assert width * height == pytest.approx(0.12) and not given
    assert "size not given: drawn as 0.49 x 0.24 m of the same area" in [
        text for text, _ in texts(panel_drawing(panel))]


@pytest.mark.parametrize("seed", range(40))
def test_no_texts_overlap_and_nothing_leaves_the_frame(seed: int) -> None:
    rng = random.Random(seed)
    kinds = sorted(DEFECT_KINDS)
    place = lambda: {"x": rng.random(), "y": rng.random()}  # noqa: E731
    defects = [
        {"kind": rng.choice(kinds), "count": rng.randint(1, 30), "at": place(),
         **rng.choice([{}, {"length_mm": rng.uniform(5, 3000)}, {"area_m2": rng.uniform(0.01, 3)}])}
        for _ in range(rng.randint(0, 60))
    ]
    panel = made.surveyed_lid(
        size_m={"width": rng.uniform(0.1, 5), "height": rng.uniform(0.1, 3)},
        part=rng.choice(["main and front lid, one face", "outer rim", None]),
        zones=[{"name": "field", "area_m2": 2.0, "defects": defects,
                "readings": [{"um": 400, "spot": 7, "at": {"x": 0.5, "y": 0.5}}]},
               {"name": "edge " * 30, "kind": "edge", "area_m2": 0.1}])
    svg = panel_drawing(panel, ["P800", "P1500"][: rng.randint(0, 2)], list(THEMES.values())[seed % 3])
    assert overlaps(svg) == []
    assert outside(svg) == []


def test_names_are_escaped_and_bytes_do_not_change() -> None:
    panel = made.surveyed_lid(name='<img src=x onerror="1"> & "lid"')
    svg = panel_drawing(panel)
    assert read(svg)[0].text == 'Drawing of <img src=x onerror="1"> & "lid"'
    assert "<img" not in svg
    assert svg == panel_drawing(panel)


def test_description_names_places() -> None:
    desc = read(panel_drawing(made.surveyed_lid(), ["P1500"]))[1].text or ""
    assert "3 scratches at 31 % from the left, 62 % up" in desc
    assert "reading 1 at 15 % from the left, 20 % up" in desc
    assert "P1500 along" in desc


@pytest.mark.parametrize("share", [0.72, 0.75, 0.85, 0.95])
def test_a_lids_outline_fills_the_area_that_was_surveyed(share: float) -> None:
    assert area_of(flat(lid_points(share))) == pytest.approx(share, abs=1e-6)


def test_a_lids_outline_stays_in_its_box() -> None:
    for share in (0.1, 0.7, 1.0):
        assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in flat(lid_points(share)))
