"""A program killed in the middle of any write loses nothing that it acknowledged."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from kill_rounds import KINDS, Nursery, rounds

ROUNDS = {"save": 16, "log": 6, "photo": 6, "backup": 6, "restore": 8, "migrate": 6, "bench": 4, "quote sent": 5,
          "inspection": 5}


def test_every_kind_of_write_is_killed() -> None:
    assert ROUNDS.keys() == KINDS.keys()


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    if not hasattr(os, "fork"):
        pytest.skip("the program to be killed is forked, which this system cannot do")
    with Nursery() as made:
        yield made


@pytest.mark.parametrize("kind", ROUNDS)
def test_nothing_acknowledged_is_lost(nursery: Nursery, kind: str) -> None:
    assert rounds(nursery, kind, ROUNDS[kind]) > 0, "no round lived long enough to keep anything"
