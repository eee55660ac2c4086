"""The film section: to scale, readable, and the same bytes each time."""

from __future__ import annotations

import random
import re

import made_plans as made
import pytest
from drawn import outside, overlaps, points, read, rising, shapes, texts, width_of

from finishplan.paper.section import MAX_LABELS, axis_um_for, film_section, takes, zone_words
from finishplan.paper.theme import DARK, LIGHT, PAPER, THEMES
from finishplan.survey.choices import DEFECT_KINDS


def drawn_width(film_um: float, axis_um: float = 400.0) -> float:
    svg = film_section(made.panel(made.zone(mean=film_um, low=film_um)), axis_um)
    return width_of(shapes(svg, "film")[0])


def test_film_four_times_as_thick_is_drawn_four_times_as_long() -> None:
    assert drawn_width(400.0) == pytest.approx(4 * drawn_width(100.0), abs=0.02)


def test_one_axis_serves_all_panels_of_a_plan() -> None:
    thin = made.panel(made.zone(mean=100.0, low=90.0), name="rim")
    axis_um = axis_um_for(made.plan(thin, made.lid()))
    assert axis_um == 400.0
    film_um_per_px = {
        round(low / width_of(shapes(film_section(panel, axis_um), "film")[0]), 3)
        for panel, low in ((thin, 90.0), (made.lid(), 276.0))
    }
    assert len(film_um_per_px) == 1


def test_steps_are_drawn_in_their_order_and_size_from_the_surface() -> None:
    panel = made.lid()
    svg = film_section(panel, 400.0)
    per_um = width_of(shapes(svg, "film")[0]) / 276.0
    at = float(shapes(svg, "film")[0].attrib["x"])
    for step, removal_um in takes(panel, panel.zones[0]):
        node = shapes(svg, f"takes {step}")[0]
        assert float(node.attrib["x"]) == pytest.approx(at, abs=0.02)
        assert width_of(node) == pytest.approx(removal_um * per_um, abs=0.02)
        at += removal_um * per_um
    assert [step for step, _ in takes(panel, panel.zones[0])] == list(made.TAKES)


def test_keep_ends_where_the_film_we_count_on_ends() -> None:
    svg = film_section(made.lid(), 400.0)
    film, keep = shapes(svg, "film")[0], shapes(svg, "keep")[0]
    assert float(keep.attrib["x"]) + width_of(keep) == pytest.approx(
        float(film.attrib["x"]) + width_of(film), abs=0.02)
    assert width_of(keep) / width_of(film) == pytest.approx(80 / 276, abs=1e-3)


def test_not_counted_on_reaches_from_low_to_mean() -> None:
    svg = film_section(made.panel(made.zone(mean=400.0, low=276.0)), 400.0)
    film, open_end = shapes(svg, "film")[0], shapes(svg, "not counted on")[0]
    assert float(open_end.attrib["x"]) == pytest.approx(float(film.attrib["x"]) + width_of(film), abs=0.02)
    assert width_of(open_end) / width_of(film) == pytest.approx(124 / 276, abs=1e-3)


def test_each_defect_ends_at_its_depth_and_is_named_there() -> None:
    panel = made.panel(made.zone(defects=(made.defect("scratch", 42.0), made.defect("nick", 231.0, index=1))))
    svg = film_section(panel, 400.0)
    film = shapes(svg, "film")[0]
    per_um, start = width_of(film) / 276.0, float(film.attrib["x"])
    tips = sorted(points(node)[1][0] for node in shapes(svg, "defect"))
    assert tips == pytest.approx([start + 42.0 * per_um, start + 231.0 * per_um], abs=0.02)
    boxes = dict(texts(svg))
    assert boxes["scratch 42 guessed"][0] == pytest.approx(start + 42.0 * per_um + 4, abs=0.02)
    assert boxes["nick 231 guessed"][0] == pytest.approx(start + 231.0 * per_um + 4, abs=0.02)


def test_a_guess_is_told_from_a_measurement_by_a_word() -> None:
    svg = film_section(made.lid(), 400.0)
    words = [text for text, _ in texts(svg)]
    assert "scratch 20 measured" in words
    assert "3 scratches 43 guessed" in words
    assert "film guessed from the usual film" in words
    assert "film measured, 3 readings" in words


def test_defect_deeper_than_the_film_says_so_and_stays_in_the_frame() -> None:
    svg = film_section(made.panel(made.zone(defects=(made.defect("chip", 4000.0),))), 400.0)
    assert "chip 4000 guessed, through the film" in [text for text, _ in texts(svg)]
    assert outside(svg) == []


