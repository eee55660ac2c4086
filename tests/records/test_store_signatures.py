"""Signatures of a job: only added to, once each, with who, when, why and at which revision."""

from __future__ import annotations

import pytest
from sqlalchemy import delete
from sqlalchemy.exc import IntegrityError
from store_examples import HOSTILE, at, job

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records import schema
from finishplan.records.faults import NoSuchDocument
from finishplan.records.signatures import SIGNATURE_KINDS, sign, signatures_of, stop_signatures
from finishplan.records.store import Store
from finishplan.safety.sign_off import SignOff


def test_signatures_come_back_in_order_and_by_kind(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    given = [sign(store, job_id, kind, f"what {kind}", "Ana", "looked", 1, at(n), {"n": n})
             for n, kind in enumerate(SIGNATURE_KINDS)]
    assert signatures_of(store, job_id) == tuple(given)
    assert [one.number for one in given] == [1, 2, 3, 4]
    assert signatures_of(store, job_id, "stop") == (given[1],)
    first = given[0]
    assert (first.kind, first.what, first.who, first.at) == ("hold", "what hold", "Ana", at())
    assert (first.revision, first.reason, first.body) == (1, "looked", {"n": 0})
    assert signatures_of(store, store.start(job("other"), "Ana", at()).id) == ()


def test_a_signature_sent_twice_is_one(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    one = sign(store, job_id, "hold", "lid: cold", "Ana", "", 1, at(1))
    assert sign(store, job_id, "hold", "lid: cold", "Ana", "", 1, at(2)) == one
    assert sign(store, job_id, "hold", "lid: cold", "Ben", "", 1, at(3)).number == 2
    assert sign(store, job_id, "hold", "lid: cold", "Ana", "", 2, at(4)).number == 3


def test_stops_are_read_as_the_safety_core_reads_them(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    sign(store, job_id, "stop", "M1", "Ana", "guards looked at", 1, at(1))
    sign(store, job_id, "hold", "lid: cold", "Ana", "", 1, at(2))
    assert stop_signatures(store, job_id) == (SignOff("M1", "Ana", "2026-03-02", "guards looked at", 1),)


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_text_of_people_comes_back_as_it_was(store: Store, text: str) -> None:
    job_id = store.start(job(), "Ana", at()).id
    sign(store, job_id, "hold", text, text, text, 1, at(), {"text": text})
    one = signatures_of(store, job_id)[0]
    assert (one.what, one.who, one.reason, one.body) == (text, text, text, {"text": text})


def test_what_cannot_be_signed_is_said_and_leaves_nothing(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    with pytest.raises(UnknownName, match="kind of signature is 'paper'; choose one of: hold, stop"):
        sign(store, job_id, "paper", "x", "Ana", "", 1, at())
    with pytest.raises(BadValue, match="what is signed is ' '; say what is signed for"):
        sign(store, job_id, "hold", " ", "Ana", "", 1, at())
    with pytest.raises(BadValue, match="who is ''; give the name of the person who does this"):
        sign(store, job_id, "hold", "x", "", "", 1, at())
    for revision in (-1, True):
        with pytest.raises(BadValue, match=f"revision is {revision}; give a whole number, 0 or more"):
            sign(store, job_id, "hold", "x", "Ana", "", revision, at())
    with pytest.raises(FinishplanError, match=r"the signature holds what cannot be kept .* correct it$"):
        sign(store, job_id, "hold", "x", "Ana", "", 1, at(), {"um": float("nan")})
    with pytest.raises(BadValue, match=r"length of what is signed is 1000.*; at most 100000 letters are kept"):
        sign(store, job_id, "hold", "x", "Ana", "", 1, at(), {"text": "x" * 100_000})
    with pytest.raises(NoSuchDocument):
        sign(store, "nowhere", "hold", "x", "Ana", "", 1, at())
    with pytest.raises(NoSuchDocument):
        signatures_of(store, "nowhere")
    assert signatures_of(store, job_id) == ()


def test_a_job_with_signatures_cannot_be_taken_out_from_under_them(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    sign(store, job_id, "hold", "lid: cold", "Ana", "", 1, at())
    with pytest.raises(IntegrityError), store.engine.begin() as connection:
        connection.execute(delete(schema.document).where(schema.document.c.id == job_id))
    assert len(signatures_of(store, job_id)) == 1
