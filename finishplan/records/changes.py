"""What changed between two revisions of a job or shop, one line a change, in the words of the trade."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

from finishplan.errors import FinishplanError
from finishplan.models import PLACES
from finishplan.records.change_words import (
    ATOMS,
    entry_words,
    field_words,
    holds_words,
    reading_tail,
    value_words,
)
from finishplan.survey.job import job_as_dict, read_job_dict

KEYS: dict[str, dict[str, tuple[str, ...]]] = {
    "job": {"panels": ("name",), "zones": ("name",)},
    "shop": {"steps": ("step",), "tools": ("way", "for"), "people": ("id",)},
}
"""By which fields the entries of a list are told apart; entries of other lists go by their order."""
MOST_COMPARED = 500
"""A longer stretch of a list is told entry by entry in order, without looking for what moved."""


def changes_of(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what changed from ``before`` to ``after``, one line a change; empty where nothing did.

    A job's absent fields count as their defaults: leaving one out and writing its default are the same.
    """
    if kind == "job":
        before, after = _with_defaults(before), _with_defaults(after)
    return tuple(_Walk(KEYS.get(kind, {})).objects(before, after, ""))


def job_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what changed between two jobs."""
    return changes_of("job", before, after)


def shop_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what changed between two shop files; used to show an import before it applies."""
    return changes_of("shop", before, after)


def one_line(lines: Sequence[str], limit: int = 160) -> str:
    """Return the changes as one line of a history: the first, and how many more.

    >>> one_line(["title 'a' became 'b'", "due taken out"])
    "title 'a' became 'b', and 1 more"
    """
    if not lines:
        return "saved, with nothing changed that shows"
    more = f", and {len(lines) - 1} more" if len(lines) > 1 else ""
    first = lines[0]
    room = limit - len(more)
    return (first if len(first) <= room else first[: room - 3] + "...") + more


def _with_defaults(raw: Mapping[str, Any]) -> Mapping[str, Any]:
    try:
        return job_as_dict(read_job_dict(raw))
    except FinishplanError:
        return raw  # kept by another version of the program: told as it stands


class _Walk:
    """Walks two trees side by side; ``keys`` says how the entries of its lists are told apart."""

    def __init__(self, keys: Mapping[str, tuple[str, ...]]) -> None:
        self.keys = keys

    def objects(self, before: Mapping[str, Any], after: Mapping[str, Any], place: str) -> Iterator[str]:
        """Give the changes between two objects, field by field."""
        for field in dict.fromkeys([*before, *after]):
            yield from self.field(field, before.get(field), after.get(field), place)

    def field(self, field: str, old: Any, new: Any, place: str) -> Iterator[str]:
        """Give the changes of one field."""
        if old == new and type(old) is type(new):
            return
        if field not in ATOMS and isinstance(old, Mapping) and isinstance(new, Mapping):
            yield from self.objects(old, new, _under(place, field_words(field)[0]))
        elif field not in ATOMS and _holds_entries(old, new):
            yield from self.entries(field, old or [], new or [], place)
        else:
            yield from _value_line(field, old, new, place)

    def entries(self, field: str, old: Sequence[Any], new: Sequence[Any], place: str) -> Iterator[str]:
        """Give the changes of a list of entries."""
        keys = self.keys.get(field)
        if keys and told_apart(old, keys) and told_apart(new, keys):
            yield from self.named(field, keys, old, new, place)
        else:
            yield from self.ordered(field, old, new, place)

    def named(
        self, field: str, keys: tuple[str, ...], old: Sequence[Any], new: Sequence[Any], place: str
    ) -> Iterator[str]:
        """Give the changes of a list whose entries have names, renamed ones told as such."""
        olds, news = ({_key(entry, keys): entry for entry in entries} for entries in (old, new))
        gone = [key for key in olds if key not in news]
        come = [key for key in news if key not in olds]
        renamed = _renamed(gone, come, olds, news, keys)
        for was, key in renamed.items():
            yield _line(place, f"{entry_words(field, olds[was])} renamed {key[0]!r}")
        for key in gone:
            if key not in renamed:
                yield _line(place, f"{entry_words(field, olds[key])} taken out{holds_words(olds[key])}")
        for key, entry in news.items():
            if key in come and key not in renamed.values():
                yield _line(place, f"{entry_words(field, entry)} added{holds_words(entry)}")
        as_new = [renamed.get(key, key) for key in olds if key not in gone or key in renamed]
        if as_new != [key for key in news if key in as_new]:
            yield _line(place, f"{field} put in another order")
        for key in olds:
            if renamed.get(key, key) in news:
                entry = news[renamed.get(key, key)]
                yield from self.objects(
                    _but(olds[key], keys), _but(entry, keys), _under(place, entry_words(field, entry))
                )

    def ordered(self, field: str, old: Sequence[Any], new: Sequence[Any], place: str) -> Iterator[str]:
        """Give the changes of a list whose entries go by their order."""
        for a, b, c, d in _unlike(old, new):
            pairs = list(zip(range(a, b), range(c, d), strict=False))
            same = [pair for pair in pairs if _same_thing(field, old[pair[0]], new[pair[1]])]
            for i, j in same:
                named = f"{entry_words(field, old[i])} (no. {j + 1})"
                spot = named if field == "defects" else f"{PLACES.get(field, field)} {j + 1}"
                yield from self.objects(old[i], new[j], _under(place, spot))
            left_i, left_j = {i for i, _ in same}, {j for _, j in same}
            yield from _together(field, [old[i] for i in range(a, b) if i not in left_i], "taken out", place)
            yield from _together(field, [new[j] for j in range(c, d) if j not in left_j], "added", place)


