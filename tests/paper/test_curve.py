"""Film against time: to scale, readable, one point said as one, and the same bytes each time."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from drawn import outside, overlaps, read, shapes, texts

from finishplan.paper.curve import axis, curve_drawing, curve_words, ticks, time_step
from finishplan.paper.theme import PAPER, THEMES
from finishplan.planning.result import CurvePoint

THREE = (CurvePoint("quick", 300.0, 40.0), CurvePoint("", 310.0, 36.0), CurvePoint("balanced", 330.0, 30.0),
         CurvePoint("keep film", 380.0, 20.0))


def dots(svg: str) -> list[tuple[float, float]]:
    found = [*shapes(svg, "trade"), *shapes(svg, "here")]
    return sorted((float(node.attrib["cx"]), float(node.attrib["cy"])) for node in found)


def test_dots_stand_in_proportion_to_minutes_and_film() -> None:
    at = dots(curve_drawing(THREE))
    pairs = list(zip(pairwise(at), pairwise(THREE), strict=True))
    across = [(b[0] - a[0]) / (q.minutes - p.minutes) for (a, b), (p, q) in pairs]
    up = [(b[1] - a[1]) / (p.film_um_m2 - q.film_um_m2) for (a, b), (p, q) in pairs]
    assert across == pytest.approx([across[0]] * 3, abs=0.01) and across[0] > 0
    assert up == pytest.approx([up[0]] * 3, abs=0.01) and up[0] > 0, "less film stands lower"


def test_a_difference_of_one_in_three_hundred_is_not_drawn_as_if_it_were_large() -> None:
    at = dots(curve_drawing((CurvePoint("quick", 300.0, 40.0), CurvePoint("keep film", 301.0, 39.9))))
    assert at[1][0] - at[0][0] < 25 and at[1][1] - at[0][1] < 10


def test_every_favour_is_named_at_its_dot_with_its_price() -> None:
    svg = curve_drawing(THREE)
    boxes = dict(texts(svg))
    for point, (x, y) in zip([THREE[0], THREE[2], THREE[3]], [dots(svg)[k] for k in (0, 2, 3)], strict=True):
        left, top, right, bottom = boxes[point.name]
        assert min(abs(left - x), abs(right - x)) < 20 and top - 25 < y < bottom + 25
    assert "6 h 20, 20 cm3" in boxes and "5 h, 40 cm3" in boxes


def test_the_plan_in_force_is_the_filled_dot() -> None:
    svg = curve_drawing(THREE, (330.0, 30.0))
    here = shapes(svg, "here")
    assert len(here) == 1 and len(shapes(svg, "trade")) == 3
    assert (float(here[0].attrib["cx"]), float(here[0].attrib["cy"])) == dots(svg)[2]
    assert "this plan" not in dict(texts(svg))


def test_a_plan_beside_the_best_trades_gets_a_dot_of_its_own() -> None:
    svg = curve_drawing(THREE, (400.0, 45.0))
    assert len(dots(svg)) == 5 and "this plan" in dict(texts(svg))
    x, y = dots(svg)[-1]
    assert all(x > a and y < b for a, b in dots(svg)[:-1])
    assert shapes(curve_drawing(THREE), "here") == []


def test_one_point_is_said_as_one() -> None:
    one = (CurvePoint("quick, balanced, keep film", 320.0, 21.3),)
    assert curve_words(one) == ("One plan is best in both time and film: quick, balanced and keep film are the same, "
                                "5 h 20, 22 cm3 of film.")
    svg = curve_drawing(one, (320.0, 21.3))
    assert len(dots(svg)) == 1 and outside(svg) == [] and overlaps(svg) == []
    assert read(svg)[1].text == curve_words(one)


def test_the_curve_in_words_counts_the_trades_and_prices_the_named() -> None:
    assert curve_words(THREE) == (
        "Four best trades, from 5 h, 40 cm3 of film to 6 h 20, 20 cm3. Quick: 5 h, 40 cm3. Balanced: 5 h 30, 30 cm3. "
        "Keep film: 6 h 20, 20 cm3.")
    assert "nothing is worked" in curve_words(())


def random_curve(seed: int) -> tuple[tuple[CurvePoint, ...], tuple[float, float] | None]:
    rng = random.Random(seed)
    count = rng.choice([1, 2, 3, 5, 40])
    spread = rng.choice([0.01, 1.0, 300.0])
    minutes = sorted(rng.uniform(1, 5) * 100 + rng.uniform(0, spread) for _ in range(count))
    film = sorted((rng.uniform(0.2, 90) for _ in range(count)), reverse=True)
    names = [""] * count
    for name in ("quick", "balanced", "keep film"):
        k = rng.randrange(count)
        names[k] = f"{names[k]}, {name}" if names[k] else name
    points = tuple(CurvePoint(*row) for row in zip(names, minutes, film, strict=True))
    return points, rng.choice([None, (minutes[0], film[0]), (minutes[-1] * 1.3, film[0] * 1.2)])


@pytest.mark.parametrize("seed", range(80))
def test_no_texts_overlap_and_nothing_leaves_the_frame(seed: int) -> None:
    points, here = random_curve(seed)
    svg = curve_drawing(points, here, list(THEMES.values())[seed % 3])
    assert overlaps(svg) == []
    assert outside(svg) == []
    assert len(texts(svg)) >= 4
    assert svg == curve_drawing(points, here, list(THEMES.values())[seed % 3])


def test_no_film_at_all_and_days_of_work_are_still_drawn() -> None:
    long = (CurvePoint("quick", 9000.0, 400.0), CurvePoint("", 20000.0, 1.0))
    for points in ((CurvePoint("quick", 30.0, 0.0),), long):
        svg = curve_drawing(points)
        assert outside(svg) == [] and overlaps(svg) == []


def test_axes_have_two_to_seven_ticks_at_round_values() -> None:
    for least, most in ((300.0, 330.0), (12.0, 13.1), (300.0, 1900.0), (2000.0, 90000.0)):
        held = axis([least, most], 0.0, 100.0)
        assert 2 <= len(ticks(held, time_step(held))) <= 7


def test_paper_needs_no_colour() -> None:
    svg = curve_drawing(THREE, (330.0, 30.0), PAPER)
    inks = {node.attrib[key] for node in read(svg).iter() for key in ("fill", "stroke") if key in node.attrib}
    assert all(c[1:3] == c[3:5] == c[5:7] for c in inks if c.startswith("#"))


def test_a_curve_without_a_point_is_refused() -> None:
    with pytest.raises(ValueError, match="a curve has at least one point"):
        curve_drawing(())
