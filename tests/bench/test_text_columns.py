import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.bench.columns import CUT, fitted, padded, plain, width_of, wrapped

any_text = st.text(alphabet=st.characters(), max_size=120)


@given(any_text)
def test_a_plain_text_is_one_line_that_moves_nothing(text):
    found = plain(text)
    assert len(found.splitlines()) <= 1
    assert not {unicodedata.category(c) for c in found} & {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    assert found.encode("utf-8").decode("utf-8") == found


@given(any_text, st.integers(3, 60))
def test_a_fitted_text_fits_and_says_when_it_was_cut(text, columns):
    found = fitted(text, columns)
    assert width_of(found) <= columns
    assert found == plain(text) or found.endswith(CUT)


@given(any_text, st.integers(3, 60))
def test_a_padded_text_is_exactly_as_wide(text, columns):
    assert width_of(padded(text, columns)) == columns


@given(any_text, st.sampled_from(["", " -  ", "Mark a    "]), st.integers(16, 80))
def test_wrapping_keeps_every_letter_and_the_width(text, first, columns):
    lines = wrapped(text, columns, first)
    assert all(width_of(line) <= columns for line in lines)
    assert lines[0].startswith(first.rstrip())
    kept = "".join("".join(lines).removeprefix(first.rstrip()).split())
    assert kept == "".join(plain(text).split())


@pytest.mark.parametrize(("text", "columns"), [
    ("lid", 3), ("蓋", 2), ("é", 1), ("e\u0301", 1), ("ﾊﾞ", 2), ("крышка", 6), ("x\u200d", 1), ("🎹", 2),
])
def test_widths_by_east_asian_width(text, columns):
    # Source: Unicode Standard Annex 11, wide and fullwidth characters take two columns.
    assert width_of(plain(text)) == columns


def test_a_name_that_turns_the_writing_round_is_disarmed():
    assert plain("lid\u202edil\x1b[31m\x0cx") == "liddil?[31m x"
