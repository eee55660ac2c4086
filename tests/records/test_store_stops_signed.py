"""Signing for a stop in the store: a finisher's PIN where one is set, limited and logged; the bench reads the same."""

from __future__ import annotations

from datetime import timedelta

import pytest
from bench_walk import PIN, demo, people
from store_examples import at

from finishplan.bench.new_line import CannotSign
from finishplan.bench.people import MOST_WRONG
from finishplan.errors import BadValue
from finishplan.records import pins
from finishplan.records.at_bench import AtBench, at_bench
from finishplan.records.bench_work import Outcome
from finishplan.records.signatures import signatures_of
from finishplan.records.signers import COMMAND, vouchers
from finishplan.records.stops_signed import sign_stop
from finishplan.records.store import SHOP_ID, Store

DONE = "eyewash walked to and run"


def sign(store: Store, bench: AtBench, who: str, pin: str = "", after: float = 1, reason: str = DONE) -> Outcome:
    return sign_stop(store, bench.job_id, bench.people, bench.unsigned[0], who, reason, pin, at(after))


@pytest.fixture
def bench(store: Store) -> AtBench:
    people(store)
    return at_bench(store, demo(store), at())


def test_what_a_finisher_signs_for_is_no_longer_shut_at_the_bench(store: Store, bench: AtBench) -> None:
    assert vouchers(store, bench.people) == ("F1", "F2")
    first = bench.unsigned[0]
    assert sign(store, bench, "F2", PIN).kept
    (one,) = signatures_of(store, bench.job_id, "stop")
    assert (one.what, one.who, one.reason, one.revision) == (first.id, "F2", DONE, bench.opened.revision)
    after = at_bench(store, bench.job_id, at(2))
    assert [c.id for c in after.unsigned] == [c.id for c in bench.unsigned[1:]]


def test_wrong_pins_are_logged_lock_the_name_and_keep_nothing(store: Store, bench: AtBench) -> None:
    for n in range(MOST_WRONG):
        out = sign(store, bench, "F1", "9999", after=n)
        assert not out.kept and "wrong PIN" in out.words
    locked = sign(store, bench, "F1", PIN, after=MOST_WRONG)
    assert not locked.kept and "F1 is locked for" in locked.words
    assert signatures_of(store, bench.job_id, "stop") == ()
    tried = pins.attempts(store, "F1")
    assert [line.tried for line in tried[:6]] == ["locked", *["wrong"] * MOST_WRONG]
    assert {line.what for line in tried[:6]} == {f"stop {bench.unsigned[0].id}"}
    assert sign(store, bench, "F2", PIN, after=MOST_WRONG).kept, "another finisher signs meanwhile"


@pytest.mark.parametrize(("who", "said"), [
    ("T1", "^T1 is our trainee, and signs for no stop; ask a finisher to look and sign$"),
    ("a trainee (invented)", "^T1 is our trainee"), ("t1", "^T1 is our trainee"),
    ("Rosa (invented)", "^Rosa .invented. has no PIN here, and a stop is signed for with one; F1 or F2 may sign$")])
def test_who_may_not_sign_where_finishers_have_pins(store: Store, bench: AtBench, who: str, said: str) -> None:
    with pytest.raises(CannotSign, match=said):
        sign(store, bench, who, PIN)
    assert signatures_of(store, bench.job_id, "stop") == () and not any(
        line.tried != pins.PIN_SET for line in pins.attempts(store))


def test_a_finisher_is_found_by_name_and_signs_under_the_short_one(store: Store, bench: AtBench) -> None:
    assert sign(store, bench, " A finisher (invented) ", PIN).kept
    assert signatures_of(store, bench.job_id, "stop")[0].who == "F1"


def test_an_owner_signs_for_no_stop_with_a_pin_either(store: Store, bench: AtBench) -> None:
    shop = store.open(SHOP_ID)
    body = {**shop.body, "people": [*shop.body["people"], {"id": "O1", "role": "owner"}]}
    store.save(SHOP_ID, body, shop.revision, "F1", at())
    pins.set_pin(store, "O1", PIN, "F1", at())
    with pytest.raises(CannotSign, match="O1 is our owner, and signs for no stop"):
        sign(store, at_bench(store, bench.job_id, at()), "O1", PIN)


def test_a_name_alone_signs_only_where_no_finisher_has_a_pin(store: Store) -> None:
    job_id = demo(store)
    empty = at_bench(store, job_id, at())
    assert empty.people == () and sign(store, empty, "Rosa (invented)").kept
    with pytest.raises(BadValue, match="name is ''; write who signs"):
        sign(store, empty, " ")
    people(store, "F1")
    with pytest.raises(CannotSign, match="has no PIN here"):
        sign(store, at_bench(store, job_id, at()), "Rosa (invented)")


def test_taking_all_signers_out_of_the_shop_opens_no_way_round_their_pins(store: Store, bench: AtBench) -> None:
    shop = store.open(SHOP_ID)
    store.save(SHOP_ID, {**shop.body, "people": []}, shop.revision, "F1", at())
    with pytest.raises(CannotSign, match=rf"^Rosa has no PIN here, .*at the machine itself: {COMMAND} NAME$"):
        sign(store, at_bench(store, bench.job_id, at()), "Rosa")


def test_too_short_a_reason_costs_no_attempt(store: Store, bench: AtBench) -> None:
    with pytest.raises(BadValue, match="reason is 'ok'; write what was done about it"):
        sign(store, bench, "F1", PIN, reason="ok")
    assert not any(line.tried == "right" for line in pins.attempts(store))


def test_signed_twice_is_one_signature_and_a_lock_ends(store: Store, bench: AtBench) -> None:
    for n in range(MOST_WRONG):
        sign(store, bench, "F1", "9999", after=n)
    later = at(MOST_WRONG) + timedelta(hours=1)
    for _ in range(2):
        assert sign_stop(store, bench.job_id, bench.people, bench.unsigned[0], "F1", DONE, PIN, later).kept
    assert len(signatures_of(store, bench.job_id, "stop")) == 1
