"""Edits of a shop as its page makes them: a shop as plain data in, a new one out; nothing that comes in is changed.

A value has a path: keys of objects, and for an entry of a list the fields that name it, as in
``("steps", (("step", "P600"),), "change_min")``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishplan.shop.steps import shipped_steps

Body = Mapping[str, Any]
Part = str | tuple[tuple[str, str], ...]
Path = tuple[Part, ...]


def value_at(body: Body, path: Path) -> Any:
    """Return what stands at a path, or None.

    >>> value_at({"steps": [{"step": "P600", "change_min": 4.0}]}, ("steps", (("step", "P600"),), "change_min"))
    4.0
    """
    here: Any = body
    for part in path:
        if isinstance(part, str):
            here = here.get(part) if isinstance(here, Mapping) else None
        else:
            found = _place(here or (), part)
            here = None if found is None else here[found]
    return here


def with_value(body: Body, path: Path, value: Any, whole: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the shop with ``value`` at a path; ``whole`` fills the rest of a group that is only valid whole."""
    if whole is not None and not value_at(body, path[:-1]):
        body = _put(body, path[:-1], dict(whole))
    made: dict[str, Any] = _put(body, path, value)
    return made


def without(body: Body, path: Path, whole: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the shop without the value at a path: the shipped one counts again.

    What is left empty goes along. Of a group that is only valid whole (``whole`` holds it as shipped) the
    shipped value is put back. A grade that only the shop has stays among its
    steps, and a person among its people.
    """
    if whole is not None:
        if value_at(body, path[:-1]) is None:
            return dict(body)
        made = _put(body, path, whole[str(path[-1])])
        return without(made, path[:-1]) if value_at(made, path[:-1]) == dict(whole) else dict(made)
    return dict(_drop(body, path) or {})


def _put(here: Any, path: Path, value: Any) -> Any:
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, str):
        held = dict(here or {})
        return {**held, part: _put(held.get(part), rest, value)}
    entries = list(here or ())
    at = _place(entries, part)
    if at is None:
        return [*entries, _put(dict(part), rest, value)]
    return [*entries[:at], _put(entries[at], rest, value), *entries[at + 1:]]


def _drop(here: Any, path: Path) -> Any:
    part, rest = path[0], path[1:]
    if isinstance(part, str):
        if not isinstance(here, Mapping) or part not in here:
            return here
        left = _drop(here[part], rest) if rest else None
        others = {key: value for key, value in here.items() if key != part}
        return {**here, part: left} if left else others
    at = _place(here or (), part)
    if at is None:
        return here
    left = _drop(here[at], rest) if rest else None
    bare = left is None or (left == dict(part) and not _stays_bare(left))
    return [*here[:at], *([] if bare else [left]), *here[at + 1:]]


def _stays_bare(entry: Mapping[str, Any]) -> bool:
    return "id" in entry or ("step" in entry and entry["step"] not in {step.name for step in shipped_steps()})


def _place(entries: Any, names: tuple[tuple[str, str], ...]) -> int | None:
    wanted = dict(names)
    found = (at for at, entry in enumerate(entries)
             if isinstance(entry, Mapping) and {key: entry.get(key) for key in wanted} == wanted)
    return next(found, None)


def with_entry(body: Body, field: str, key: str, entry: Mapping[str, Any]) -> dict[str, Any]:
    """Return the shop with an entry in a list, in place of the one of the same ``key``.

    >>> with_entry({"people": [{"id": "A"}]}, "people", "id", {"id": "A", "role": "owner"})
    {'people': [{'id': 'A', 'role': 'owner'}]}
    """
    return with_value(body, (field, ((key, str(entry[key])),)), dict(entry))


def without_entry(body: Body, field: str, key: str, name: str) -> dict[str, Any]:
    """Return the shop without the entry of that name."""
    return without(body, (field, ((key, name),)))
