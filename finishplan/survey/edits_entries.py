"""Edits of what is found in a zone: film readings, defects, and the test spot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from finishplan import wording
from finishplan.errors import BadValue
from finishplan.survey.edits import ANY, Body, Edit, EditClash, Entry, changed, told, value_words, with_zone, zone_at
from finishplan.survey.job import Defect, Reading, TestSpot
from finishplan.survey.typed_row import numbers_words, read_pair, row_words

USUAL_KINDS = ("scratch", "fine_scratch", "swirls", "dull_area", "nick", "chip", "edge_chip", "etch", "sanding_marks",
               "orange_peel", "lifted_film", "crack")
"""The kinds met most often (common practice, no source): offered first, the others one tap away."""
DEFAULT_METHOD = "ultrasonic"


# Readings

def add_readings(
    body: Body, panel: str, zone: str, values_um: Sequence[float], method: str = DEFAULT_METHOD,
    spot: int | None = None, at: Mapping[str, float] | None = None, note: str = "",
) -> Edit:
    """Return the job with readings of one spot added to a zone, in order; raises BadValue for none."""
    if not values_um:
        raise BadValue("readings", "none", "type at least one")
    shared: Entry = {"method": method, "spot": spot, "at": None if at is None else dict(at), "note": note or None}
    shared = {name: value for name, value in shared.items() if value is not None}
    new = [{"um": _whole(um), **shared} for um in values_um]
    word = "reading" if len(new) == 1 else "readings"
    return Edit(_added(body, panel, zone, "readings", new),
                f"{panel}, {zone}: {word} {row_words(values_um)} um{_spot_words(spot)}, {method}")


def change_reading(
    body: Body, panel: str, zone: str, index: int, was: Body, new: Mapping[str, Any]
) -> Edit:
    """Return the job with fields of one reading changed; ``was`` is the reading as it was read."""
    at, entry = _found(body, panel, zone, "readings", index, was)
    made, fields = changed(Reading, entry, was, new, f"{panel}, {zone}, reading {at + 1}")
    return Edit(_replaced(body, panel, zone, "readings", at, made),
                f"{panel}, {zone}: reading {value_words(entry['um'])} um: {told(fields, new)}")


def take_out_reading(body: Body, panel: str, zone: str, index: int, was: Body) -> Edit:
    """Return the job without one reading."""
    at, entry = _found(body, panel, zone, "readings", index, was)
    return Edit(_replaced(body, panel, zone, "readings", at, None),
                f"{panel}, {zone}: reading {value_words(entry['um'])} um taken out")


def known_um(body: Body, panel: str, zone: str) -> tuple[float, ...]:
    """Return the film read in a zone so far [um]."""
    return tuple(float(reading["um"]) for reading in zone_at(body, panel, zone).get("readings") or ())


def next_spot(body: Body) -> int:
    """Return the number of the next reading spot: one more than the highest of the job."""
    spots = [reading.get("spot") or 0 for panel in body["panels"] for zone in panel["zones"]
             for reading in zone.get("readings") or ()]
    return max(spots, default=0) + 1


def unplaced_spot(body: Body, panel: str, zone: str) -> tuple[int, ...]:
    """Return the indices of the first readings without a place: all of one spot, or one without a number."""
    readings = zone_at(body, panel, zone).get("readings") or ()
    free = [k for k, reading in enumerate(readings) if reading.get("at") is None]
    if not free:
        return ()
    spot = readings[free[0]].get("spot")
    return tuple(k for k in free if readings[k].get("spot") == spot) if spot is not None else (free[0],)


def place_readings(body: Body, panel: str, zone: str, at: Mapping[str, float]) -> Edit:
    """Return the job with the first readings that have no place put at ``at``; raises BadValue where all have."""
    chosen = unplaced_spot(body, panel, zone)
    if not chosen:
        raise BadValue("place", value_words(dict(at)), "every reading here has its place; type a reading first")
    readings = [dict(reading) for reading in zone_at(body, panel, zone)["readings"]]
    for k in chosen:
        readings[k]["at"] = dict(at)
    made = with_zone(body, panel, zone, lambda z: {**z, "readings": readings})
    films = row_words([readings[k]["um"] for k in chosen])
    return Edit(made, f"{panel}, {zone}: place of {films} um{_spot_words(readings[chosen[0]].get('spot'))}")


def _spot_words(spot: int | None) -> str:
    return "" if spot is None else f" at spot {spot}"


def _whole(um: float) -> float:
    """Return whole film as a whole number, so that a file reads 412 and not 412.0."""
    return int(um) if float(um).is_integer() else float(um)


# Defects

def add_defect(body: Body, panel: str, zone: str, defect: Body) -> Edit:
    """Return the job with a defect added to a zone, after those that are there."""
    name = wording.defect_words(defect["kind"], defect.get("count", 1))
    return Edit(_added(body, panel, zone, "defects", [dict(defect)]), f"{panel}, {zone}: {name} added")


def change_defect(body: Body, panel: str, zone: str, index: int, was: Body, new: Mapping[str, Any]) -> Edit:
    """Return the job with fields of one defect changed; ``was`` is the defect as it was read."""
    at, entry = _found(body, panel, zone, "defects", index, was)
    made, fields = changed(Defect, entry, was, new, f"{panel}, {zone}, defect {at + 1}")
    return Edit(_replaced(body, panel, zone, "defects", at, made),
                f"{panel}, {zone}: {wording.defect_words(made['kind'])}, {told(fields, new)}")


def take_out_defect(body: Body, panel: str, zone: str, index: int, was: Body) -> Edit:
    """Return the job without one defect; a test spot made on it goes along, one made on a later stays with it."""
    at, entry = _found(body, panel, zone, "defects", index, was)
    made = _replaced(body, panel, zone, "defects", at, None)
    said = f"{panel}, {zone}: {wording.defect_words(entry['kind'], entry.get('count', 1))} taken out"
    spot = body.get("test_spot")
    if spot and (spot["panel"], spot["zone"]) == (panel, zone):
        if spot["defect"] == at:
            return Edit({**made, "test_spot": None}, f"{said}, with its test spot")
        if spot["defect"] > at:
            made = {**made, "test_spot": {**spot, "defect": spot["defect"] - 1}}
    return Edit(made, said)


def add_photo(body: Body, panel: str, zone: str, index: int, was: Body, digest: str) -> Edit:
    """Return the job with a photo, named by its digest, listed at a defect; once is enough."""
    at, entry = _found(body, panel, zone, "defects", index, was)
    photos = list(dict.fromkeys([*(entry.get("photos") or ()), digest]))
    return Edit(_replaced(body, panel, zone, "defects", at, {**entry, "photos": photos}),
                f"{panel}, {zone}: photo of {wording.defect_words(entry['kind'])}")


# The test spot

def add_test_step(
    body: Body, panel: str, zone: str, defect: int, step: str, minutes: float, cleared: bool
) -> Edit:
    """Return the job with a step added to the test spot on a defect, which it starts if it is on another.

    Raises BadValue where the defect was gone after the step before: then nothing is left to try.
    """
    zone_at(body, panel, zone)
    spot = body.get("test_spot")
    here = {"panel": panel, "zone": zone, "defect": defect}
    if not spot or any(spot.get(name) != value for name, value in here.items()):
        spot = {**here, "steps": []}
    if spot["steps"] and spot["steps"][-1].get("cleared"):
        raise BadValue("step", step, f"the defect was gone after {spot['steps'][-1]['step']}; start the test anew")
    tried = {"step": step, "minutes": minutes, "cleared": cleared}
    gone = ", defect gone" if cleared else ", defect still there"
    return Edit({**body, "test_spot": {**spot, "steps": [*spot["steps"], tried]}},
                f"test spot on {panel}, {zone}: {step} {minutes:g} min{gone}")


def set_test_readings(
    body: Body, was: Body, before: Sequence[float] | None = None, after: Sequence[float] | None = None
) -> Edit:
    """Return the job with film [um] read before or after the test spot; None leaves what stands.

    ``was`` is the test spot as it was read. Raises BadValue where there is none.
    """
    typed = {"before": before, "after": after}
    new = {when: [_whole(um) for um in row] for when, row in typed.items() if row is not None}
    made, fields = changed(TestSpot, _spot_of(body), was, new, "test spot")
    said = "; ".join(f"{when}: {row_words(made[when]) or 'not'}" for when in fields)
    return Edit({**body, "test_spot": made}, f"test spot read {said}")


def take_out_test_step(body: Body) -> Edit:
    """Return the job without the last step of its test spot; without the test spot when it was the only one."""
    spot = _spot_of(body)
    last, rest = spot["steps"][-1], spot["steps"][:-1]
    return Edit({**body, "test_spot": {**spot, "steps": rest} if rest else None},
                f"test spot: {last['step']} taken out")


def _spot_of(body: Body) -> Entry:
    spot = body.get("test_spot")
    if not spot:
        raise BadValue("test spot", "not there", "enter its first step first")
    return dict(spot)


# Lists of a zone

def _added(body: Body, panel: str, zone: str, field: str, new: Sequence[Entry]) -> Entry:
    return with_zone(body, panel, zone, lambda z: {**z, field: [*(z.get(field) or ()), *new]})


def _replaced(body: Body, panel: str, zone: str, field: str, at: int, entry: Entry | None) -> Entry:
    entries = list(zone_at(body, panel, zone)[field])
    entries[at:at + 1] = [] if entry is None else [entry]
    return with_zone(body, panel, zone, lambda z: {**z, field: entries})


def _found(body: Body, panel: str, zone: str, field: str, index: int, was: Body) -> tuple[int, Entry]:
    """Return where the entry that was read stands now; raises EditClash where it is not there any more.

    An entry that only moved because others came or went is found by what it is; of several alike, the nearest.
    """
    entries = list(zone_at(body, panel, zone).get(field) or ())
    word = field.removesuffix("s")
    if was is ANY and index < len(entries):
        return index, dict(entries[index])
    same = [k for k, entry in enumerate(entries) if entry == was]
    if same:
        at = min(same, key=lambda k: abs(k - index))
        return at, dict(entries[at])
    name = f"{value_words(was.get('um'))} um" if field == "readings" else wording.defect_words(was.get("kind") or "")
    raise EditClash(f"{panel}, {zone}: the {word} {name} was changed or taken out meanwhile; look at what stands now")


# Places

PLACE_REMEDY = "type percent across and percent up, 0 to 100, as in 31 62"


def read_place(text: str) -> dict[str, float] | None:
    """Return a typed place on the drawing as shares, from percent across and up; None for an empty box.

    Raises BadValue for anything but two numbers of 0 to 100.

    >>> read_place("31 62"), read_place("")
    ({'x': 0.31, 'y': 0.62}, None)
    """
    pair = read_pair(text, "place, %", PLACE_REMEDY)
    if pair is None:
        return None
    if not all(0 <= percent <= 100 for percent in pair):
        raise BadValue("place, %", text, PLACE_REMEDY)
    return {"x": round(pair[0] / 100, 4), "y": round(pair[1] / 100, 4)}


def place_text(at: Mapping[str, float] | None) -> str:
    """Return a place for a box, in percent across and up; empty where there is none.

    >>> place_text({"x": 0.31, "y": 0.62}), place_text(None)
    ('31 62', '')
    """
    return "" if not at else numbers_words(round(100 * at["x"], 2), round(100 * at["y"], 2))


def depth_text(depth_um: float | Mapping[str, float] | None) -> str:
    """Return a depth for a box, as it is typed.

    >>> depth_text(14), depth_text({"low": 1, "likely": 2, "high": 4}), depth_text(None)
    ('14', '1 2 4', '')
    """
    if isinstance(depth_um, Mapping):
        return numbers_words(depth_um["low"], depth_um["likely"], depth_um["high"])
    return numbers_words(depth_um)


def is_placed(body: Body, panel: str, zone: str, at: Mapping[str, float]) -> bool:
    """Tell whether something of a zone stands exactly at ``at``."""
    found = zone_at(body, panel, zone)
    return any(entry.get("at") == dict(at) for what in ("readings", "defects") for entry in found.get(what) or ())