def test_defect_without_depth_is_told_not_drawn() -> None:
    cracks = made.defect("crack", None, origin="none", count=2)
    svg = film_section(made.panel(made.zone(defects=(cracks,))), 400.0)
    assert shapes(svg, "defect") == []
    assert "2 cracks: no depth to draw" in [text for text, _ in texts(svg)]


def test_what_has_no_room_is_counted_not_dropped() -> None:
    many = tuple(made.defect("scratch", 3.0 + k, index=k) for k in range(200))
    svg = film_section(made.panel(made.zone(defects=many)), 400.0)
    assert len(shapes(svg, "defect")) == MAX_LABELS
    assert "193 shallower kinds not drawn, see the table" in [text for text, _ in texts(svg)]
    assert overlaps(svg) == []


def random_panel(seed: int) -> made.PanelPlan:
    rng = random.Random(seed)
    kinds = sorted(DEFECT_KINDS)
    zones = []
    for k in range(rng.randint(1, 5)):
        mean = rng.uniform(30, 900)
        low = mean * rng.uniform(0.3, 1.0)
        defects = tuple(
            made.defect(rng.choice(kinds), rng.choice([None, rng.uniform(0.3, 60), rng.uniform(60, 1200)]),
                        count=rng.randint(1, 40), index=j) for j in range(rng.randint(0, 14)))
        zones.append(made.zone(f"zone {k} " + "long name " * rng.randint(0, 9), mean=mean, low=low,
                               keep=rng.uniform(40, 130), removal=rng.choice([0.0, 20.0]), defects=defects))
    steps = dict(rng.sample(sorted(made.TAKES.items()), rng.randint(0, 5)))
    return made.panel(*zones, takes={step: um for step, um in made.TAKES.items() if step in steps})


@pytest.mark.parametrize("seed", range(60))
def test_no_texts_overlap_and_nothing_leaves_the_frame(seed: int) -> None:
    panel = random_panel(seed)
    svg = film_section(panel, axis_um_for(made.plan(panel)), list(THEMES.values())[seed % 3])
    assert overlaps(svg) == []
    assert outside(svg) == []


def test_names_are_escaped_and_bytes_do_not_change() -> None:
    zone = made.zone('<b onload="x">&amp; \x07 "edge"')
    panel = made.panel(zone, name='lid <script>alert("1")</script> & co')
    svg = film_section(panel, 400.0)
    root = read(svg)
    assert root[0].text == 'Film of lid <script>alert("1")</script> & co, cut open'
    assert "<script" not in svg and "<b " not in svg and "\x07" not in svg
    assert not any(name.startswith("on") for node in root.iter() for name in node.attrib)
    assert svg == film_section(panel, 400.0)


def test_title_and_description_say_what_the_figure_shows() -> None:
    panel = made.lid()
    root = read(film_section(panel, 400.0))
    assert root.attrib["role"] == "img"
    assert root[0].tag.endswith("title") and root[1].tag.endswith("desc")
    assert (root[1].text or "").startswith(
        "Field: go, film 400 um (measured, 3 readings), we count on 276, leave at least 80, P800 takes 20, ")
    assert "back edge: not enough film" in (root[1].text or "").lower()
    assert zone_words(panel, panel.zones[1]) in (root[1].text or "")


def test_verdict_is_word_shape_and_fill() -> None:
    svg = film_section(made.lid(), 400.0)
    words = [text for text, _ in texts(svg)]
    assert {"go", "measure first", "not enough film"} <= set(words)


def test_axis_is_marked_rising_from_nought() -> None:
    svg = film_section(made.lid(), 400.0)
    marks = [(box[0], text) for text, box in texts(svg) if text.isdigit()]
    values = [float(text) for _, text in sorted(marks)]
    assert values[0] == 0 and values[-1] == 400 and rising(values)


def test_themes_differ_and_paper_uses_no_colour() -> None:
    light, dark, paper = (film_section(made.lid(), 400.0, theme) for theme in (LIGHT, DARK, PAPER))
    assert len({light, dark, paper}) == 3
    for colour in re.findall(r"#[0-9A-F]{6}", paper):
        assert colour[1:3] == colour[3:5] == colour[5:7]


def test_an_axis_of_nought_is_refused() -> None:
    with pytest.raises(ValueError, match="axis_um must be over 0"):
        film_section(made.lid(), 0.0)


def test_film_under_what_must_stay_says_so() -> None:
    svg = film_section(made.panel(made.zone(mean=274.0, low=57.0, keep=80.0, verdict="measure first")), 400.0)
    assert "we count on 57, under the 80 to leave" in [text for text, _ in texts(svg)]
