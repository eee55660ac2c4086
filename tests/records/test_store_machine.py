"""Undo, redo, conflicts and history against a model that keeps everything in plain lists."""

from __future__ import annotations

import copy
import shutil
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from store_examples import at, job, readings, with_reading

from finishplan.records import where
from finishplan.records.conflicts import Conflict
from finishplan.records.store import Store, open_store

LETTERS = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs"))
TITLES = st.text(LETTERS, min_size=1, max_size=12)
FILMS = st.integers(1, 5000)


class History(RuleBasedStateMachine):
    """Each rule does a thing to the store and to the model; the invariant compares all of both."""

    folder: Path
    store: Store

    @classmethod
    def open(cls) -> None:
        cls.folder = Path(tempfile.mkdtemp(prefix="finishplan-machine-"))
        cls.store = open_store(where.find(cls.folder, None, {}), at())

    @classmethod
    def shut(cls) -> None:
        cls.store.close()
        shutil.rmtree(cls.folder)

    @initialize(title=TITLES)
    def start(self, title: str) -> None:
        made = self.store.start(job(title), "Ana", at())
        self.id = made.id
        self.shown: dict[int, dict[str, Any]] = {1: made.body}
        self.head, self.last = 1, 1
        self.done: list[dict[str, Any]] = [made.body]
        self.undone: list[dict[str, Any]] = []
        self.state = "survey"

    def took(self, body: dict[str, Any], revision: int) -> None:
        self.last += 1
        assert revision == self.last
        self.shown[self.last] = body
        self.head = self.last

    def edited(self, body: dict[str, Any], made: Any) -> None:
        if body == self.done[-1]:
            assert made.revision == self.head
            return
        self.took(body, made.revision)
        self.done.append(body)
        self.undone = []

    @rule(title=TITLES)
    def save(self, title: str) -> None:
        body = {**copy.deepcopy(self.done[-1]), "title": title}
        self.edited(body, self.store.save(self.id, body, self.head, "Ben", at(self.last)))

    @rule(um=FILMS)
    def add(self, um: int) -> None:
        body = with_reading(um)(copy.deepcopy(self.done[-1]))
        self.edited(body, self.store.change(self.id, with_reading(um), "Ben", at(self.last)))

    @precondition(lambda self: len(readings(self.done[-1])) > 0)
    @rule()
    def take_out(self) -> None:
        body = copy.deepcopy(self.done[-1])
        readings(body).pop()
        self.edited(body, self.store.save(self.id, body, self.head, "Cleo", at(self.last)))

    @precondition(lambda self: len(self.done) > 1)
    @rule()
    def undo(self) -> None:
        self.undone.append(self.done.pop())
        self.took(self.done[-1], self.store.undo(self.id, self.head, "Ana", at(self.last)).revision)

    @precondition(lambda self: self.undone)
    @rule()
    def redo(self) -> None:
        self.done.append(self.undone.pop())
        self.took(self.done[-1], self.store.redo(self.id, self.head, "Ana", at(self.last)).revision)

    @rule(state=st.sampled_from(["survey", "planned", "at the bench", "done"]))
    def move(self, state: str) -> None:
        made = self.store.set_state(self.id, state, "Ana", at(self.last))
        if state != self.state:
            self.took(self.done[-1], made.revision)
        self.state = state

    @rule(data=st.data())
    def go_back(self, data: st.DataObject) -> None:
        number = data.draw(st.integers(1, self.last))
        body = self.shown[number]
        self.edited(body, self.store.go_back(self.id, number, self.head, "Ana", at(self.last)))

    @rule(data=st.data(), title=TITLES)
    def save_on_an_old_one(self, data: st.DataObject, title: str) -> None:
        read = data.draw(st.integers(1, self.last))
        body = {**copy.deepcopy(self.shown[read]), "title": title}
        try:
            made = self.store.save(self.id, body, read, "Dan", at(self.last))
        except Conflict as conflict:
            self.last += 1
            assert conflict.beside == self.last and conflict.theirs.revision == self.head
            assert (conflict.mine, conflict.base, conflict.theirs.body) == (body, self.shown[read], self.done[-1])
            self.shown[self.last] = body
        else:
            assert body == self.done[-1] or self.shown[read] == self.done[-1]
            self.edited(body, made)

    @invariant()
    def all_is_there(self) -> None:
        if not hasattr(self, "id"):
            return
        now = self.store.open(self.id)
        assert (now.body, now.revision, now.state) == (self.done[-1], self.head, self.state)
        assert (now.undo is None, now.redo is None) == (len(self.done) == 1, not self.undone)
        assert [line.number for line in self.store.history(self.id)] == list(range(self.last, 0, -1))[:100]

    def teardown(self) -> None:
        if hasattr(self, "id"):
            for number, body in self.shown.items():
                assert self.store.open_revision(self.id, number).body == body


def test_history_is_as_the_model_says() -> None:
    from hypothesis.stateful import run_state_machine_as_test

    History.open()
    try:
        run_state_machine_as_test(History, settings=settings(
            max_examples=25, stateful_step_count=20, deadline=None, suppress_health_check=list(HealthCheck)))
    finally:
        History.shut()
