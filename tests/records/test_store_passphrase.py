"""The shop's passphrase in the store: a hash only, few attempts, and a new one ends what the old one opened."""

from __future__ import annotations

from datetime import timedelta

import pytest
from store_examples import QUICK, at

from finishplan.bench.people import MOST_WRONG
from finishplan.records import passphrase, pins
from finishplan.records.store import Store

GOOD, OTHER = "green felt and glue", "maple rim and spruce"


def test_it_is_kept_as_a_hash_and_opens(store: Store) -> None:
    assert not passphrase.is_set(store) and passphrase.mark(store) == ""
    passphrase.set_passphrase(store, GOOD, "Ana", at(), QUICK)
    kept = pins.pin_state(store, passphrase.NAME).pin_hash
    assert kept is not None and kept.startswith("$argon2id$") and GOOD not in kept
    assert passphrase.try_passphrase(store, GOOD, at(), QUICK).right
    wrong = passphrase.try_passphrase(store, OTHER, at(), QUICK)
    assert not wrong.right and wrong.words == "That is not the shop's passphrase."


def test_another_passphrase_has_another_mark(store: Store) -> None:
    passphrase.set_passphrase(store, GOOD, "Ana", at(), QUICK)
    first = passphrase.mark(store)
    passphrase.set_passphrase(store, GOOD, "Ana", at(), QUICK)
    assert passphrase.mark(store) != first, "even the same words, set again, end what was open"


def test_too_many_wrong_ones_lock_and_the_right_one_waits(store: Store) -> None:
    passphrase.set_passphrase(store, GOOD, "Ana", at(), QUICK)
    for _ in range(MOST_WRONG):
        told = passphrase.try_passphrase(store, OTHER, at(), QUICK)
    assert told.words.startswith("Too many wrong passphrases. Nobody comes in from here for 5 min")
    assert not passphrase.try_passphrase(store, GOOD, at(), QUICK).right
    assert passphrase.try_passphrase(store, GOOD, at() + timedelta(minutes=6), QUICK).right
    assert len(pins.attempts(store, passphrase.NAME)) == MOST_WRONG + 3


@pytest.mark.parametrize(("phrase", "said"), [
    ("short", "a passphrase has 10 to 200 letters"), ("x" * 201, "a passphrase has 10 to 200 letters"),
    ("aaaaaaaaaaaaaaa", "a passphrase has 5 different letters at least"),
])
def test_a_weak_one_is_refused_and_not_repeated(store: Store, phrase: str, said: str) -> None:
    with pytest.raises(passphrase.NoSuchPassphrase, match=said) as refused:
        passphrase.set_passphrase(store, phrase, "Ana", at(), QUICK)
    assert phrase not in str(refused.value) or phrase == "short"
    assert not passphrase.is_set(store)
