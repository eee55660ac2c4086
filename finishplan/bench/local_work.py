"""Local work before the panel's own steps: fills first with their waiting times, then spots in their rings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from finishplan.bench.checks import whole_um
from finishplan.bench.places import Mark
from finishplan.bench.step_texts import StepText, text_of
from finishplan.planning.materials import cure_hours
from finishplan.planning.problem import edge_distance_m
from finishplan.planning.removal import least_reading_um
from finishplan.planning.result import DefectPlan, PanelPlan, ZonePlan
from finishplan.shop.profile import Profile
from finishplan.survey.defects import KINDS
from finishplan.survey.film import METHODS
from finishplan.survey.job import Defect, Job, Panel, Zone
from finishplan.units import MM_PER_M

LOCAL = ("fill", "spot")
"""Repairs done inside their own rings, in the order of work."""


@dataclass(frozen=True)
class LocalMark:
    """One mark of a piece of local work: where, how wide its ring, and the least film beside it."""

    letter: str
    words: str
    where: str
    count: int
    ring_mm: int | None
    """Radius round the mark, rounded up to 5 mm; None for a fill."""
    least_um: int
    """Least reading beside the mark before it is touched, rounded up."""
    note: str


@dataclass(frozen=True)
class LocalRow:
    """One thing done inside the rings."""

    step: str
    wet: bool | None
    wait: str
    text: StepText


@dataclass(frozen=True)
class LocalWork:
    """Marks of one zone that get the same repair with the same sheets."""

    repair: str
    zone: str
    marks: tuple[LocalMark, ...]
    rows: tuple[LocalRow, ...]
    minutes: float
    then: str
    warning: str


@dataclass(frozen=True)
class Place:
    """Where local work is done: the job, the shop, the panel and the zone, surveyed and planned."""

    job: Job
    profile: Profile
    panel: Panel
    zone: Zone
    panel_plan: PanelPlan
    zone_plan: ZonePlan

    @property
    def temperature_c(self) -> float:
        """Temperature of the site, else the one the cure times stand for."""
        given = self.job.site.temperature_c
        return self.profile.policy.cure_reference_c if given is None else given


@dataclass(frozen=True)
class Group:
    """What tells one piece of local work from another."""

    repair: str
    steps: tuple[str, ...]
    dam: bool
    pours: int
    opened: bool


def local_work(
    job: Job, profile: Profile, panel: Panel, plan: PanelPlan, marks: tuple[Mark, ...]
) -> tuple[LocalWork, ...]:
    """Return a panel's local work in order: fills, then spots, zone by zone."""
    found: dict[tuple[str, Group], list[tuple[DefectPlan, Mark]]] = {}
    places: dict[str, Place] = {}
    left = iter(marks)
    for zone, zone_plan in zip(panel.zones, plan.zones, strict=True):
        place = places[zone.name] = Place(job, profile, panel, zone, plan, zone_plan)
        for entry in zone_plan.defects:
            mark = next(left) if entry.index is not None else None
            if mark is not None and entry.repair in LOCAL:
                found.setdefault((zone.name, group_of(place, entry)), []).append((entry, mark))
    work = [work_of(places[zone], group, entries) for (zone, group), entries in found.items()]
    return tuple(sorted(work, key=lambda w: LOCAL.index(w.repair)))


def group_of(place: Place, entry: DefectPlan) -> Group:
    """Return the group of one entry."""
    policy, defect = place.profile.policy, defect_of(place, entry)
    if entry.repair == "spot":
        return Group("spot", entry.local_steps, False, 0, False)
    depth = entry.planning_depth_um
    full = depth / policy.soften_share if depth is not None and entry.asked == "soften" else depth
    deep = full is not None and full > policy.second_pour_over_um
    narrow = defect.width_mm is not None and defect.width_mm < policy.fill_min_width_mm
    stands = place.panel.position == "upright" and not place.panel.off
    return Group("fill", entry.local_steps, stands, 2 if deep else 1, narrow)


def defect_of(place: Place, entry: DefectPlan) -> Defect:
    """Return the surveyed entry behind a planned one."""
    assert entry.index is not None
    return place.zone.defects[entry.index]


def work_of(place: Place, group: Group, entries: list[tuple[DefectPlan, Mark]]) -> LocalWork:
    """Return one piece of local work."""
    rows = fill_rows(place, group) if group.repair == "fill" else spot_rows(place, group)
    zone = place.zone_plan
    taken = [at for at, s in enumerate(place.panel_plan.steps, start=1) if zone.name in {z.zone for z in s.zones}]
    steps = f"steps {taken[0]} to {taken[-1]}" if len(taken) > 1 else f"step {taken[0]}"
    wait = wait_words(place, place.profile.policy.cure_finish_h, group.pours) + ": " if group.repair == "fill" else ""
    return LocalWork(
        group.repair, zone.name, tuple(local_mark(place, entry, mark) for entry, mark in entries), rows,
        sum(entry.minutes for entry, _ in entries),
        f"{wait}{steps} with the rest",
        cold_room(place) if group.repair == "fill" else "",
    )


