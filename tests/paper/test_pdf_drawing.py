"""The drawing on the bench sheet: to scale, letters and numbers apart, nothing outside, no typed words in it."""

from __future__ import annotations

import re

import printed
import pytest
from drawn import outside, overlaps, read, shapes, texts

from finishplan.bench.sheet import Sheet, sheets_of
from finishplan.paper.sheets_drawing import Drawn, frame_in, is_taped, sheet_drawing
from finishplan.survey.job import Panel
from finishplan.workup import Answer


def drawn(answer: Answer, at: int = 0, **room: float) -> tuple[Drawn, Panel, Sheet]:
    panel, sheet = answer.job.panels[at], sheets_of(answer)[at]
    return sheet_drawing(panel, sheet, **room), panel, sheet


def lid(*defects: dict[str, object], **changes: object) -> Answer:
    readings = [{"um": 400 + k, "spot": k + 1, "at": {"x": 0.1 + 0.2 * k, "y": 0.15}} for k in range(4)]
    zone = printed.zone(*defects, readings=readings, area_m2=1.6)
    return printed.answer(printed.panel(zone, name="lid", **{"size_m": {"width": 1.5, "height": 1.2}, **changes}))


def at(x: float, y: float) -> dict[str, float]:
    return {"x": x, "y": y}


@pytest.mark.parametrize(("width", "height"), [(1.5, 1.2), (4.0, 0.3), (0.3, 2.0), (0.01, 20.0), (20.0, 0.01)])
def test_drawing_is_to_scale_and_inside_its_room(width: float, height: float) -> None:
    picture, panel, _ = drawn(lid(printed.SCRATCH | {"at": at(0.5, 0.5)}, size_m={"width": width, "height": height}))
    frame = frame_in(panel, 270.0, 170.0)
    assert frame.width / frame.height == pytest.approx(width / height)
    assert picture.width_pt <= 270.0
    assert picture.to_scale
    assert float(read(picture.svg).attrib["height"]) <= 170.0
    if min(width, height) > 0.1:
        assert outside(picture.svg) == []


def test_a_place_is_drawn_where_it_was_found() -> None:
    picture, panel, _ = drawn(lid(printed.SCRATCH | {"at": at(0.25, 0.75)}))
    frame = frame_in(panel, 270.0, 170.0)
    path = shapes(picture.svg, "mark")[0].attrib["d"]
    x, y = (float(n) for n in re.findall(r"M([-\d.]+),([-\d.]+)", path)[0])
    assert (x + 4.5, y + 4.5) == (pytest.approx(frame.x + 0.25 * frame.width, abs=0.02),
                                  pytest.approx(frame.y + 0.25 * frame.height, abs=0.02))


def test_every_spot_and_mark_is_named_once_and_texts_stay_apart() -> None:
    places = [at(0.2 + 0.15 * k, 0.4 + 0.1 * (k % 3)) for k in range(5)]
    picture, _, sheet = drawn(lid(*[{"kind": "nick", "depth_um": 3.0, "at": place} for place in places]))
    names = [words for words, _ in texts(picture.svg)]
    assert sorted(names) == sorted([*(mark.letter for mark in sheet.marks), *(spot.number for spot in sheet.spots),
                                    "along", "across", "0"])
    assert overlaps(picture.svg) == []
    assert (picture.without_room, picture.without_place) == ((), ())


def test_what_must_not_be_touched_is_barred() -> None:
    picture, _, sheet = drawn(lid(printed.SCRATCH | {"at": at(0.3, 0.5)},
                                  {"kind": "scratch", "depth_um": 250.0, "wish": "leave", "at": at(0.7, 0.5)}))
    assert [mark.repair for mark in sheet.marks] == ["spot", "leave"]
    assert len(shapes(picture.svg, "mark")) == 1
    assert len(shapes(picture.svg, "hands-off")) == 1


