"""Who may sign: the first is free; from then on a signer says yes to every other, whichever way they come in."""

from __future__ import annotations

import pytest
from store_examples import QUICK, at

from finishplan.bench.people import NoSuchPin
from finishplan.errors import FinishplanError
from finishplan.records import passphrase, pins, signers
from finishplan.records.signers import NotVouched, changed_words, give_pin, guarded, vouchers
from finishplan.records.store import SHOP_ID, Store
from finishplan.shop.shop_file import Person

PEOPLE = (Person(id="Ana"), Person(id="Ben"), Person(id="Tom", role="trainee"), Person(id="Olga", role="owner"))


def named(store: Store) -> None:
    body = store.shop("Ana", at()).body
    store.save(SHOP_ID, {**body, "people": [one.model_dump(exclude_none=True) for one in PEOPLE]}, 1, "Ana", at())


def test_the_first_pin_is_free_and_every_other_is_vouched_for(store: Store) -> None:
    named(store)
    assert not guarded(store) and vouchers(store, PEOPLE) == ()
    give_pin(store, PEOPLE, "Ana", "4711", None, "Tom", at(1), QUICK)
    assert guarded(store) and vouchers(store, PEOPLE) == ("Ana",)
    with pytest.raises(NotVouched, match="a finisher who has a PIN says yes to the PIN of Ben; where nobody has one "
                       "any more, type at the machine itself: finishplan passphrase --signer NAME"):
        give_pin(store, PEOPLE, "Ben", "2580", None, "Tom", at(2), QUICK)
    for by, said in ((("Ana", "4712"), "Ana: wrong PIN; 4 more wrong ones lock the name"),
                     (("Tom", "4711"), "Tom: Tom is a trainee"), (("Ben", "2580"), "Ben: Ben has no PIN yet")):
        with pytest.raises(NotVouched, match=said):
            give_pin(store, PEOPLE, "Ben", "2580", by, "Tom", at(3), QUICK)
    assert vouchers(store, PEOPLE) == ("Ana",)
    give_pin(store, PEOPLE, "Ben", "2580", ("Ana", "4711"), "Tom", at(4), QUICK)
    give_pin(store, PEOPLE, "Ana", "9137", ("Ana", "4711"), "Ana", at(5), QUICK)
    give_pin(store, PEOPLE, "Ana", "8026", ("Ben", "2580"), "Ana", at(6), QUICK)
    assert pins.try_pin(store, "Ana", "8026", at(7), hasher=QUICK).right
    assert [line.wording for line in store.history(SHOP_ID, 4)] == [
        "PIN of Ana set by Ben", "PIN of Ana set by Ana", "PIN of Ben set by Ana", "PIN of Ana set by Tom"]
    assert [(line.tried, line.what) for line in pins.attempts(store, "Ben")][:2] == [
        ("right", "PIN of Ana"), ("set", "")]
    assert not any(pin in str(store.history(SHOP_ID)) + str(pins.attempts(store)) for pin in ("4711", "2580", "8026"))


def test_wrong_yeses_lock_as_wrong_signatures_do(store: Store) -> None:
    named(store)
    give_pin(store, PEOPLE, "Ana", "4711", None, "Ana", at(1), QUICK)
    for _ in range(5):
        with pytest.raises(NotVouched, match="Ana: wrong PIN"):
            give_pin(store, PEOPLE, "Ben", "2580", ("Ana", "9990"), "Tom", at(2), QUICK)
    with pytest.raises(NotVouched, match="Ana is locked for 5 min more"):
        give_pin(store, PEOPLE, "Ben", "2580", ("Ana", "4711"), "Tom", at(2), QUICK)
    assert [line.tried for line in pins.attempts(store, "Ana")] == ["locked", *["wrong"] * 5, "set"]


def test_the_guard_stays_when_all_signers_are_taken_out_and_the_machine_names_one(store: Store) -> None:
    named(store)
    give_pin(store, PEOPLE, "Ana", "4711", None, "Ana", at(1), QUICK)
    alone = (Person(id="Tom"),)
    assert vouchers(store, alone) == () and guarded(store)
    with pytest.raises(NotVouched, match="type at the machine itself"):
        give_pin(store, alone, "Tom", "2580", None, "Tom", at(2), QUICK)
    signers.name_signer(store, "Ben", "2580", at(3), QUICK)
    assert vouchers(store, PEOPLE) == ("Ana", "Ben")
    signers.name_signer(store, "Tom", "8026", at(4), QUICK)
    assert "Tom" in signers.finishers(store.shop("x", at()).body)
    assert [line.wording for line in store.history(SHOP_ID, 3)] == [
        "PIN of Tom set at the machine itself", "Tom, finisher, named at the machine itself",
        "PIN of Ben set at the machine itself"]


def test_a_pin_is_for_who_signs_and_a_bad_one_asks_nobody(store: Store) -> None:
    named(store)
    with pytest.raises(FinishplanError, match="Tom is our trainee and signs nothing: a PIN is for a finisher"):
        give_pin(store, PEOPLE, "Tom", "4711", None, "Tom", at(1), QUICK)
    give_pin(store, PEOPLE, "Ana", "4711", None, "Ana", at(1), QUICK)
    with pytest.raises(NoSuchPin, match="a PIN is 4 to 12 digits"):
        give_pin(store, PEOPLE, "Ben", "25", ("Ana", "4711"), "Ana", at(2), QUICK)
    assert [line.tried for line in pins.attempts(store)] == ["set"]


def test_the_passphrase_of_the_shop_is_no_signer(store: Store) -> None:
    passphrase.set_passphrase(store, "green felt and glue", "x", at(), QUICK)
    assert not guarded(store)


@pytest.mark.parametrize(("before", "after", "said"), [
    ([], [{"id": "A"}], ("A will sign as a finisher.",)),
    ([{"id": "A"}], [{"id": "A", "role": "trainee"}], ("A will sign no longer.",)),
    ([{"id": "A", "role": "owner"}], [{"id": "A", "role": "finisher"}], ("A will sign as a finisher.",)),
    ([{"id": "A"}], [{"id": "A", "name": "a finisher (invented)"}, {"id": "T", "role": "trainee"}], ()),
])
def test_what_a_change_does_to_those_who_sign(
    before: list[dict[str, str]], after: list[dict[str, str]], said: tuple[str, ...]
) -> None:
    assert changed_words({"people": before}, {"people": after}) == said


def test_undo_and_redo_are_looked_at_before_they_are_done(store: Store) -> None:
    store.shop("Ana", at())
    assert signers.after_undo(store) is None and signers.after_undo(store, redo=True) is None
    named(store)
    assert signers.finishers(signers.after_undo(store) or {"people": [{"id": "?"}]}) == ()
    store.undo(SHOP_ID, 2, "Ana", at(1))
    assert signers.finishers(signers.after_undo(store, redo=True) or {}) == ("Ana", "Ben")
