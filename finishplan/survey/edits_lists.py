"""Edits of a job's lists: solvents, hardware, services known; and of what is asked of a panel's finish."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishplan.errors import BadValue, FinishplanError
from finishplan.survey.edits import Body, Edit, EditClash, Entry, value_words, zone_at
from finishplan.wording import number_words

LISTS = {"solvents": "solvent", "hardware": "hardware", "services": "service"}
"""Lists of a job whose entries are added and taken out one by one, and what an entry is called."""
REMEDY = {"solvents": "name what is used", "hardware": "choose the task", "services": "say what was done, or when"}


def add_entry(body: Body, field: str, entry: Mapping[str, Any]) -> Edit:
    """Return the job with an entry put last in a list, without what is not given. Raises BadValue for an empty one."""
    made = {key: value for key, value in entry.items() if value not in (None, "", [], ())}
    if not made:
        raise BadValue(LISTS[field], "empty", REMEDY[field])
    return Edit({**body, field: [*(body.get(field) or ()), made]}, f"{entry_line(field, made)} added")


def take_out_entry(body: Body, field: str, index: int, was: Mapping[str, Any]) -> Edit:
    """Return the job without an entry; raises EditClash where it is not what was read."""
    entries = list(body.get(field) or ())
    if index >= len(entries) or dict(entries[index]) != dict(was):
        if dict(was) not in [dict(entry) for entry in entries]:
            raise EditClash(f"{entry_line(field, was)} was changed or taken out meanwhile; look at the list again")
        index = [dict(entry) for entry in entries].index(dict(was))
    return Edit({**body, field: [*entries[:index], *entries[index + 1:]]}, f"{entry_line(field, was)} taken out")


def add_service_zone(body: Body, index: int, was: Mapping[str, Any], zone: Mapping[str, Any]) -> Edit:
    """Return the job with what a service took from one zone, in place of what it said of that zone before."""
    services = [dict(entry) for entry in body.get("services") or ()]
    if index >= len(services) or services[index] != dict(was):
        raise EditClash(f"{entry_line('services', was)} was changed meanwhile; look at the list again")
    zone_at(body, zone["panel"], zone["zone"])
    made: Entry = {key: value for key, value in zone.items() if value is not None}
    if len(made) == 2:
        raise FinishplanError("neither film taken nor film left is given; type one of them")
    others = [one for one in was.get("zones") or () if (one["panel"], one["zone"]) != (zone["panel"], zone["zone"])]
    services[index] = {**was, "zones": [*others, made]}
    return Edit({**body, "services": services}, f"{entry_line('services', was)}: {_zone_words(made)}")


def entry_line(field: str, entry: Mapping[str, Any]) -> str:
    """Return an entry of a list as one line.

    >>> entry_line("solvents", {"substance": "acetone", "ml": 30.0, "minutes": 10.0})
    'solvent acetone, 30 ml in 10 min'
    >>> entry_line("solvents", {"substance": "acetone"})
    'solvent acetone, as much as the wipes take'
    >>> entry_line("hardware", {"task": "lid off", "count": 2, "brass": "solid"})
    'hardware lid off, 2 times, brass solid'
    """
    if field == "solvents":
        minutes = f" in {value_words(entry['minutes'])} min" if entry.get("minutes") else ""
        amount = f"{value_words(entry['ml'])} ml" if entry.get("ml") else "as much as the wipes take"
        return f"solvent {entry.get('substance', '')}, {amount}{minutes}"
    if field == "hardware":
        count = f", {entry['count']} times" if entry.get("count", 1) != 1 else ""
        brass = f", brass {entry['brass']}" if entry.get("brass", "unknown") != "unknown" else ""
        return f"hardware {entry.get('task', '')}{count}{brass}"
    parts = [str(entry[key]) for key in ("date", "what") if entry.get(key)]
    by = f", by {entry['by']}" if entry.get("by") else ""
    return f"service {', '.join(parts)}{by}".strip().removesuffix(",")


def service_lines(entry: Mapping[str, Any]) -> list[str]:
    """Return what a service says of each zone."""
    return [_zone_words(zone) for zone in entry.get("zones") or ()]


def _zone_words(zone: Mapping[str, Any]) -> str:
    taken = [f"took {value_words(zone['removal_um'])} um"] if zone.get("removal_um") is not None else []
    left = [f"left {value_words(zone['film_um'])} um"] if zone.get("film_um") is not None else []
    return f"{zone['panel']}, {zone['zone']}: {' and '.join([*taken, *left])}"


def list_title(body: Body, field: str, words: str) -> str:
    """Return the head of a closed box: what it holds, and how many.

    >>> list_title({}, "solvents", "Solvents"), list_title({"solvents": [{}]}, "solvents", "Solvents")
    ('Solvents: none', 'Solvents: one')
    >>> list_title({"hardware": [{}, {}]}, "hardware", "Hardware")
    'Hardware: two'
    """
    count = len(body.get(field) or ())
    return f"{words}: {number_words(count) if count else 'none'}"


def target(was: Mapping[str, Any] | None, typed: Mapping[str, Any]) -> Entry:
    """Return the finish asked for: satin where ``ends`` names its last sheet, else gloss.

    >>> target(None, {"ends": "P1000"})
    {'finish': 'satin', 'last_sheet': 'P1000', 'gloss_gu': None}
    >>> target({"finish": "gloss", "gloss_gu": 88.0}, {"ends": None})
    {'finish': 'gloss', 'last_sheet': None, 'gloss_gu': 88.0}
    """
    held = was or {}
    ends = typed["ends"] if "ends" in typed else held.get("last_sheet")
    gloss = typed["gloss_gu"] if "gloss_gu" in typed else held.get("gloss_gu")
    return {"finish": "satin" if ends else "gloss", "last_sheet": ends or None, "gloss_gu": gloss}
