"""Drawings stand as they were last looked at; how to renew them stands in ``drawing_snapshots``."""

from __future__ import annotations

import pytest
from drawing_snapshots import DRAWINGS, KEPT, lines_of
from drawn import outside, read

MOST_LETTERS = 20_000


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_is_as_it_was_looked_at(name: str) -> None:
    kept = (KEPT / f"{name}.svg").read_text(encoding="utf-8")
    assert lines_of(DRAWINGS[name]()) == kept, "look at it; if it is meant, run python tests/paper/drawing_snapshots.py"
    assert len(kept) < MOST_LETTERS
    read(kept)
    assert outside(kept) == []


def test_no_drawing_is_kept_that_nobody_makes() -> None:
    assert {path.name for path in KEPT.iterdir()} == {f"{name}.svg" for name in DRAWINGS}
