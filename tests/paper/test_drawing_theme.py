"""Colours within their contrast, and text that is fitted, wrapped and escaped."""

from __future__ import annotations

import re

import made_plans as made
import pytest
from drawn import read

from finishplan.paper.labels import Label, lanes, place
from finishplan.paper.section import film_section
from finishplan.paper.theme import (
    DARK,
    LIGHT,
    OKABE_ITO,
    PAPER,
    SCREEN,
    THEMES,
    Theme,
    clean,
    contrast,
    fitted,
    mark_svg,
    style,
    text_width,
    wrapped,
)
from finishplan.wording import MARKS


@pytest.mark.parametrize("theme", THEMES.values(), ids=list(THEMES))
def test_text_has_4_5_and_marks_3_on_their_grounds(theme: Theme) -> None:
    for ink in (theme.ink, theme.quiet):
        assert contrast(ink, theme.ground) >= 4.5
        assert contrast(ink, theme.film) >= 4.5
    for mark in (theme.keep, theme.defect, theme.hairline):
        assert contrast(mark, theme.ground) >= 3.0
    assert contrast(theme.keep, theme.film) >= 3.0
    assert contrast(theme.ink, theme.taken) >= 3.0 or theme.name == "dark"


@pytest.mark.parametrize(("one", "other", "ratio"), [
    ("#FFFFFF", "#000000", 21.0), ("#777777", "#FFFFFF", 4.48), ("#767676", "#FFFFFF", 4.54),
])
def test_contrast_against_known_pairs(one: str, other: str, ratio: float) -> None:
    """#767676 is the lightest grey that passes 4.5:1 on white, #777777 fails: widely printed with WCAG."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


def test_weak_colours_on_white_are_only_fills() -> None:
    weak = [name for name, colour in OKABE_ITO.items() if contrast(colour, "#FFFFFF") < 3.0]
    assert {"orange", "sky blue", "yellow"} <= set(weak)
    light = THEMES["light"]
    assert not {OKABE_ITO[name] for name in weak} & {light.ink, light.quiet, light.keep, light.defect,
                                                     light.hairline}


def test_fitted_says_that_it_cut() -> None:
    assert fitted("front edge", 500, 15) == "front edge"
    short = fitted("front edge of the main lid", 100, 15)
    assert short.endswith("…") and text_width(short, 15) <= 100


def test_wrapped_keeps_every_word() -> None:
    words = "no place given: scratch, nick and dull area"
    lines = wrapped(words, 120, 15)
    assert " ".join(lines) == words and len(lines) > 1
    assert all(text_width(line, 15) <= 120 for line in lines)


def test_clean_drops_what_xml_forbids() -> None:
    assert clean('a<b>&"\x00\x1f\ud800c') == "a&lt;b&gt;&amp;&quot;c"


@pytest.mark.parametrize("mark", MARKS.values(), ids=list(MARKS))
def test_every_verdict_has_a_shape(mark: object) -> None:
    drawn = mark_svg(mark.shape, mark.fill, 10, 10, 16, "#000000", "#FFFFFF")  # type: ignore[attr-defined]
    assert read(f'<svg xmlns="http://www.w3.org/2000/svg">{drawn}</svg>')[0] is not None


def test_no_two_verdicts_look_alike() -> None:
    assert len({(mark.shape, mark.fill) for mark in MARKS.values()}) == len(MARKS)
    assert len({mark.glyph for mark in MARKS.values()}) == len(MARKS)


def test_leaders_pass_no_text_where_labels_fit_to_their_right() -> None:
    labels = [Label(10.0 * k, f"label {k}") for k in range(12)]
    placed = place(labels, 800, 15)
    assert lanes(placed) <= 12
    for one in placed:
        for other in placed:
            if other.lane < one.lane:
                assert not other.left < one.label.x < other.right


def test_screen_drawings_carry_both_palettes_and_name_no_colour_elsewhere() -> None:
    svg = film_section(made.lid(), 400.0, SCREEN)
    held, _, rest = svg.partition("</style>")
    for worn in (LIGHT, DARK):
        assert f"--ink:{worn.ink}" in held and f"--ground:{worn.ground}" in held
    assert "prefers-color-scheme:dark" in held
    assert "#" not in re.sub(r"url\(#[^)]*\)", "", rest)
    assert set(re.findall(r"var\(--([a-z]+)\)", rest)) <= set(re.findall(r"--([a-z]+):", held))
    assert style(LIGHT) == style(PAPER) == ""
