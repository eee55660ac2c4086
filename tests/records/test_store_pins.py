"""PINs in the store: hashes only, each attempt counted and told, however many try at once."""

from __future__ import annotations

import threading
from datetime import timedelta

import pytest
from store_examples import QUICK, at, furnished

from finishplan.bench.people import MOST_WRONG, NoSuchPin, PinState
from finishplan.errors import BadValue, UnknownName
from finishplan.records.pins import (
    attempts,
    people_with_pins,
    pin_state,
    set_pin,
    sign_with_pin,
    try_pin,
)
from finishplan.records.store import Store
from finishplan.shop.shop_file import Person

PEOPLE = (Person(id="Ana"), Person(id="Tim", role="trainee"))


def test_a_pin_is_kept_as_its_hash_and_found_again(store: Store) -> None:
    assert people_with_pins(store) == frozenset() and pin_state(store, "Ana") == PinState("Ana")
    set_pin(store, "Ana", "4711", "Ben", at(), QUICK)
    kept = pin_state(store, "Ana").pin_hash
    assert kept is not None and kept.startswith("$argon2id$") and "4711" not in kept
    assert people_with_pins(store) == {"Ana"}
    assert try_pin(store, "Ana", "4711", at(1), hasher=QUICK).right
    set_pin(store, "Ana", "8035", "Ana", at(2), QUICK)
    assert not try_pin(store, "Ana", "4711", at(3), hasher=QUICK).right
    assert try_pin(store, "Ana", "8035", at(4), hasher=QUICK).right


def test_wrong_ones_are_counted_in_the_store_and_lock(store: Store) -> None:
    set_pin(store, "Ana", "4711", "Ben", at(), QUICK)
    told = [try_pin(store, "Ana", "9990", at(1), "lid: cold", QUICK) for _ in range(MOST_WRONG)]
    assert told[0].words == "wrong PIN; 4 more wrong ones lock the name"
    assert told[-1].words == "wrong PIN; Ana is locked for 5 min more; somebody else may sign"
    assert try_pin(store, "Ana", "4711", at(3), "lid: cold", QUICK).attempt.tried == "locked"
    assert pin_state(store, "Ana").locked_until == at(1) + timedelta(minutes=5)
    assert try_pin(store, "Ana", "4711", at(7), "lid: cold", QUICK).right
    assert pin_state(store, "Ana").wrong == 0


def test_every_attempt_is_told_and_none_holds_a_pin(store: Store) -> None:
    try_pin(store, "Ana", "4711", at(), "lid: cold", QUICK)
    set_pin(store, "Ana", "4711", "Ben", at(1), QUICK)
    try_pin(store, "Ana", "4712", at(2), "lid: cold", QUICK)
    try_pin(store, "Ana", "4711", at(3), "lid: cold", QUICK)
    lines = attempts(store)
    assert [(line.tried, line.who, line.at) for line in lines] == [
        ("right", "Ana", at(3)), ("wrong", "Ana", at(2)), ("set", "Ben", at(1)), ("no PIN", "Ana", at())]
    assert [line.number for line in lines] == [4, 3, 2, 1] and lines[0].what == "lid: cold"
    assert not any("471" in str(line) for line in lines)
    assert attempts(store, "Ana", limit=1) == lines[:1] and attempts(store, "Tim") == ()


def test_a_trainee_cannot_sign_and_their_pin_is_not_looked_at(store: Store) -> None:
    set_pin(store, "Tim", "4711", "Ben", at(), QUICK)
    set_pin(store, "Ana", "8035", "Ben", at(), QUICK)
    tim = sign_with_pin(store, PEOPLE, "Tim", "4711", at(1), "lid: cold", QUICK)
    assert not tim.signed and "a trainee cannot sign; ask a finisher to look and sign" in tim.words
    assert [line.tried for line in attempts(store, "Tim")] == ["set"]
    assert sign_with_pin(store, PEOPLE, "Ana", "8035", at(2), "lid: cold", QUICK).signed
    assert not sign_with_pin(store, PEOPLE, "Ana", "8036", at(3), "lid: cold", QUICK).signed
    with pytest.raises(UnknownName, match="nobody"):
        sign_with_pin(store, PEOPLE, "nobody", "8035", at(4), "lid: cold", QUICK)


def test_what_cannot_be_set_leaves_the_old_one(store: Store) -> None:
    set_pin(store, "Ana", "4711", "Ben", at(), QUICK)
    with pytest.raises(NoSuchPin, match="a PIN is 4 to 12 digits, 0 to 9; type another"):
        set_pin(store, "Ana", "12", "Ben", at(1), QUICK)
    with pytest.raises(BadValue, match="who is ' '; give the name of the person who does this"):
        set_pin(store, " ", "4711", "Ben", at(1), QUICK)
    assert try_pin(store, "Ana", "4711", at(2), hasher=QUICK).right


def test_many_trying_at_once_get_no_more_attempts(store: Store) -> None:
    set_pin(store, "Ana", "4711", "Ben", at(), QUICK)
    tried: list[str] = []

    def guess(number: int) -> None:
        tried.append(try_pin(store, "Ana", f"90{number:02}", at(1), "guess", QUICK).attempt.tried)

    people = [threading.Thread(target=guess, args=(number,)) for number in range(12)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert sorted(tried) == ["locked"] * (12 - MOST_WRONG) + ["wrong"] * MOST_WRONG
    assert [line.number for line in attempts(store)] == list(range(13, 0, -1))


def test_no_list_of_jobs_or_history_shows_a_pin(store: Store) -> None:
    job_id = furnished(store)
    told = [store.jobs(), store.history(job_id), store.open(job_id), store.history("shop")]
    assert "argon2" not in str(told) and "4711" not in str(told)
