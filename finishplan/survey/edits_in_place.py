"""Edits of an entry where it stands in one of a job's lists: a solvent, a hardware task, a service known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishplan.errors import BadValue, FinishplanError
from finishplan.survey.edits import ANY, Body, Edit, EditClash, Entry, changed, told
from finishplan.survey.edits_lists import LISTS, REMEDY, entry_line, service_lines
from finishplan.survey.job import HardwareTask, Service, Solvent

MODELS: Mapping[str, type[Any]] = {"solvents": Solvent, "hardware": HardwareTask, "services": Service}
"""What an entry of each list is."""
TOOK = ("removal_um", "film_um")
"""What a service may say of a zone: film taken, and film left."""


def change_entry(body: Body, field: str, index: int, was: Body, new: Mapping[str, Any]) -> Edit:
    """Return the job with fields of one entry changed; ``was`` is the entry as it was read.

    Of a service, ``removal_um 0`` and ``film_um 0`` name what it took from its first zone and left there [um].
    Raises EditClash where another changed the same since, BadValue for an entry that says nothing any more,
    FinishplanError for a zone of which a service would say nothing.
    """
    at, entry = _found(body, field, index, was)
    given, zones = _with_zones(entry if was is ANY else was, new)
    made, fields = changed(MODELS[field], entry, was, given, entry_line(field, entry))
    if not any(value not in (None, "", [], ()) for value in made.values()):
        raise BadValue(LISTS[field], "empty", REMEDY[field])
    for line in service_lines(made):
        if line.endswith(": "):
            raise FinishplanError(f"{line}neither film taken nor film left is given; type one of them, or take it out")
    said = [told([name for name in fields if name != "zones"], given), *(service_lines({"zones": zones}))]
    return Edit(_replaced(body, field, at, made),
                f"{entry_line(field, entry)}: {'; '.join(part for part in said if part) or 'nothing changed'}")


def take_out_service_zone(body: Body, index: int, was: Body, zone: int) -> Edit:
    """Return the job without what a service says of its ``zone``-th zone."""
    at, entry = _found(body, "services", index, was)
    zones = list(entry.get("zones") or ())
    if not 0 <= zone < len(zones):
        raise EditClash(f"{entry_line('services', entry)} was changed meanwhile; look at the list again")
    gone = service_lines({"zones": zones[zone:zone + 1]})[0]
    made = {**entry, "zones": [*zones[:zone], *zones[zone + 1:]]}
    return Edit(_replaced(body, "services", at, made), f"{entry_line('services', entry)}: {gone}, taken out")


def entry_after(field: str, was: Body, new: Mapping[str, Any]) -> Entry:
    """Return an entry as it stands after ``new`` was typed over it."""
    return changed(MODELS[field], was, was, _with_zones(was, new)[0], "")[0]


def _with_zones(was: Body, new: Mapping[str, Any]) -> tuple[Entry, list[Entry]]:
    """Return the fields of an entry as typed, those of a service's zones put into them; and the zones that differ."""
    given: Entry = {name: value for name, value in new.items() if " " not in name}
    before: list[Entry] = [dict(zone) for zone in was.get("zones") or ()]
    zones = [dict(zone) for zone in before]
    for name, value in new.items():
        kind, _, number = name.partition(" ")
        if number and int(number) < len(zones):
            zones[int(number)][kind] = value
    zones = [{name: value for name, value in zone.items() if value is not None} for zone in zones]
    if zones != before:
        given["zones"] = zones
    return given, [zone for zone, old in zip(zones, before, strict=True) if zone != old]


def _found(body: Body, field: str, index: int, was: Body) -> tuple[int, Entry]:
    """Return where the entry that was read stands now; raises EditClash where it is not there any more."""
    entries = [dict(entry) for entry in body.get(field) or ()]
    if was is ANY and index < len(entries):
        return index, entries[index]
    same = [k for k, entry in enumerate(entries) if entry == dict(was)]
    if not same:
        raise EditClash(f"{entry_line(field, was)} was changed or taken out meanwhile; look at the list again")
    return (index if index in same else same[0]), dict(was)


def _replaced(body: Body, field: str, at: int, made: Entry) -> Entry:
    entries = list(body[field])
    return {**body, field: [*entries[:at], made, *entries[at + 1:]]}
