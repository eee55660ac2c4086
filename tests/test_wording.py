"""Values become words: rounded the safe way, guesses told by a word, nothing missing in silence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from finishplan import wording
from finishplan.survey.choices import DEFECT_KINDS
from finishplan.wording import (
    MOST_BY_HITS,
    chance_words,
    counted,
    defect_words,
    depth_words,
    film_from_words,
    film_words,
    job_words,
    least_words,
    listed,
    mark_of,
    minutes_words,
    missing,
    panel_gist,
    quantity_words,
    removal_words,
    sentence,
    worst_verdict,
)


@given(st.floats(0, 5000))
def test_film_never_looks_thicker_than_it_is(film_um: float) -> None:
    assert float(film_words(film_um)) <= film_um + 1e-8
    assert film_um - float(film_words(film_um)) < 1


@given(st.floats(1e-3, 5000))
def test_removal_never_looks_less_than_it_is(removal_um: float) -> None:
    shown = float(removal_words(removal_um))
    assert removal_um - 1e-8 <= shown <= removal_um * 1.1001 + 1e-9
    assert len(removal_words(removal_um).replace(".", "").strip("0")) <= 2 or shown >= 100


@given(st.floats(0, 5000))
def test_least_reading_never_looks_less_than_it_is(reading_um: float) -> None:
    assert float(least_words(reading_um)) >= reading_um - 1e-8


@pytest.mark.parametrize(("value", "words"), [
    (0.0, "0"), (0.3, "0.30"), (0.301, "0.31"), (5.04, "5.1"), (8.72, "8.8"), (9.91, "10"), (9.96, "10"),
    (0.996, "1.0"), (10.0, "10"), (35.66, "36"), (99.2, "100"), (123.1, "124"), (0.05, "0.050"),
])
def test_removal_has_two_digits(value: float, words: str) -> None:
    assert removal_words(value) == words


@pytest.mark.parametrize(("minutes", "words"), [
    (0, "0 min"), (0.2, "under 1 min"), (0.5, "1 min"), (12.4, "12 min"), (30.4, "30 min"), (31, "30 min"),
    (33, "35 min"), (87, "85 min"), (88, "1 h 30"), (90, "1 h 30"), (278, "4 h 40"), (61, "60 min"),
    (719, "12 h"),
])
def test_minutes(minutes: float, words: str) -> None:
    assert minutes_words(minutes) == words


@pytest.mark.parametrize(("chance", "words"), [
    (0.005, "1 in 200"), (0.0051, "1 in 190"), (0.05, "1 in 20"), (0.1, "1 in 10"), (0.12, "1 in 5"),
    (0.5, "1 in 2"), (0.8, "4 in 5"), (0.9, "9 in 10"), (1.0, "1 in 1"), (0.00001, "1 in 100000"),
    (0.0, "none"),
])
def test_chances(chance: float, words: str) -> None:
    assert chance_words(chance) == words


@given(st.floats(1e-6, 1.0))
def test_a_chance_never_looks_smaller_than_it_is(chance: float) -> None:
    above, below = chance_words(chance).split(" in ")
    assert int(above) / int(below) >= chance - 1e-6
    assert "%" not in chance_words(chance)


@pytest.mark.parametrize("hits", range(len(MOST_BY_HITS)))
def test_few_hits_stay_under_the_poisson_limit(hits: int) -> None:
    """Exact one-sided 95 % limit of a Poisson mean, chi-square(0.95; 2 hits + 2) / 2, by scipy."""
    assert MOST_BY_HITS[hits] == pytest.approx(chi2.ppf(0.95, 2 * hits + 2) / 2.0, abs=5e-4)
    below = int(chance_words(hits / 20_000, draws=20_000).removeprefix("under 1 in "))
    assert below <= 20_000 / MOST_BY_HITS[hits] + 0.5


def test_nothing_seen_in_draws_is_not_nought() -> None:
    assert chance_words(0.0, draws=20_000) == "under 1 in 6600"


def test_missing_values_have_a_reason() -> None:
    assert missing("no readings") == "– (no readings)"
    assert depth_words(None, "none") == "– (no depth for this kind)"


def test_guess_and_measurement_differ_by_a_word() -> None:
    assert depth_words(20.0, "measured") == "20 measured"
    assert depth_words(42.1, "guessed from kind") == "43 guessed"
    assert depth_words(42.1, "test spot") == "43 from the test spot"
    assert depth_words(7.0, "previous step") == "7 left by the last step"
    assert film_from_words("readings", 1) == "measured, 1 reading"
    assert film_from_words("default", 0) == "guessed from the usual film"
    assert film_from_words("estimate", 0) == "guessed"


def test_every_kind_of_the_table_has_words_for_one_and_many() -> None:
    assert set(wording.DEFECT_WORDS) == set(DEFECT_KINDS)
    for kind in DEFECT_KINDS:
        assert "_" not in defect_words(kind) + defect_words(kind, 3)
        assert defect_words(kind, 3).startswith("3 ")


def test_every_verdict_has_its_own_mark() -> None:
    from finishplan.planning.result import VERDICTS
    assert set(VERDICTS) <= set(wording.MARKS)
    assert mark_of("go", last_service=True).word == "go, last service"
    assert mark_of("measure first", last_service=True).word == "measure first"
    assert set(wording.STOPS) == set(VERDICTS) - {"go"}


def test_a_panel_is_as_good_as_its_worst_zone() -> None:
    assert worst_verdict(["go", "not enough film", "measure first"]) == "measure first"
    assert worst_verdict(["go", "go"]) == "go"
    assert worst_verdict([]) == "go"


def test_lists_counts_and_sentences() -> None:
    assert listed([]) == "" and listed(["a"]) == "a" and listed(["a", "b"], "or") == "a or b"
    assert counted(14, "panel") == "14 panels"
    assert sentence("  ") == "" and sentence("done.") == "Done."
    assert quantity_words(2.0) == "2" and quantity_words(20) == "20" and quantity_words(5.0) == "5"


def test_panel_line() -> None:
    sheets, compounds = ["P800", "P1500"], ["cutting compound"] * 3
    words = panel_gist(sheets, compounds, 199, 35.2, 157.9, "edges compound only")
    assert words == ("start P800, two sheets and three compounds, 3 h 20, takes 36 of 157 um to spend, "
                     "edges compound only")
    assert panel_gist([], [], 0.0, 0.0, 100.0) == "nothing to sand or buff"
    assert "takes 3 of 0 um" in panel_gist(["P800"], [], 9.0, 3.0, -4.0).replace("3.0", "3")


@pytest.mark.parametrize(("verdicts", "words"), [
    ({"lid": "go"}, "The panel can start. 60 min of work in all."),
    ({"lid": "go", "rim": "go"}, "Both panels can start. 60 min of work in all."),
    (dict.fromkeys("abc", "go"), "All three panels can start. 60 min of work in all."),
    ({"lid": "measure first"}, "Do not start. Lid: measure first. 60 min of work in all."),
    ({"lid": "go", "rim": "refer", "arm": "measure first"},
     "One of three panels can start. Do not start arm: measure first. Do not start rim: refer. "
     "60 min of work in all."),
    ({"lid": "not enough film", "rim": "not enough film"},
     "No panel can start. Lid and rim: not enough film. 60 min of work in all."),
])
def test_verdict_sentence(verdicts: dict[str, str], words: str) -> None:
    assert job_words(verdicts, 60.0) == words