def test_the_ring_of_a_spot_is_to_scale() -> None:
    picture, panel, sheet = drawn(lid(printed.SCRATCH | {"at": at(0.3, 0.5)}))
    ring_mm = sheet.local[0].marks[0].ring_mm
    assert ring_mm is not None
    radius = float(shapes(picture.svg, "ring")[0].attrib["r"])
    assert radius == pytest.approx((ring_mm + 30) / 1000 * frame_in(panel, 270.0, 170.0).px_per_m, abs=0.02)


def test_taped_edges_are_hatched_only_where_sheets_run() -> None:
    edge = {"name": "edges", "kind": "edge", "area_m2": 0.05, "readings": [{"um": 250}, {"um": 245}, {"um": 255}]}
    sanded = printed.answer(printed.panel(printed.zone(printed.PEEL), edge, size_m={"width": 1.0, "height": 0.5}))
    buffed = printed.answer(printed.panel(printed.zone(printed.DULL), edge, size_m={"width": 1.0, "height": 0.5}))
    for answer, taped in ((sanded, True), (buffed, False)):
        picture, _, sheet = drawn(answer)
        assert is_taped(sheet) is taped
        assert len(shapes(picture.svg, "tape")) == taped
        assert ("Its edge is taped." in picture.alt) is taped


def test_along_is_along_the_longer_side() -> None:
    for size, upright in (({"width": 2.0, "height": 0.5}, "across"), ({"width": 0.5, "height": 2.0}, "along")):
        picture, _, _ = drawn(lid(size_m=size))
        level = {"across": "along", "along": "across"}[upright]
        boxes = dict(texts(picture.svg))
        assert boxes[upright][0] > boxes[level][0], "the arrow at the side is the upright one"
        assert boxes[level][1] > boxes[upright][1]


def test_crowded_letters_are_told_not_drawn_over_each_other() -> None:
    places = [at((k % 20 + 0.5) / 20, (k // 20 + 0.5) / 10) for k in range(200)]
    picture, _, sheet = drawn(lid(*[{"kind": "nick", "depth_um": 3.0, "at": place} for place in places],
                                  {"kind": "swirls"}))
    letters = {words for words, _ in texts(picture.svg)}
    assert {*picture.without_room, *letters} >= {mark.letter for mark in sheet.marks[:-1]}
    assert picture.without_place == (sheet.marks[-1].letter,)
    named = {mark.letter for mark in sheet.marks}
    assert not [pair for pair in overlaps(picture.svg) if set(pair) <= named]
    assert outside(picture.svg) == []


def test_size_not_given_is_told() -> None:
    picture, _, _ = drawn(printed.answer(printed.panel()))
    assert not picture.to_scale
    assert "size not given" in picture.alt


def test_nothing_that_a_person_typed_and_nothing_that_acts_is_in_it() -> None:
    odd = '<script>alert(1)</script> & "x"'
    answer = printed.answer(printed.panel(
        printed.zone(printed.SCRATCH | {"note": odd, "at": at(0.5, 0.5)}, name=odd), name=odd,
        size_m={"width": 1.0, "height": 1.0}), title=odd)
    picture, _, _ = drawn(answer)
    assert "alert" not in picture.svg
    tags = {node.tag.rpartition("}")[2] for node in read(picture.svg).iter()}
    assert tags <= {"svg", "title", "desc", "defs", "pattern", "line", "clipPath", "path", "rect", "circle", "text",
                    "g"}
    assert not re.search(r'\s(on\w+|href|xlink:href|style)=', picture.svg)


def test_drawing_in_words_names_every_place() -> None:
    picture, _, sheet = drawn(lid(printed.SCRATCH | {"at": at(0.5, 0.5)}))
    assert picture.alt == ("The part, 1.50 by 1.20 m. Reading 1 at (15, 18). Reading 2 at (45, 18). Reading 3 at "
                           "(75, 18). Reading 4 at (105, 18). Mark a at (75, 60).")
    assert sum(spot.where.startswith("(") for spot in sheet.spots) == 4
