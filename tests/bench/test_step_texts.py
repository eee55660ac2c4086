import dataclasses

import pytest

from finishplan import reference
from finishplan.bench import local_work, step_texts
from finishplan.bench.step_texts import (
    PLACES,
    all_texts,
    key_of,
    shipped_words,
    step_text,
    strokes,
    text_of,
    tool_words,
)
from finishplan.errors import TableError
from finishplan.planning.result import REPAIRS
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.shop.steps import COMPOUNDS, shipped_tools
from finishplan.survey.choices import ZONE_KINDS

PROFILE = default_profile()
LONG = ("P500", "P1000", "P1500", "P2000", *COMPOUNDS)


def steps(*names):
    return [PROFILE.step(name) for name in names]


def keys(*names, finish="gloss", lean=False):
    found = steps(*names)
    return [key_of(found, at, finish, lean) for at in range(len(found))]


def test_every_place_in_a_sequence_has_its_own_text():
    assert keys(*LONG) == ["first_sheet", "next_sheet", "next_sheet", "last_sheet", *COMPOUNDS]
    assert keys("P1500", *COMPOUNDS) == ["only_sheet", *COMPOUNDS]
    assert keys("P800", "P1000", finish="satin") == ["first_sheet", "satin_sheet"]
    assert keys("P1000", finish="satin") == ["satin_sheet"]
    assert keys(*LONG, lean=True)[0] == "first_sheet_lean"


@pytest.mark.parametrize("step", PROFILE.steps, ids=lambda step: step.name)
def test_every_step_of_the_table_has_a_whole_text_wherever_it_stands(step):
    orders = [(step,)]
    if step.is_sheet:
        orders += [(step, *steps("P2500", COMPOUNDS[0])), (*steps("P180"), step, *steps(COMPOUNDS[0]))]
    for order in orders:
        found = step_text(order, order.index(step), "gloss")
        assert all((found.how, found.direction, found.done_when, found.stop_if, found.source))
        assert "four stops" in found.stop_if


def test_every_repair_zone_kind_and_tool_has_a_text():
    assert {key for group, key in all_texts() if group == "repair"} == set(REPAIRS)
    assert {key for group, key in all_texts() if group == "zone"} == set(ZONE_KINDS)
    assert {key for group, key in all_texts() if group == "way"} == {f"{way} {use}" for way, use in shipped_tools()}
    assert all(text_of(group, key).how for group, key in all_texts() if key != "first_compound")


def test_no_text_stands_idle():
    used = {"step": {"first_sheet", "first_sheet_lean", "only_sheet", "next_sheet", "last_sheet", "satin_sheet",
                     "first_compound", *COMPOUNDS},
            "place": {"wet", "dry"},
            "local": {"fill_prepare", "fill_dam", "fill_pour", "fill_second_pour", "fill_first", "fill_next",
                      "spot_ring", "spot_first", "spot_next", "fill", "spot"}}
    for group, found in used.items():
        assert {key for g, key in all_texts() if g == group} == found
    assert {group for group, _ in all_texts()} == set(step_texts.GROUPS)
    assert set(local_work.LOCAL) <= set(REPAIRS)


def test_a_missing_text_says_what_to_add():
    with pytest.raises(TableError, match=r"no text 'polka' in group 'step'; add a row"):
        text_of("step", "polka")


def test_every_text_says_where_it_comes_from():
    for text in all_texts().values():
        assert text.source_kind in reference.SOURCE_KINDS
        assert text.source


def test_strokes_cross_from_grade_to_grade():
    # Published: a sailing class's gelcoat repair page has each grade cross the one before at 90 degrees.
    # That the last sheet runs along the part is common practice, no source.
    found = [strokes(steps(*LONG), at, "gloss") for at in range(4)]
    assert found == ["across", "along", "across", "along"]
    assert strokes(steps("P800", "P1000"), 1, "satin") == "along, one way"


def test_a_compound_that_comes_first_is_done_when_the_damage_is_gone():
    first = step_text(steps(*COMPOUNDS), 0, "gloss")
    later = step_text(steps("P2000", *COMPOUNDS), 1, "gloss")
    assert first.done_when.startswith("even gloss")
    assert later.done_when.startswith("sanding matt gone")
    assert first.how == later.how


def test_the_shops_own_words_win():
    own = {"direction": "round the clock", "done_when": "our own sign", "stop_if": "our own stop"}
    shop = apply_shop(PROFILE, {"format": "finishplan-shop", "version": 1, "steps": [{"step": "P1000", **own}]})
    sequence = [shop.step("P1000"), shop.step("P2000")]
    found = step_text(sequence, 0, "gloss")
    assert (found.direction, found.done_when, found.stop_if) == tuple(own.values())
    blank = dataclasses.replace(shop.step("P1000"), done_when="")
    assert step_text([blank, sequence[1]], 0, "gloss").done_when == text_of("step", "first_sheet").done_when


def test_a_tool_that_no_table_knows_keeps_its_name():
    assert tool_words("belt", "sheet") == "belt"


def test_what_is_shipped_of_a_step_is_what_its_sheet_says_at_each_place():
    found = steps("P500", "P1000", "P2000", "cutting compound")
    for at, step in enumerate(found):
        said = step_text(found, at, "gloss")
        for field in ("direction", "done_when", "stop_if"):
            words, kind, lines = shipped_words(step, field)
            assert words and (kind or lines) and len(lines) == len(set(lines))
            assert any(getattr(said, field) in line for line in (words, *lines)), (step.name, field)
    by_hand = step_text(found, 3, "gloss", by_hand=True)
    assert any(by_hand.direction in line for line in shipped_words(found[3], "direction")[2])
    satin = step_text(found[:3], 2, "satin")
    assert satin.direction in shipped_words(found[2], "direction")[2][0]
    keys = {key for group, key in all_texts() if group == "step"}
    assert keys == {*PLACES, *COMPOUNDS}, "every text has its place on the Shop page"
