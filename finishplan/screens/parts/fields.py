"""Boxes that keep themselves: whatever is typed in one is an edit of its own, kept as soon as it is left.

All boxes of a group are compared with what they were filled from, so a box that could not be kept by itself is
kept as soon as another makes sense of it; until then it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records.faults import StoreError
from finishplan.screens.parts import doing, guard, telling
from finishplan.screens.parts.held import Held, follow, held, renew
from finishplan.survey.edits import ANY, Edit

Reading = Callable[[Any], Any]
"""How what stands in a box becomes what the job holds."""


def as_typed(value: Any) -> Any:
    """Return a value as it stands in its box."""
    return value


def or_nothing(text: Any) -> Any:
    """Return a text, None for an empty box."""
    return str(text).strip() or None if text is not None else None


@dataclass(frozen=True)
class Fields:
    """A group of boxes: its name, how each box is read, the edit it makes, and what stands after it.

    The edit is made of the job, of what the boxes were filled from, and of what is typed by field; what stands
    after it is told from the job after it and the same two.
    """

    name: str
    read: Mapping[str, Reading]
    make: Callable[[dict[str, Any], Any, Mapping[str, Any]], Edit]
    stands: Callable[[dict[str, Any], Any, Mapping[str, Any]], Any]
    where: str = ""

    def base(self, value: Any, same: tuple[str, ...] = ()) -> Any:
        """Return what the boxes were filled from; filled anew with ``value`` where that is another in ``same``."""
        was = held(self.name, value).was
        if any(was.get(name) != value.get(name) for name in same):
            renew(self.name)
        return held(self.name, value).was

    def key(self, field: str) -> str:
        """Return the key of a box."""
        found: Held = st.session_state[f"held {self.name}"]
        return f"{found.key} {field}"

    def box(self, field: str, value: Any) -> dict[str, Any]:
        """Return what every box is given: its key, and that it keeps itself. A new box is filled with ``value``."""
        st.session_state.setdefault(self.key(field), value)
        st.session_state.setdefault(f"{self.key(field)} filled", value)
        return {"key": self.key(field), "on_change": telling.beside(self.name, again=True)(self.keep), "args": (field,)}

    def keep(self, field: str) -> None:
        """Keep all boxes that differ; where they make no sense together, keep ``field`` alone and tell."""
        typed, wrong = self._typed()
        try:
            self._do(typed)
        except StoreError:
            raise
        except FinishplanError as error:
            wrong.append(guard.said(error))
            if field in typed and len(typed) > 1:
                self._alone(field, typed[field])
        if wrong:
            where = f" at {self.where}" if self.where else ""
            telling.tell(self.name, f"Not kept{where}: {'; '.join(dict.fromkeys(wrong))}")

    def _alone(self, field: str, value: Any) -> None:
        try:
            self._do({field: value})
        except FinishplanError:
            return  # told already, with all boxes together

    def _typed(self) -> tuple[dict[str, Any], list[str]]:
        typed, wrong = {}, []
        for field, read in self.read.items():
            if self.key(field) in st.session_state:
                text, filled = st.session_state[self.key(field)], f"{self.key(field)} filled"
                try:
                    typed[field] = read(text)
                    st.session_state[filled] = text
                except FinishplanError as error:
                    if text != st.session_state.get(filled):  # what the job held before stays as it was, unasked
                        wrong.append(guard.said(error))
        return typed, wrong

    def _do(self, typed: Mapping[str, Any]) -> None:
        base: Held = st.session_state[f"held {self.name}"]
        made = doing.do(lambda body: self.make(body, base.was, typed), base.revision,
                        lambda body: self.make(body, ANY, typed))
        if made is None:
            telling.tell(self.name, "Somebody else changed this too: choose at the top of the page which stands.")
        else:
            follow(self.name, self.stands(made.body, base.was, typed), made.revision)