def _unlike(old: Sequence[Any], new: Sequence[Any]) -> Iterator[tuple[int, int, int, int]]:
    """Give the stretches (from, to in old; from, to in new) that differ."""
    shorter = min(len(old), len(new))
    head = next((i for i in range(shorter) if old[i] != new[i]), shorter)
    tail = next((i for i in range(shorter - head) if old[-1 - i] != new[-1 - i]), shorter - head)
    a, b, c, d = head, len(old) - tail, head, len(new) - tail
    if max(b - a, d - c) > MOST_COMPARED:
        yield a, b, c, d
        return
    texts = [[json.dumps(entry, sort_keys=True) for entry in entries] for entries in (old[a:b], new[c:d])]
    for tag, i, j, k, m in SequenceMatcher(None, texts[0], texts[1], autojunk=False).get_opcodes():
        if tag != "equal":
            yield a + i, a + j, c + k, c + m


def _value_line(field: str, old: Any, new: Any, place: str) -> Iterator[str]:
    words = field_words(field)[0]
    empty: tuple[Any, ...] = (None, "", [], {})
    if old in empty and new in empty:
        return
    if isinstance(new, Mapping) and field not in ATOMS and old is None:
        yield _line(place, f"{words} added")
    elif isinstance(old, Mapping) and field not in ATOMS and new is None:
        yield _line(place, f"{words} taken out")
    elif old in empty and not isinstance(old, bool):
        yield _line(place, f"{words} set to {value_words(field, new)}")
    elif new in empty and not isinstance(new, bool):
        yield _line(place, f"{words} {value_words(field, old)} taken out")
    else:
        was, now = value_words(field, old), value_words(field, new)
        if was != now:
            yield _line(place, f"{words} {was} became {now}")
        elif old != new:
            yield _line(place, f"{words} {was} changed")


def _together(field: str, entries: Sequence[Any], done: str, place: str) -> Iterator[str]:
    """Give one line an entry, but one line for readings of one method and spot."""
    if field != "readings":
        yield from (_line(place, f"{entry_words(field, entry)} {done}") for entry in entries)
        return
    groups: dict[str, list[str]] = {}
    for entry in entries:
        groups.setdefault(reading_tail(entry), []).append(value_words("", entry.get("um")))
    for tail, films in groups.items():
        told = [*films[:8], f"{len(films) - 8} more"] if len(films) > 9 else films
        word = "readings" if len(films) > 1 else "reading"
        yield _line(place, f"{word} {', '.join(told)} um{tail} {done}")


def _renamed(
    gone: Sequence[tuple[str, ...]], come: Sequence[tuple[str, ...]], olds: Mapping[tuple[str, ...], Any],
    news: Mapping[tuple[str, ...], Any], keys: tuple[str, ...],
) -> dict[tuple[str, ...], tuple[str, ...]]:
    """Return which of the gone entries came back under another name: one for one, or alike in all else."""
    if len(keys) > 1:
        return {}
    if len(gone) == len(come) == 1 and len(olds) == len(news):
        return {gone[0]: come[0]}
    free, found = list(come), {}
    for was in gone:
        alike = next((key for key in free if _but(olds[was], keys) == _but(news[key], keys)), None)
        if alike is not None:
            found[was] = alike
            free.remove(alike)
    return found


def _same_thing(field: str, old: Any, new: Any) -> bool:
    if not (isinstance(old, Mapping) and isinstance(new, Mapping)):
        return False
    names = {"defects": "kind", "solvents": "substance", "hardware": "task", "steps": "step"}
    name = names.get(field)
    return name is None or old.get(name) == new.get(name)


def _holds_entries(old: Any, new: Any) -> bool:
    return all(part is None or isinstance(part, list) for part in (old, new)) and any(
        isinstance(entry, Mapping) for part in (old, new) for entry in part or ()
    )


def told_apart(entries: Sequence[Any], keys: tuple[str, ...]) -> bool:
    """Return whether each entry has all of ``keys`` and no two have the same."""
    if not all(isinstance(entry, Mapping) and all(entry.get(key) for key in keys) for entry in entries):
        return False
    return len({_key(entry, keys) for entry in entries}) == len(entries)


def _key(entry: Mapping[str, Any], keys: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(str(entry.get(key)) for key in keys)


def _but(entry: Mapping[str, Any], keys: tuple[str, ...]) -> dict[str, Any]:
    return {field: value for field, value in entry.items() if field not in keys}


def _under(place: str, inner: str) -> str:
    return f"{place}, {inner}" if place else inner


def _line(place: str, words: str) -> str:
    return f"{place}: {words}" if place else words
