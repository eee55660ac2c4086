"""Edits of a job as the survey makes them: a job in, a new job and one line of wording out.

A job here is plain data as the job file holds it; nothing that comes in is changed. Whoever edits something
hands back what it was when it was read: where it is not so any more, the edit is told, not done.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from finishplan.errors import BadValue, FinishplanError, UnknownName, shown
from finishplan.survey.job import Crew, Fill, FinishId, Instrument, Job, Panel, Site, Zone
from finishplan.survey.typed_row import numbers_words, read_pair

Body = Mapping[str, Any]
Entry = dict[str, Any]
ANY: Mapping[str, Any] = {}
"""Handed in as what was read: the edit is done whatever stands there now, because a person chose so."""


class Edit(NamedTuple):
    """The job after an edit, and what the edit did, in one line."""

    body: Entry
    wording: str


class EditClash(FinishplanError):
    """Somebody changed the same thing since it was read; the message says what stands now."""


FIELD_WORDS = {
    "finish_id.result": "finish", "finish_id.how": "identified how", "finish_id.where": "identified where",
    "finish_id.by": "identified by", "finish_id.lead_test": "lead test", "instrument.id": "instrument number",
    "instrument.kind": "instrument", "instrument.year": "year", "instrument.overcoated": "coated over",
    "site.room_m3": "room, m3", "site.air_changes_per_h": "air changes an hour", "site.kind": "place of work",
    "site.alone": "working alone", "crew.worker": "worker", "crew.favour": "favour",
    "crew.first_cut": "first cut", "site.temperature_c": "temperature, C", "site.humidity_percent": "humidity, %",
    "fill.resin": "fill resin", "fill.styrene_percent": "styrene in it, %", "fill.gel_min": "it gels in, min",
    "fill.catalyst_percent": "catalyst, %", "sheets_by": "sheets by", "compounds_by": "compounds by",
    "seen_from": "seen from", "view_note": "note on how it is seen",
    "size_m": "size, m", "off": "off the instrument", "area_m2": "area, m2", "film_estimate_um": "film estimate, um",
    "previous_step": "last step done before", "sheets_allowed": "sheets allowed", "um": "film, um", "at": "place",
    "length_mm": "length, mm", "width_mm": "width, mm", "depth_um": "depth, um", "seen_in": "shows from",
    "missing_ml": "missing, ml",
}
"""Fields whose name would not read well in a line of the history."""


def part(body: Body, *path: str) -> Any:
    """Return what stands at a path of keys, or None."""
    here: Any = body
    for key in path:
        here = here.get(key) if isinstance(here, Mapping) else None
    return here


def differing(model: type[Any], fields: Mapping[str, Any], other: Mapping[str, Any]) -> list[str]:
    """Return the fields of ``fields`` whose value is another in ``other``; absent stands for the default."""
    return [name for name in fields if _value(model, fields, name) != _value(model, other, name)]


def _value(model: type[Any], entry: Mapping[str, Any], name: str) -> Any:
    if name in entry:
        return entry[name]
    default = model.model_fields[name].default
    return default.model_dump(mode="json") if hasattr(default, "model_dump") else _plain(default)


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def changed(model: type[Any], entry: Body, was: Body, new: Mapping[str, Any], place: str) -> tuple[Entry, list[str]]:
    """Return an entry with ``new`` laid over it, and the fields that differ from before.

    Raises EditClash where one of those was changed since ``was`` was read.
    """
    wanted = list(new) if was is ANY else differing(model, new, was)
    clash = [] if was is ANY else [
        name for name in wanted
        if _value(model, entry, name) != _value(model, was, name) and _value(model, entry, name) != new[name]]
    if clash:
        said = "; ".join(f"{words(name)} is {value_words(_value(model, entry, name))} now, "
                         f"you gave {value_words(new[name])}" for name in clash)
        raise EditClash(f"{place}: {said}")
    return {**entry, **{name: new[name] for name in wanted}}, wanted


def words(field: str) -> str:
    """Return how a field is called in a line of the history."""
    return FIELD_WORDS.get(field, field.rpartition(".")[2].replace("_", " "))


def value_words(value: Any) -> str:
    """Return a value as a line of the history tells it.

    >>> value_words(True), value_words({"width": 1.4, "height": 0.5}), value_words(None)
    ('yes', 'width 1.4, height 0.5', 'not given')
    """
    if value is None or value == "":
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {value_words(inner)}" for name, inner in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(value_words(inner) for inner in value) or "none"
    return value.strip()[:60] if isinstance(value, str) else shown(value)


def told(fields: Sequence[str], new: Mapping[str, Any]) -> str:
    """Return changed fields as one line."""
    return "; ".join(f"{words(name)}: {value_words(new[name])}" for name in fields)


# The job itself

GROUPS = {"instrument": Instrument, "finish_id": FinishId, "site": Site, "crew": Crew, "fill": Fill}
"""The groups of a job whose fields are edited one by one."""


def change_job(body: Body, was: Body, new: Mapping[str, Any]) -> Edit:
    """Return the job with fields changed; ``new`` names them by dotted path, as in ``finish_id.result``.

    ``was`` is the job as it was read. Raises EditClash where another changed one of the same fields since.
    """
    given = {path: value for path, value in new.items() if was is ANY or _at(was, path) != value}
    clash = [path for path, value in given.items()
             if was is not ANY and _at(body, path) != _at(was, path) and _at(body, path) != value]
    if clash:
        raise EditClash("; ".join(f"{words(path)} is {value_words(_at(body, path))} now, "
                                  f"you gave {value_words(given[path])}" for path in clash))
    made: Entry = dict(body)
    for path, value in given.items():
        group, dot, field = path.partition(".")
        made[group] = {**(made.get(group) or {}), field: value} if dot else value
    return Edit(made, told(list(given), given) or "nothing changed")


def _at(body: Body, path: str) -> Any:
    """Return a field of a job by its dotted path, its default where it is absent."""
    group, dot, field = path.partition(".")
    if not dot:
        return _value(Job, body, group)
    return _value(GROUPS[group], body.get(group) or {}, field)


# Panels

def panel_at(body: Body, panel: str) -> Body:
    """Return a panel by name; raises UnknownName with the choices."""
    for found in body["panels"]:
        if found["name"] == panel:
            return dict(found)
    raise UnknownName("panel", panel, [found["name"] for found in body["panels"]])


def zone_at(body: Body, panel: str, zone: str) -> Body:
    """Return a zone by the names of panel and zone; raises UnknownName with the choices."""
    zones = panel_at(body, panel)["zones"]
    for found in zones:
        if found["name"] == zone:
            return dict(found)
    raise UnknownName("zone", zone, [found["name"] for found in zones], f"panel {panel!r}")


def with_panel(body: Body, panel: str, change: Callable[[Body], Entry]) -> Entry:
    """Return the job with one panel changed."""
    panel_at(body, panel)
    return {**body, "panels": [change(p) if p["name"] == panel else p for p in body["panels"]]}


def with_zone(body: Body, panel: str, zone: str, change: Callable[[Body], Entry]) -> Entry:
    """Return the job with one zone changed."""
    zone_at(body, panel, zone)
    return with_panel(body, panel, lambda p: {
        **p, "zones": [change(z) if z["name"] == zone else z for z in p["zones"]]})


def free_name(name: str, taken: Sequence[str]) -> str:
    """Return ``name``, with a number behind it where it is taken.

    >>> free_name("leg", ["leg", "leg 2"])
    'leg 3'
    """
    number = 1
    while (tried := name if number == 1 else f"{name} {number}") in taken:
        number += 1
    return tried


def add_panel(body: Body, panel: Body) -> Edit:
    """Return the job with a panel added at the end of the walk, under a name that is free."""
    name = free_name(panel["name"], [p["name"] for p in body["panels"]])
    return Edit({**body, "panels": [*body["panels"], {**panel, "name": name}]}, f"panel {name} added")


def change_panel(body: Body, panel: str, was: Body, new: Mapping[str, Any]) -> Edit:
    """Return the job with fields of a panel changed; a new name goes along to the test spot."""
    found, fields = changed(Panel, panel_at(body, panel), was, new, panel)
    made = with_panel(body, panel, lambda _: found)
    return Edit(_renamed_spot(made, "panel", panel, found["name"], panel), f"{panel}: {told(fields, new)}")


def take_out_panel(body: Body, panel: str) -> Edit:
    """Return the job without a panel, and without a test spot on it; raises BadValue for the last panel."""
    panel_at(body, panel)
    left = [p for p in body["panels"] if p["name"] != panel]
    if not left:
        raise BadValue("panel", panel, "it is the only one; a job needs a panel, so add another first")
    return _without_spot({**body, "panels": left}, f"panel {panel} taken out", panel)


def move_panel(body: Body, panel: str, by: int) -> Edit:
    """Return the job with a panel earlier (``by`` under 0) or later in the walk; at the end it stays."""
    moved, rest = panel_at(body, panel), [p for p in body["panels"] if p["name"] != panel]
    place = [p["name"] for p in body["panels"]].index(panel)
    to = max(0, min(len(rest), place + by))
    return Edit({**body, "panels": [*rest[:to], moved, *rest[to:]]},
                f"{panel} now no. {to + 1} of the walk")


SIZE_REMEDY = "type width and height in m, as in 1.45 1.40"


def read_size(text: str) -> dict[str, float] | None:
    """Return a typed size of a panel; None for an empty box. Raises BadValue for anything but two numbers.

    >>> read_size("1.45 x 1.40"), read_size(" ")
    ({'width': 1.45, 'height': 1.4}, None)
    """
    pair = read_pair(text, "size, m", SIZE_REMEDY)
    return None if pair is None else {"width": pair[0], "height": pair[1]}


def size_text(size_m: Mapping[str, float] | None) -> str:
    """Return a size for a box, as it is typed."""
    return "" if not size_m else numbers_words(size_m["width"], size_m["height"])


# Zones

def add_zone(body: Body, panel: str, zone: Body) -> Edit:
    """Return the job with a zone added to a panel, under a name that is free."""
    name = free_name(zone["name"], [z["name"] for z in panel_at(body, panel)["zones"]])
    made = with_panel(body, panel, lambda p: {**p, "zones": [*p["zones"], {**zone, "name": name}]})
    return Edit(made, f"{panel}: zone {name} added")


def change_zone(body: Body, panel: str, zone: str, was: Body, new: Mapping[str, Any]) -> Edit:
    """Return the job with fields of a zone changed; a new name goes along to the test spot."""
    found, fields = changed(Zone, zone_at(body, panel, zone), was, new, f"{panel}, {zone}")
    made = with_zone(body, panel, zone, lambda _: found)
    return Edit(_renamed_spot(made, "zone", zone, found["name"], panel), f"{panel}, {zone}: {told(fields, new)}")


def take_out_zone(body: Body, panel: str, zone: str) -> Edit:
    """Return the job without a zone, and without a test spot on it; raises BadValue for the last zone."""
    zone_at(body, panel, zone)
    left = [z for z in panel_at(body, panel)["zones"] if z["name"] != zone]
    if not left:
        raise BadValue("zone", zone, "it is the panel's only one; add another first, or take the panel out", panel)
    made = with_panel(body, panel, lambda p: {**p, "zones": left})
    return _without_spot(made, f"{panel}: zone {zone} taken out", panel, zone)


def _renamed_spot(body: Entry, field: str, old: str, new: str, panel: str) -> Entry:
    spot = body.get("test_spot")
    if not spot or old == new or spot.get("panel") != panel or spot.get(field) != old:
        return body
    return {**body, "test_spot": {**spot, field: new}}


def _without_spot(body: Entry, wording: str, panel: str, zone: str | None = None) -> Edit:
    spot = body.get("test_spot")
    if spot and spot.get("panel") == panel and zone in (None, spot.get("zone")):
        return Edit({**body, "test_spot": None}, f"{wording}, with its test spot")
    return Edit(body, wording)
