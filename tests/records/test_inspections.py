"""Two people at one inspection: every field is a row of its own, and two values for one field are both told."""

from __future__ import annotations

import json
import random
import threading

import pytest
from store_examples import at, job

from finishplan.errors import FinishplanError, UnknownName
from finishplan.records import backup, restore
from finishplan.records.faults import NoSuchDocument
from finishplan.records.inspections import Entry, contested, inspected, replayed, type_in, values_of
from finishplan.records.store import Store


@pytest.fixture
def job_id(store: Store) -> str:
    return store.start(job(), "Ana", at()).id


def entry(number: int, value: object, read: int, who: str = "Ana", field: str = "face_gu") -> Entry:
    return Entry(number, "lid", field, value, read, who, at(number).isoformat())


def test_different_fields_of_two_people_are_both_kept(store: Store, job_id: str) -> None:
    type_in(store, job_id, "lid", "face_gu", 88.0, 0, "Ana", at(1))
    type_in(store, job_id, "lid", "neighbour_gu", 90.0, 0, "Ben", at(2))
    type_in(store, job_id, "rim", "note", "wave", 0, "Ben", at(3))
    panels = inspected(store, job_id)
    assert values_of(panels["lid"]) == {"face_gu": 88.0, "neighbour_gu": 90.0}
    assert values_of(panels["rim"]) == {"note": "wave"} and contested(panels["lid"]) == ()


def test_two_values_for_one_field_are_both_kept_until_one_is_chosen(store: Store, job_id: str) -> None:
    type_in(store, job_id, "lid", "face_gu", 88.0, 0, "Ana", at(1))
    held = type_in(store, job_id, "lid", "face_gu", 80.0, 0, "Ben", at(2))
    assert (held.stands.value, held.stands.who) == (88.0, "Ana")
    assert [(one.value, one.who) for one in held.beside] == [(80.0, "Ben")]
    assert contested(inspected(store, job_id)["lid"]) == ("face_gu",)
    retyped = type_in(store, job_id, "lid", "face_gu", 89.0, held.stands.number, "Ana", at(3))
    assert retyped.stands.value == 89.0 and [one.value for one in retyped.beside] == [80.0], "Ana saw nothing of Ben's"
    chosen = type_in(store, job_id, "lid", "face_gu", 80.0, retyped.latest, "Ana", at(4))
    assert chosen.stands.value == 80.0 and chosen.beside == []


def test_the_same_value_typed_by_two_is_no_difference(store: Store, job_id: str) -> None:
    type_in(store, job_id, "lid", "image_rating", 4, 0, "Ana", at(1))
    assert type_in(store, job_id, "lid", "image_rating", 4, 0, "Ben", at(2)).beside == []


def test_photos_of_two_people_are_gathered(store: Store, job_id: str) -> None:
    type_in(store, job_id, "lid", "photos_after", ["a", "b"], 0, "Ana", at(1))
    held = type_in(store, job_id, "lid", "photos_after", ["b", "c"], 0, "Ben", at(2))
    assert held.stands.value == ["a", "b", "c"] and held.beside == []


def test_what_an_older_version_kept_in_one_piece_is_read_and_built_on(store: Store, job_id: str) -> None:
    store.remember(f"inspection of {job_id}", json.dumps({"lid": {"face_gu": 87.0, "note": "old"}}))
    held = type_in(store, job_id, "lid", "face_gu", 88.0, 0, "Ana", at(1))
    assert held.stands.value == 88.0 and held.beside == []
    assert values_of(inspected(store, job_id)["lid"]) == {"face_gu": 88.0, "note": "old"}


def test_what_cannot_be_is_refused_and_nothing_is_kept(store: Store, job_id: str) -> None:
    with pytest.raises(FinishplanError, match="image_rating is 6"):
        type_in(store, job_id, "lid", "image_rating", 6, 0, "Ana", at())
    with pytest.raises(UnknownName, match="field of an inspection is 'gloss'"):
        type_in(store, job_id, "lid", "gloss", 6, 0, "Ana", at())
    with pytest.raises(NoSuchDocument):
        type_in(store, "gone", "lid", "image_rating", 5, 0, "Ana", at())
    assert inspected(store, job_id) == {}


@pytest.mark.parametrize("seed", range(60))
def test_no_value_that_stood_unseen_by_others_ever_vanishes(seed: int) -> None:
    """People type over what they see or saw a while ago: a value stands, waits, or was seen and settled."""
    rng, entries, seen = random.Random(seed), list[Entry](), {"Ana": 0, "Ben": 0}
    for number in range(1, 30):
        who = rng.choice(sorted(seen))
        held = replayed(entries).get("lid", {}).get("face_gu")
        if held is not None and rng.random() < 0.5:
            seen[who] = held.stands.number
        new = entry(number, float(rng.randint(1, 6)), seen[who], who)
        entries.append(new)
        after = replayed(entries)["lid"]["face_gu"]
        told = [after.stands.value, *(one.value for one in after.beside)]
        assert new.value in told, "what was just typed is told"
        assert len(told) == len(set(told))
        if held is not None and seen[who] != held.latest:
            assert {one.value for one in held.beside} <= set(told), "what waits goes on waiting"
            if seen[who] != held.stands.number:
                assert held.stands.value == after.stands.value, "and nothing is overwritten unseen"
        if after.stands.number == number:
            seen[who] = number


def test_many_threads_lose_nothing(store: Store, job_id: str) -> None:
    def write(who: int) -> None:
        for number in range(8):
            type_in(store, job_id, f"panel {who}", "face_gu", float(number), number_of.get(who, 0), "Ana", at(number))
            held = inspected(store, job_id)[f"panel {who}"]["face_gu"]
            number_of[who] = held.stands.number

    number_of: dict[int, int] = {}
    threads = [threading.Thread(target=write, args=(who,)) for who in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    panels = inspected(store, job_id)
    assert {panel: values_of(fields) for panel, fields in panels.items()} == {
        f"panel {who}": {"face_gu": 7.0} for who in range(5)}
    assert all(not contested(fields) for fields in panels.values())


def test_a_backup_brings_them_back(store: Store, job_id: str) -> None:
    type_in(store, job_id, "lid", "note", "before", 0, "Ana", at(1))
    file = store.where.folder / "a.zip"
    backup.make_backup(store, file, at(2))
    type_in(store, job_id, "lid", "note", "after", 1, "Ana", at(3))
    restore.restore(store, file, at(4))
    assert values_of(inspected(store, job_id)["lid"]) == {"note": "before"}
