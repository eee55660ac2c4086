"""What is said of a gauge read on a shim, without a job."""

from __future__ import annotations

import pytest
from bench_logs import Book

from finishplan.bench.gauge_check import check_words, gauge_words, gauges_of, off_words
from finishplan.bench.log_lines import ShimValues
from finishplan.bench.log_sums import allowed_um, bad_gauges, why_aside

OWN = ("ultrasonic", "2")


def shim(book: Book, um: float, gauge: str = "") -> None:
    book.add("shim check", values={"shim_um": 400.0, "um": um, "gauge": gauge})


def test_a_check_is_good_within_what_the_method_may_be_off() -> None:
    allowed = allowed_um(ShimValues(shim_um=400.0, um=400.0))
    assert 0 < allowed < 60
    good, bad = ShimValues(shim_um=400.0, um=400.0 + allowed), ShimValues(shim_um=400.0, um=401.0 + allowed)
    assert check_words(good) == (f"The ultrasonic gauge read {good.um:g} um on a shim of 400 um, within the "
                                 f"{allowed:.0f} um it may be off.")
    assert ", and not within the" in check_words(bad)


def test_each_gauge_is_checked_for_itself_and_counts_again_after_a_good_check() -> None:
    book = Book()
    book.read(390.0, 1, values={"gauge": "2"})
    book.read(391.0, 2)
    shim(book, 480.0, "2")
    book.read(392.0, 3, values={"gauge": "2"})
    assert set(why_aside(book.lines)) == {1, 4} and list(bad_gauges(book.lines)) == [OWN]
    assert "Ultrasonic gauge 2 read 480 um on a shim of 400 um" in off_words(book.lines, OWN)
    assert off_words(book.lines, ("ultrasonic", "")) == ""
    assert gauges_of(book.lines, ("magnetic", "")) == (("magnetic", ""), OWN, ("ultrasonic", ""))
    shim(book, 401.0, "2")
    book.read(393.0, 4, values={"gauge": "2"})
    assert set(why_aside(book.lines)) == {1, 4} and off_words(book.lines, OWN) == ""


def test_a_check_that_was_mistyped_is_set_aside_with_all_it_did() -> None:
    book = Book()
    book.read(390.0, 1)
    shim(book, 480.0)
    book.add("set aside", values={"line": 2, "reason": "typed wrong"})
    assert set(why_aside(book.lines)) == {2} and off_words(book.lines, ("ultrasonic", "")) == ""


@pytest.mark.parametrize(("gauge", "said"), [(OWN, "ultrasonic, 2"), (("magnetic", ""), "magnetic")])
def test_a_gauge_has_a_name_where_there_are_several(gauge: tuple[str, str], said: str) -> None:
    assert gauge_words(gauge) == said