def local_mark(place: Place, entry: DefectPlan, mark: Mark) -> LocalMark:
    """Return one mark with its ring and the least reading beside it."""
    ring = math.ceil((entry.feather_mm or 0.0) / 5.0 - 1e-9) * 5 if entry.repair == "spot" else None
    note = KINDS[entry.kind].note if entry.repair == "fill" and KINDS[entry.kind].note and only_resin(entry) else ""
    return LocalMark(mark.letter, mark.words, mark.where, entry.count, ring, least_beside_um(place, entry), note)


def only_resin(entry: DefectPlan) -> bool:
    """Whether nothing but resin mends this kind: then the table's note is about filling."""
    return not {"buff", "sand", "spot"} & set(KINDS[entry.kind].repairs)


def least_beside_um(place: Place, entry: DefectPlan) -> int:
    """Return the least reading [um] beside a mark before local work, rounded up.

    As for a zone (see ``least_reading_um``), with what is taken there in place of what the zone loses; a
    spot that reaches over an edge counts an edge's overcut.
    """
    zone, policy = place.zone_plan, place.profile.policy
    overcut = zone.overcut
    edge_m = edge_distance_m(place.panel, defect_of(place, entry))
    if edge_m is not None and entry.feather_mm is not None and entry.feather_mm / MM_PER_M > edge_m + 1e-9:
        overcut = policy.overcut_of(place.panel_plan.worker, True)
    last = place.panel_plan.steps[-1].step
    methods = {r.method for r in place.zone.readings if r.method != "estimate"} or {"ultrasonic"}
    needed = max(
        least_reading_um(zone.keep_um, entry.film_needed_um or 0.0, place.profile.step(last).scratch_depth_um,
                         overcut, METHODS[m].bias_um, METHODS[m].bias_share)
        for m in methods
    )
    return max(whole_um(needed), whole_um(zone.least_start_um))


def cold_room(place: Place) -> str:
    """Return what is said where the room is too cold for a fill, or its warmth not known."""
    policy = place.profile.policy
    if place.job.site.temperature_c is None:
        return f"room temperature not known: waits hold at {policy.cure_reference_c:g} C, colder is longer"
    if place.temperature_c < policy.cure_min_c:
        return (f"DO NOT POUR: the room is at {place.temperature_c:g} C and no fill goes under "
                f"{policy.cure_min_c:g} C; warm it first")
    return ""


def wait_words(place: Place, hours: float, pours: int) -> str:
    """Return a waiting time of a fill at the site's temperature.

    The sheet of the resin's supplier rules where it asks for longer.
    """
    found = cure_hours(hours, place.temperature_c, place.profile.policy)
    return f"not before {math.ceil(found - 1e-9)} h after the {'last ' if pours > 1 else ''}pour"


def fill_rows(place: Place, group: Group) -> tuple[LocalRow, ...]:
    """Return the rows of a fill: prepare, pour, cut after one wait, finish after the longer one."""
    policy = place.profile.policy
    opened = f"open to at least {policy.fill_min_width_mm:g} mm, " if group.opened else ""
    rows = [LocalRow(f"{opened}prepare", None, "", text_of("local", "fill_prepare"))]
    if group.dam:
        rows.append(LocalRow("dam", None, "", text_of("local", "fill_dam")))
    rows.append(LocalRow("pour", None, "", text_of("local", "fill_pour")))
    if group.pours > 1:
        rows.append(LocalRow("second pour", None, "", text_of("local", "fill_second_pour")))
    for at, name in enumerate(group.steps):
        wait = wait_words(place, policy.cure_finish_h if at else policy.cure_cut_h, group.pours)
        rows.append(sheet_row(place, name, "fill_next" if at else "fill_first", wait if at < 2 else ""))
    return tuple(rows)


def spot_rows(place: Place, group: Group) -> tuple[LocalRow, ...]:
    """Return the rows of a spot: ring, then the short ladder of sheets."""
    sheets = [sheet_row(place, name, "spot_next" if at else "spot_first", "") for at, name in enumerate(group.steps)]
    return (LocalRow("ring", None, "", text_of("local", "spot_ring")), *sheets)


def sheet_row(place: Place, name: str, key: str, wait: str) -> LocalRow:
    """Return the row of one local sheet."""
    return LocalRow(name, place.profile.step(name).wet, wait, text_of("local", key))
