"""What an inspection found so far: one row a field that was typed, only ever added to, with who typed it and when.

Two people may look at one instrument at once. What is typed hands back what its box was filled from; where another
typed something else into the same field since, both are kept and both are told, until one of them is chosen.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from finishplan.bench.inspection import typed_found
from finishplan.errors import UnknownName
from finishplan.records import database
from finishplan.records.bodies import plain_line, who_line
from finishplan.records.revisions import document_row
from finishplan.records.schema import setting
from finishplan.records.store import Store

FIELDS = {
    "angle_deg": "angle, degrees", "face_gu": "this part, GU", "neighbour_gu": "untouched neighbour, GU",
    "image_rating": "image rating", "leftovers_as_agreed": "what stays is as agreed", "photos_after": "photos after",
    "note": "note",
}
"""What can be typed of a panel, and how it is called."""
GATHERED = ("photos_after",)
"""Fields that hold a list: what anybody adds is added, and nothing stands against it."""
WIDTH = 6
"""Digits of a row's number in its key, so that the order of keys is the order of rows."""


@dataclass(frozen=True)
class Entry:
    """One field as one person typed it; ``read`` is the row that the box was filled from, 0 for an empty one."""

    number: int
    panel: str
    field: str
    value: Any
    read: int
    who: str
    at: str


@dataclass
class Held:
    """One field as it stands: the entry, and what others typed for it beside, which waits for a choice."""

    stands: Entry
    beside: list[Entry] = field(default_factory=list)

    @property
    def latest(self) -> int:
        """The number of the newest entry here: what a choice that has seen all of them hands back."""
        return max(entry.number for entry in (self.stands, *self.beside))


Panels = dict[str, dict[str, Held]]
"""Fields by panel."""


def inspected(store: Store, job_id: str) -> Panels:
    """Return what is typed so far of a job's panels; raises NoSuchDocument."""
    with store.reading() as connection:
        document_row(connection, job_id)
        return replayed(_entries(connection, job_id))


def replayed(entries: Iterable[Entry]) -> Panels:
    """Return what stands after ``entries``, in their order.

    An entry made of the newest one settles the field. One made of what stands takes its place, and what waits goes on
    waiting. Any other that says something else waits beside. Lists are gathered.
    """
    panels: Panels = {}
    for entry in entries:
        fields = panels.setdefault(entry.panel, {})
        held = fields.get(entry.field)
        if held is None:
            fields[entry.field] = Held(entry)
        elif entry.field in GATHERED:
            every = list(dict.fromkeys([*(held.stands.value or ()), *(entry.value or ())]))
            fields[entry.field] = Held(replace(entry, value=every))
        elif entry.read == held.latest:
            fields[entry.field] = Held(entry)
        elif entry.read == held.stands.number:
            fields[entry.field] = Held(entry, [one for one in held.beside if one.value != entry.value])
        elif entry.value not in (held.stands.value, *(one.value for one in held.beside)):
            held.beside.append(entry)
    return panels


def type_in(
    store: Store, job_id: str, panel: str, name: str, value: Any, read: int, who: str, at: datetime
) -> Held:
    """Keep one field of one panel as it was typed, and return how the field stands then.

    ``read`` is the number of the entry that the box showed (for a choice: of the newest). Where another entry stands by
    now and says something else, that one stays and this one is kept beside it. Raises UnknownName for a field,
    NoSuchDocument, and a FinishplanError for a value that cannot be.
    """
    if name not in FIELDS:
        raise UnknownName("field of an inspection", name, FIELDS)
    named = plain_line(panel)
    with store.writing() as connection:
        database.one_at_a_time(connection)
        document_row(connection, job_id, to_write=True)
        entries = _entries(connection, job_id)
        held = replayed(entries).get(named, {})
        typed_found(named, {**values_of(held), name: value})
        number = 1 + max((entry.number for entry in entries), default=0)
        new = Entry(number, named, name, value, read, who_line(who), at.isoformat())
        connection.execute(insert(setting).values(key=f"{_prefix(job_id)}{number:0{WIDTH}d}", value=_packed(new)))
        return replayed([*entries, new])[named][name]


def values_of(fields: Mapping[str, Held]) -> dict[str, Any]:
    """Return the values that stand, by field."""
    return {name: held.stands.value for name, held in fields.items()}


def contested(fields: Mapping[str, Held]) -> tuple[str, ...]:
    """Return the fields for which two people typed different values, and nobody chose yet."""
    return tuple(name for name in FIELDS if name in fields and fields[name].beside)


def _prefix(job_id: str) -> str:
    return f"inspection {job_id} "


def _packed(entry: Entry) -> str:
    return json.dumps(vars(entry), allow_nan=False, sort_keys=True)


def _entries(connection: Connection, job_id: str) -> list[Entry]:
    """Return all rows of a job in their order; what an older version kept in one piece comes first."""
    rows = connection.scalars(select(setting.c.value).where(
        setting.c.key.startswith(_prefix(job_id), autoescape=True)).order_by(setting.c.key))
    found = [Entry(**json.loads(row)) for row in rows]
    old = connection.scalar(select(setting.c.value).where(setting.c.key == f"inspection of {job_id}"))
    if not old:
        return found
    before = [Entry(0, panel, name, value, 0, "", "") for panel, fields in json.loads(old).items()
              for name, value in fields.items()]
    return [*before, *found]
