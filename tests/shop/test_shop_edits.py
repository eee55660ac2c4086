"""Edits of a shop as plain data, and how each value is typed and read."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from finishplan.errors import BadValue
from finishplan.shop.figure_kinds import SORTS, ShopFigure, read_value, said_value, side_words, typed_value
from finishplan.shop.shop_edits import value_at, with_entry, with_value, without, without_entry

P600 = ("steps", (("step", "P600"),), "change_min")
KEEP = ("policy", "keep", "clear or unknown", "edge")
WHOLE = {"field": 120.0, "curve": 120.0, "edge": 80.0, "corner": 80.0}
EMPTY: dict[str, Any] = {"format": "finishplan-shop", "version": 1}


def test_a_value_goes_in_and_out_and_leaves_nothing_behind() -> None:
    before = copy.deepcopy(EMPTY)
    made = with_value(EMPTY, P600, 4.0)
    assert made["steps"] == [{"step": "P600", "change_min": 4.0}] and value_at(made, P600) == 4.0
    more = with_value(made, ("steps", (("step", "P600"),), "wet"), False)
    assert without(more, P600)["steps"] == [{"step": "P600", "wet": False}]
    assert without(made, P600) == EMPTY == before
    assert without(EMPTY, P600) == EMPTY and without(more, ("steps", (("step", "P800"),), "wet")) == more


def test_a_tool_is_found_by_way_and_use() -> None:
    at = ("tools", (("way", "wheel"), ("for", "compound")), "rpm")
    made = with_value(with_value(EMPTY, at, 900.0), (*at[:2], "marked_rpm"), 1800.0)
    assert made["tools"] == [{"way": "wheel", "for": "compound", "rpm": 900.0, "marked_rpm": 1800.0}]


def test_a_group_that_is_only_valid_whole_is_filled_and_taken_out_whole() -> None:
    made = with_value(EMPTY, KEEP, 90.0, WHOLE)
    assert made["policy"]["keep"]["clear or unknown"] == {**WHOLE, "edge": 90.0}
    two = with_value(made, (*KEEP[:3], "field"), 130.0, WHOLE)
    assert value_at(without(two, KEEP, WHOLE), KEEP) == 80.0
    assert without(made, KEEP, WHOLE) == EMPTY and without(EMPTY, KEEP, WHOLE) == EMPTY


def test_a_grade_of_our_own_and_a_person_stay_when_their_last_value_goes() -> None:
    grade = with_value(EMPTY, ("steps", (("step", "US 600"),), "change_min"), 4.0)
    assert without(grade, ("steps", (("step", "US 600"),), "change_min"))["steps"] == [{"step": "US 600"}]
    people = with_entry(EMPTY, "people", "id", {"id": "A", "role": "owner"})
    assert without(people, ("people", (("id", "A"),), "role"))["people"] == [{"id": "A"}]
    assert without_entry(people, "people", "id", "A") == EMPTY


@pytest.mark.parametrize(("sort", "typed", "value"), [
    ("number", 2.0, 2.0), ("whole", 3, 3), ("flag", False, False), ("choice", "Letter", "Letter"), ("text", "x", "x"),
    ("names", "P1000, P1500", ["P1000", "P1500"]), ("lines", "a\nb", ["a", "b"]),
    ("hours", "08:00-12:00, 12:30-16:30", [["08:00", "12:00"], ["12:30", "16:30"]]),
    ("taxes", "VAT 19\nless 7.5: materials, travel",
     [{"name": "VAT", "percent": 19.0}, {"name": "less", "percent": 7.5, "groups": ["materials", "travel"]}]),
])
def test_every_sort_is_read_as_it_is_typed_and_back(sort: str, typed: Any, value: Any) -> None:
    figure = ShopFigure(("x",), "X", sort=sort)
    assert read_value(figure, typed) == value
    assert typed_value(figure, value) == typed


def test_every_sort_is_tried_above_and_an_empty_box_is_nothing() -> None:
    for sort in SORTS:
        figure = ShopFigure(("x",), "X", sort=sort)
        assert read_value(figure, typed_value(figure, None)) is None
        assert said_value(figure, None) == "\u2013"


def test_hours_are_read_as_people_type_them() -> None:
    assert read_value(ShopFigure(("x",), "Monday", sort="hours"), "8:00 to 12:00") == [["08:00", "12:00"]]


@pytest.mark.parametrize(("sort", "typed", "said"), [
    ("hours", "8 to 12", r"Monday is '8 to 12'.*type from and to, as in 08:00-12:00"),
    ("taxes", "VAT", r"Monday is 'VAT'.*type a name and percent, as in VAT 19"),
])
def test_what_cannot_be_read_says_how_to_type_it(sort: str, typed: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        read_value(ShopFigure(("x",), "Monday", sort=sort), typed)


def test_shipped_learned_and_used_stand_side_by_side_with_their_kind() -> None:
    rate = ShopFigure(("x",), "Rate", 0.924, 1.2, "cm3/min", "assumed", "number")
    assert side_words(rate, None) == "Shipped 0.924 cm3/min (assumed); used as shipped."
    assert side_words(rate, 1.2, "learned 1.3, not used") == (
        "Shipped 0.924 cm3/min (assumed); learned 1.3, not used; used 1.2 cm3/min, our own.")
    assert "our own 1.2 cm3/min waits behind it" in side_words(rate, 1.2, "learned 1.3 in use")
    assert side_words(ShopFigure(("x",), "Noise"), None) == "Nothing is shipped."
    assert side_words(ShopFigure(("x",), "Name", ours=True), "Bench") == ""
