"""PINs and signatures: hashed, few attempts, every one told, and no trainee signs."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from argon2 import PasswordHasher, Type, extract_parameters
from hypothesis import given, settings
from hypothesis import strategies as st

from finishplan.bench.people import (
    HASHER,
    LOCK_MIN,
    LOCK_MOST_MIN,
    MOST_WRONG,
    TRIED,
    NoSuchPin,
    PinState,
    check_pin,
    is_right,
    lock_min,
    person_of,
    set_pin,
    sign,
    try_pin,
)
from finishplan.errors import BadValue, UnknownName
from finishplan.shop.shop_file import Person

QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
"""A hasher that is quick and weak: for tests only."""
SALT = bytes(range(16))
NINE = datetime.fromisoformat("2031-05-12T09:00:00+02:00")
PIN = "4711"
PEOPLE = (Person(id="F1", name="a finisher"), Person(id="F2", name="twin"), Person(id="F3", name="twin"),
          Person(id="T1", name="a trainee", role="trainee"))


def kept(pin: str = PIN, person: str = "F1") -> PinState:
    return set_pin(person, pin, SALT, QUICK)


def wrong_times(state: PinState, times: int, now: datetime = NINE) -> PinState:
    for _ in range(times):
        state = try_pin(state, "9990", now, QUICK).state
    return state


def test_a_pin_is_kept_as_an_argon2id_hash_only() -> None:
    state = set_pin("F1", PIN, SALT)
    assert state.pin_hash is not None
    found = extract_parameters(state.pin_hash)
    assert found.type is Type.ID
    # RFC 9106, the second recommended option: 3 passes, 64 MiB, 4 lanes.
    assert (found.time_cost, found.memory_cost, found.parallelism, found.salt_len) == (3, 65536, 4, 16)
    assert PIN not in str(asdict(state))
    assert is_right(state.pin_hash, PIN, HASHER)
    assert not is_right(state.pin_hash, "4712", HASHER)


def test_another_salt_is_another_hash() -> None:
    assert kept().pin_hash != set_pin("F1", PIN, bytes(16), QUICK).pin_hash
    with pytest.raises(BadValue, match="salt is '3 bytes'; hand in 16 random bytes"):
        set_pin("F1", PIN, b"abc", QUICK)


@pytest.mark.parametrize("damaged", ["", "x", "$argon2id$v=19$m=8,t=1,p=1$broken", "$argon2id$v=19$m=8,t=1,p=1$AA$AA"])
def test_a_damaged_hash_fits_no_pin(damaged: str) -> None:
    assert not is_right(damaged, PIN, QUICK)


@pytest.mark.parametrize("pin", ["", "471", "4711471147114", "47a1", "47 1", "-471", "٤٧١١", "0000", "7777777", "1234",
                                 "4321", "7890", "2109"])
def test_pins_that_cannot_be_set(pin: str) -> None:
    with pytest.raises(NoSuchPin) as caught:
        set_pin("F1", pin, SALT, QUICK)
    assert not pin or pin not in str(caught.value)
    assert "type another" in str(caught.value)


@pytest.mark.parametrize("pin", ["4711", "1357", "112233445566", "0102"])
def test_pins_that_can(pin: str) -> None:
    assert check_pin(pin) == pin
    assert try_pin(kept(pin), pin, NINE, QUICK).right


def test_a_wrong_pin_says_how_many_are_left() -> None:
    state, said = kept(), []
    for _ in range(MOST_WRONG):
        tried = try_pin(state, "9990", NINE, QUICK)
        state = tried.state
        said.append(tried.words)
        assert (tried.right, tried.attempt.tried, tried.attempt.at) == (False, "wrong", NINE)
    assert said == ["wrong PIN; 4 more wrong ones lock the name", "wrong PIN; 3 more wrong ones lock the name",
                    "wrong PIN; 2 more wrong ones lock the name", "wrong PIN; one more wrong one locks the name",
                    "wrong PIN; F1 is locked for 5 min more; somebody else may sign"]


def test_a_locked_name_looks_at_no_pin_and_opens_again() -> None:
    state = wrong_times(kept(), MOST_WRONG)
    inside = NINE + timedelta(minutes=LOCK_MIN) - timedelta(seconds=1)
    for pin in (PIN, "9990"):
        tried = try_pin(state, pin, inside, QUICK)
        assert (tried.right, tried.attempt.tried, tried.state) == (False, "locked", state)
        assert tried.words == "F1 is locked for 1 min more; somebody else may sign"
    assert try_pin(state, PIN, NINE + timedelta(minutes=LOCK_MIN), QUICK).right


def test_every_further_wrong_pin_locks_for_twice_as_long() -> None:
    state, now, locks = wrong_times(kept(), MOST_WRONG - 1), NINE, []
    for _ in range(12):
        state = try_pin(state, "9990", now, QUICK).state
        assert state.locked_until is not None
        locks.append((state.locked_until - now).total_seconds() / 60.0)
        now = state.locked_until
    assert locks[:3] == [5.0, 10.0, 20.0]
    assert locks[-1] == LOCK_MOST_MIN
    assert locks == sorted(locks)
    assert lock_min(10_000) == LOCK_MOST_MIN


def test_a_right_pin_starts_afresh() -> None:
    state = try_pin(wrong_times(kept(), MOST_WRONG - 1), PIN, NINE, QUICK).state
    assert state == kept()
    assert wrong_times(state, MOST_WRONG - 1).locked_until is None


def test_a_long_lock_is_told_in_hours() -> None:
    state = replace(kept(), wrong=12, locked_until=NINE + timedelta(minutes=640))
    assert try_pin(state, PIN, NINE, QUICK).words == "F1 is locked for 11 h more; somebody else may sign"


def test_without_a_pin_nobody_is_right() -> None:
    tried = try_pin(PinState("F1"), "4711", NINE, QUICK)
    assert (tried.right, tried.attempt.tried) == (False, "no PIN")
    assert tried.words == "F1 has no PIN yet; set one on the Shop page"


@settings(max_examples=60)
@given(st.lists(st.tuples(st.booleans(), st.integers(0, 600)), max_size=25))
def test_from_the_fifth_on_wrong_pins_are_looked_at_minutes_apart(tries: list[tuple[bool, int]]) -> None:
    state, now, in_a_row = kept(), NINE, list[datetime]()
    for right, later in tries:
        now += timedelta(seconds=later)
        tried = try_pin(state, PIN if right else "9990", now, QUICK)
        assert tried.attempt.tried in TRIED
        assert tried.right == (right and tried.attempt.tried != "locked")
        if tried.attempt.tried == "wrong":
            in_a_row.append(now)
        elif tried.right:
            in_a_row = []
        assert tried.state.wrong == len(in_a_row)
        waits = [(b - a).total_seconds() / 60.0 for a, b in pairwise(in_a_row[MOST_WRONG - 1:])]
        assert all(wait >= lock_min(MOST_WRONG + k) for k, wait in enumerate(waits))
        state = tried.state


def test_a_finisher_signs_with_their_pin() -> None:
    done = sign(PEOPLE, "F1", kept(), PIN, NINE, QUICK)
    assert (done.signed, done.words) == (True, "")
    assert done.attempt is not None
    assert (done.attempt.person, done.attempt.tried) == ("F1", "right")
    failed = sign(PEOPLE, "F1", kept(), "9990", NINE, QUICK)
    assert (failed.signed, failed.state.wrong) == (False, 1)
    assert failed.words == "wrong PIN; 4 more wrong ones lock the name"


def test_a_trainee_cannot_sign_right_pin_or_not() -> None:
    state = kept(person="T1")
    for pin in (PIN, "9990"):
        found = sign(PEOPLE, "T1", state, pin, NINE, QUICK)
        assert (found.signed, found.attempt, found.state) == (False, None, state)
        assert found.words == "T1 is a trainee, and a trainee cannot sign; ask a finisher to look and sign"


def test_who_signs_is_one_of_the_shop() -> None:
    assert person_of(PEOPLE, "a finisher").id == "F1"
    for who in ("nobody", "twin"):
        with pytest.raises(UnknownName, match=f"people of the shop: person is '{who}'; choose one of: F1, F2, F3, T1"):
            sign(PEOPLE, who, kept(), PIN, NINE, QUICK)
    with pytest.raises(BadValue, match="signing: PIN is 'F2'; hand in what is kept of F1"):
        sign(PEOPLE, "F1", kept(person="F2"), PIN, NINE, QUICK)
