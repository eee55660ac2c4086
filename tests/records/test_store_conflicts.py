"""Two people at one job: told by name, both kept, nobody overwritten."""

from __future__ import annotations

import copy
import re
import threading
from typing import Any

import pytest
from store_examples import at, job, readings, with_reading, zone

from finishplan.records.conflicts import Conflict, Joined, join
from finishplan.records.store import Store, open_store


def test_a_conflict_names_who_what_when_and_keeps_both(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    theirs = store.change(made.id, with_reading(412), "Ben", at(1))
    mine = {**made.body, "due": "2026-04-01"}
    when = at(1).astimezone().strftime("%Y-%m-%d %H:%M")
    text = (
        f"Ben saved revision 2 on {when} (panel 'lid', zone 'field': reading 412 um (ultrasonic) added) after you "
        "opened revision 1; yours is kept as revision 3; look at both and choose"
    )
    with pytest.raises(Conflict, match=f"^{re.escape(text)}$") as told:
        store.save(made.id, mine, 1, "Ana", at(2))
    conflict = told.value
    assert (conflict.theirs, conflict.mine, conflict.base) == (theirs, mine, made.body)
    assert conflict.they_changed() == ("panel 'lid', zone 'field': reading 412 um (ultrasonic) added",)
    assert conflict.i_changed() == ("due set to '2026-04-01'",)
    assert store.open(made.id).body == theirs.body, "theirs stands"
    beside = store.open_revision(made.id, 3)
    assert (beside.body, beside.is_head, beside.who) == (mine, False, "Ana")
    assert beside.wording == "kept beside: due set to '2026-04-01'"


def test_mine_can_be_chosen_afterwards(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    store.change(made.id, with_reading(412), "Ben", at(1))
    with pytest.raises(Conflict) as told:
        store.save(made.id, job("mine"), 1, "Ana", at(2))
    assert told.value.beside is not None
    chosen = store.go_back(made.id, told.value.beside, told.value.theirs.revision, "Ana", at(3))
    assert chosen.body == job("mine")
    assert len(readings(store.undo(made.id, chosen.revision, "Ana", at(4)).body)) == 1


def test_both_can_be_joined_where_they_touch_different_things(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    store.change(made.id, with_reading(412), "Ben", at(1))
    mine = with_reading(398)(copy.deepcopy({**made.body, "due": "2026-04-01"}))
    with pytest.raises(Conflict) as told:
        store.save(made.id, mine, 1, "Ana", at(2))
    joined = told.value.joined()
    assert joined is not None and joined.clashes == ()
    saved = store.save(made.id, joined.body, told.value.theirs.revision, "Ana", at(3))
    assert saved.body["due"] == "2026-04-01"
    assert [entry["um"] for entry in readings(saved.body)] == [412, 398]


def test_the_same_edit_twice_is_no_conflict(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    first = store.save(made.id, job("b"), 1, "Ben", at(1))
    assert store.save(made.id, job("b"), 1, "Ana", at(2)) == first
    assert len(store.history(made.id)) == 2


def test_undo_of_what_one_has_not_seen_is_told(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.save(made.id, job("b"), 1, "Ana", at(1))
    store.save(made.id, job("c"), 2, "Ben", at(2))
    text = r"Ben saved revision 3 .* after you opened revision 2; look at it first"
    with pytest.raises(Conflict, match=text) as told:
        store.undo(made.id, 2, "Ana", at(3))
    assert (told.value.mine, told.value.beside, told.value.joined()) == (None, None, None)
    with pytest.raises(Conflict):
        store.redo(made.id, 2, "Ana", at(3))
    assert store.open(made.id).title == "c" and len(store.history(made.id)) == 3


@pytest.mark.parametrize(("base", "mine", "theirs", "body", "clashes"), [
    ({"a": 1}, {"a": 2}, {"a": 1}, {"a": 2}, ()),
    ({"a": 1}, {"a": 1}, {"a": 3}, {"a": 3}, ()),
    ({"a": 1}, {"a": 2}, {"a": 3}, {"a": 3}, ("a",)),
    ({"a": 1}, {}, {"a": 1, "b": 2}, {"b": 2}, ()),
    ({"a": 1}, {}, {"a": 2}, {"a": 2}, ("a",)),
    ({"a": 1}, {"a": 2}, {}, {"a": 2}, ("a",)),
    ({}, {"a": {"x": 1}}, {"a": {"y": 2}}, {"a": {"x": 1}}, ("a",)),
    ({"a": {}}, {"a": {"x": 1}}, {"a": {"y": 2}}, {"a": {"x": 1, "y": 2}}, ()),
    ({"r": [1]}, {"r": [1, 2]}, {"r": [1, 3]}, {"r": [1, 3, 2]}, ()),
    ({"r": [1, 2]}, {"r": [1]}, {"r": [1, 2, 3]}, {"r": [1, 2, 3]}, ("r",)),
    ({}, {"r": [2]}, {"r": [3]}, {"r": [3, 2]}, ()),
])
def test_join_by_cases(base: Any, mine: Any, theirs: Any, body: Any, clashes: tuple[str, ...]) -> None:
    joined = join("job", base, mine, theirs)
    if body == {"a": {"x": 1}}:
        assert joined.clashes == clashes and joined.body == theirs
        return
    assert (joined.body, joined.clashes) == (body, clashes)


def test_entries_without_names_are_joined_by_their_order() -> None:
    base = {"services": [{"zones": [{"zone": "field"}]}]}
    mine = {"services": [{"zones": [{"zone": "field"}]}, {"zones": []}]}
    theirs = {"services": [{"zones": [{"zone": "field"}, {"zone": "edge"}]}]}
    assert join("job", base, mine, theirs) == Joined({"services": theirs["services"]}, ("services",))
    grown = {"zones": [{"zone": "a"}, {"zone": "b"}]}
    assert join("job", {"zones": [{"zone": "a"}]}, grown, {"zones": [{"zone": "a"}, {"zone": "c"}]}).body == {
        "zones": [{"zone": "a"}, {"zone": "c"}, {"zone": "b"}]}


def test_join_goes_by_the_names_of_panels_and_zones() -> None:
    base = job()
    mine, theirs = copy.deepcopy(base), copy.deepcopy(base)
    mine["panels"][0]["zones"][1]["area_m2"] = 0.07
    mine["panels"].append({"name": "rim", "zones": [zone()]})
    theirs["panels"].insert(0, {"name": "leg", "zones": [zone()]})
    del theirs["panels"][1]["zones"][0]
    joined = join("job", base, mine, theirs)
    assert joined.clashes == ()
    assert [panel["name"] for panel in joined.body["panels"]] == ["leg", "lid", "rim"]
    assert joined.body["panels"][1]["zones"] == [zone("front edge", kind="edge", area_m2=0.07)]
    theirs["panels"][1]["zones"][0]["area_m2"] = 0.08
    assert join("job", base, mine, theirs).clashes == ("panels, lid, zones, front edge, area_m2",)


EDITORS, SAVES = 8, 5


@pytest.mark.parametrize("apart", [False, True], ids=["one program", "programs of their own"])
def test_eight_editors_overwrite_nothing(store: Store, apart: bool) -> None:
    made = store.start(job(), "Ana", at())
    conflicts, failures = [0] * EDITORS, []

    def edit(editor: int) -> None:
        mine = open_store(store.where, at()) if apart else store
        try:
            read = made
            for number in range(SAVES):
                while True:
                    body = with_reading(100 + editor, spot=number)(copy.deepcopy(read.body))
                    try:
                        read = mine.save(made.id, body, read.revision, f"editor {editor}", at(number))
                        break
                    except Conflict as conflict:
                        conflicts[editor] += 1
                        read = conflict.theirs
        except BaseException as error:
            failures.append(error)
        finally:
            if apart:
                mine.close()

    threads = [threading.Thread(target=edit, args=(editor,)) for editor in range(EDITORS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    ends = readings(store.open(made.id).body)
    assert sorted((entry["um"], entry["spot"]) for entry in ends) == [
        (100 + editor, number) for editor in range(EDITORS) for number in range(SAVES)
    ]
    lines = store.history(made.id, limit=100_000)
    edits = [line for line in reversed(lines) if line.kind == "edit"]
    assert len(edits) == 1 + EDITORS * SAVES
    assert sum(line.kind == "beside" for line in lines) == sum(conflicts), "each refused save is kept"
    before: list[dict[str, Any]] = []
    for line in edits[1:]:
        after = readings(store.open_revision(made.id, line.number).body)
        assert after[:-1] == before, "each saved revision holds all that was saved before it"
        before = after


def test_eight_editors_add_at_once_without_conflict(store: Store) -> None:
    made = store.start(job(), "Ana", at())

    def add(editor: int) -> None:
        for number in range(SAVES):
            store.change(made.id, with_reading(100 + editor, spot=number), f"editor {editor}", at(number))

    threads = [threading.Thread(target=add, args=(editor,)) for editor in range(EDITORS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(readings(store.open(made.id).body)) == EDITORS * SAVES
    assert store.open(made.id).revision == 1 + EDITORS * SAVES
