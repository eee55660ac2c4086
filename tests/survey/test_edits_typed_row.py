"""Rows of readings: what is typed is read as typed or refused by name; slips are asked about."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue
from finishplan.survey.typed_row import MAX_ROW, Odd, odd_readings, read_row, row_words


@pytest.mark.parametrize(("typed", "values"), [
    ("412 398 405", (412, 398, 405)),
    ("  412\t398\n405  ", (412, 398, 405)),
    ("412;398; 405", (412, 398, 405)),
    ("412, 398, 405,", (412, 398, 405)),
    ("412um 398 µm 405 μm 7 UM", (412, 398, 405, 7)),
    ("412.5 .5 0398", (412.5, 0.5, 398)),
    ("412,5 398,25", (412.5, 398.25)),
    ("4,120 1'050", (4120, 1050)),
    ("5000", (5000,)),
])
def test_rows_are_read_as_typed(typed: str, values: tuple[float, ...]) -> None:
    row = read_row(typed)
    assert row.values_um == values
    assert row.refused == ()


@pytest.mark.parametrize(("typed", "said"), [
    ("412,398", "'412,398' may be one reading or several; put spaces between readings"),
    ("412,398,405", "'412,398,405' may be one reading or several"),
    ("4o2", "'4o2' is no number; type film in um, as in 412"),
    ("-412", "'-412' is no number"),
    ("1e3", "'1e3' is no number"),
    ("0", "'0' um is no film; film is over 0 and up to 5000 um"),
    ("41200", "'41200' um is no film"),
    ("nan", "'nan' is no number"),
    ("٤١٢x", "is no number"),
    ("<script>", "'<script>' is no number"),
    ("0.412mm", "'0.412mm' is no number"),
])
def test_what_cannot_be_read_is_named_and_the_rest_is_kept(typed: str, said: str) -> None:
    row = read_row(f"398 {typed} 405")
    assert row.values_um == (398, 405)
    assert len(row.refused) == 1 and said in row.refused[0]


@pytest.mark.parametrize("typed", ["", "  ", " ; ;, "])
def test_an_empty_row_is_told(typed: str) -> None:
    with pytest.raises(BadValue, match="type film in um with spaces between, as in 412 398 405"):
        read_row(typed)


def test_a_row_too_long_is_told_not_cut() -> None:
    assert len(read_row("400 " * MAX_ROW).values_um) == MAX_ROW
    with pytest.raises(BadValue, match="number of readings is 61; at most 60 in a row"):
        read_row("400 " * (MAX_ROW + 1))


@given(st.lists(st.integers(min_value=1, max_value=5000), min_size=1, max_size=20),
       st.sampled_from([" ", "  ", ";", ", ", "\n", " um "]))
def test_no_number_is_lost_or_changed(values: list[int], between: str) -> None:
    row = read_row(between.join(str(value) for value in values))
    assert row.values_um == tuple(values) and row.refused == ()


@given(st.text(max_size=40))
def test_every_piece_of_any_text_is_read_or_refused(text: str) -> None:
    try:
        row = read_row(text)
    except BadValue:
        return
    assert row.values_um or row.refused
    assert all(0 < value <= 5000 for value in row.values_um)


def test_a_slip_of_a_digit_is_asked_about_with_what_may_be_meant() -> None:
    assert odd_readings([4120], [398, 405, 412]) == ((), (Odd(4120, 405, 412),))
    assert odd_readings([41], [398, 405, 412]) == ((), (Odd(41, 405, 410),))


def test_a_row_is_its_own_measure_where_nothing_is_known() -> None:
    assert odd_readings([412, 398, 4050], []) == ((412, 398), (Odd(4050, 412, 405),))


def test_a_surface_echo_is_kept_without_asking() -> None:
    assert odd_readings([118], [331, 322, 328]) == ((118,), ())


@pytest.mark.parametrize(("alone", "meant"), [(4120, 412), (30, 300), (4.12, 412)])
def test_a_reading_alone_is_asked_about_outside_the_usual_film(alone: float, meant: float) -> None:
    plain, odd = odd_readings([alone], [])
    assert plain == () and odd[0].um == alone and odd[0].meant_um == pytest.approx(meant)
    assert odd_readings([240], []) == ((240,), ())


@given(st.lists(st.floats(min_value=1, max_value=5000), max_size=12), st.lists(st.floats(1, 5000), max_size=12))
def test_asking_loses_no_reading(values: list[float], known: list[float]) -> None:
    plain, odd = odd_readings(values, known)
    assert sorted([*plain, *(o.um for o in odd)]) == sorted(values)


def test_words_of_a_row() -> None:
    assert row_words([412.0, 398.5, 1234.25]) == "412, 398.5, 1234.25"
