"""Two people at one job: who saved what and when, both versions in hand, and putting them together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from finishplan.records.changes import KEYS, changes_of, told_apart
from finishplan.records.faults import StoreError
from finishplan.records.kept import Opened

_ABSENT: Any = object()


@dataclass(frozen=True)
class Joined:
    """Two versions put together; ``clashes`` names the places where both changed the same thing."""

    body: dict[str, Any]
    clashes: tuple[str, ...]


class Conflict(StoreError):
    """Somebody else saved first. Nothing is lost: ``theirs`` stands, ``mine`` is kept beside it.

    ``read`` is the revision that was handed back, ``base`` its content (None where the store does not have
    it any more), ``beside`` the number under which ``mine`` is kept (None for an undo, which has no content).
    """

    def __init__(
        self, theirs: Opened, read: int, base: dict[str, Any] | None, mine: dict[str, Any] | None,
        beside: int | None,
    ) -> None:
        self.theirs, self.read, self.base, self.mine, self.beside = theirs, read, base, mine, beside
        when = theirs.at.astimezone().strftime("%Y-%m-%d %H:%M")
        stands = f"{theirs.who} saved revision {theirs.revision} on {when} ({theirs.wording})"
        told = f"{stands} after you opened revision {read}"
        if base is None:
            told = f"revision {read}, which you opened, is not here since a backup was restored; {stands}"
        yours = f"yours is kept as revision {beside}; look at both and choose"
        super().__init__(f"{told}; {yours if beside else 'look at it first'}")

    def they_changed(self) -> tuple[str, ...]:
        """Return what the other person changed since the revision that was read."""
        return changes_of(self.theirs.kind, self.base or {}, self.theirs.body)

    def i_changed(self) -> tuple[str, ...]:
        """Return what this person changed since the revision that was read."""
        return changes_of(self.theirs.kind, self.base or {}, self.mine) if self.mine is not None else ()

    def joined(self) -> Joined | None:
        """Return both versions put together, or None where there is no common start."""
        if self.base is None or self.mine is None:
            return None
        return join(self.theirs.kind, self.base, self.mine, self.theirs.body)


def join(
    kind: str, base: Mapping[str, Any], mine: Mapping[str, Any], theirs: Mapping[str, Any]
) -> Joined:
    """Put two versions of ``base`` together: what only one changed is taken from that one.

    Entries with names are joined by name, other lists where both only added to the end: theirs first, then
    mine. Where both changed the same thing, theirs stands and the place is named in ``clashes``.
    """
    clashes: list[str] = []
    body = _join(base, mine, theirs, "", KEYS.get(kind, {}), clashes)
    return Joined(dict(body), tuple(clashes))


def _join(
    base: Any, mine: Any, theirs: Any, place: str, keys: Mapping[str, tuple[str, ...]], clashes: list[str]
) -> Any:
    if _equal(mine, theirs) or _equal(mine, base):
        return theirs
    if _equal(theirs, base):
        return mine
    if all(isinstance(part, Mapping) for part in (base, mine, theirs)):
        return _join_objects(base, mine, theirs, place, keys, clashes)
    if all(isinstance(part, list) for part in (mine, theirs)) and (base is _ABSENT or isinstance(base, list)):
        named = keys.get(place.rpartition("/")[2], ())
        start = [] if base is _ABSENT else base
        if named and all(told_apart(part, named) for part in (start, mine, theirs)):
            return _join_named(start, mine, theirs, place, named, keys, clashes)
        if mine[: len(start)] == start and theirs[: len(start)] == start:
            return [*theirs, *mine[len(start):]]
    clashes.append(place.replace("/", ", "))
    return mine if theirs is _ABSENT else theirs


def _join_objects(
    base: Mapping[str, Any], mine: Mapping[str, Any], theirs: Mapping[str, Any], place: str,
    keys: Mapping[str, tuple[str, ...]], clashes: list[str],
) -> dict[str, Any]:
    found = {}
    for field in dict.fromkeys([*theirs, *mine]):
        was, i, they = (part.get(field, _ABSENT) for part in (base, mine, theirs))
        value = _join(was, i, they, f"{place}/{field}" if place else field, keys, clashes)
        if value is not _ABSENT:
            found[field] = value
    return found


def _join_named(
    base: list[Any], mine: list[Any], theirs: list[Any], place: str, named: tuple[str, ...],
    keys: Mapping[str, tuple[str, ...]], clashes: list[str],
) -> list[Any]:
    tables = [{"/".join(str(entry.get(key)) for key in named): entry for entry in entries}
              for entries in (base, mine, theirs)]
    merged = _join_objects(tables[0], tables[1], tables[2], place, keys, clashes)
    return list(merged.values())


def _equal(a: Any, b: Any) -> bool:
    return a is b or (a is not _ABSENT and b is not _ABSENT and bool(a == b))
