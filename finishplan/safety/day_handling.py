"""Dust, lid and wheel of a job as its plan has them."""

from __future__ import annotations

from dataclasses import replace

from finishplan import reference
from finishplan.planning.result import ZonePlan
from finishplan.reference import Sourced
from finishplan.safety.air_figures import Law, Workroom
from finishplan.safety.handling_figures import dust_figures, lid_figures, wheel_figure
from finishplan.safety.limits import Limit, jurisdictions, limits_of, said_of
from finishplan.safety.shop_figures import of_shop
from finishplan.safety.situation import Situation
from finishplan.safety.worked import Worked, assumed, typed
from finishplan.units import MM_PER_M, UM_PER_M

LIFTERS = 2
"""People at a lid where one does not work alone; the table of hardware tasks has the same."""
OTHER_FACE = ("underside", "under side", "underneath", "inside", "edge", "lower face")
"""Words of panels that are a second face, or the edge, of a lid that another panel stands for."""
LID_ROWS = {"upright": "top lid", "grand": "main and front lid, one face"}
"""The rows of the table of part areas that stand for a lid nobody surveyed, by instrument."""
DUSTS = ("wood dust", "dust of any kind, inhalable", "dust of any kind, respirable")
"""Dusts whose local limits are shown beside the dust sum."""


def dust_of_job(situation: Situation, room: Workroom, law: Law) -> tuple[Worked, ...]:
    """Return the dust figures of all dry sheets, with local dust limits beside them; none where all is wet."""
    if situation.dry_cm3 <= 0.0:
        return ()
    taken = assumed("film taken dry", situation.dry_cm3, "cm3", "film taken by the plan's dry sheets")
    beside = tuple(f"{one.substance}: {said_of(one)}" for one in dust_limits(law))
    return tuple(replace(f, notes=(*f.notes, *beside)) for f in dust_figures(taken, room))


def dust_limits(law: Law) -> tuple[Limit, ...]:
    """Return the dust limits of the place and those that the shop typed in."""
    own = law.local or {}
    return tuple(one for name in DUSTS for one in (*own.get(name, ()), *limits_of(name, jurisdictions(law.place))))


def lid_of_job(situation: Situation) -> tuple[Worked, ...]:
    """Return the weight and shares of the lid; none where no lid comes off."""
    if not situation.lid_off:
        return ()
    zones = lid_zones(situation)
    people = 1 if situation.job.site.alone else LIFTERS
    name = "thickness of the lid"
    own = of_shop(situation.profile.policy, "lid_thickness_mm", name, "mm")
    thickness = own or assumed(name, situation.profile.policy.lid_thickness_mm, "mm", "nobody measured it")
    return lid_figures(lid_area(situation, zones), thickness, film_of(zones), people)


def lid_zones(situation: Situation) -> tuple[ZonePlan, ...]:
    """Return the zones of the lid's one face: of the panels off, else of all its panels."""
    lids = [(j, p) for j, p in zip(situation.job.panels, situation.plan.panels, strict=True)
            if situation.is_lid(j.part or j.name)]
    lids = [(j, p) for j, p in lids if j.off] or lids
    faces = [(j, p) for j, p in lids
             if not any(word in f"{j.name} {j.part or ''}".lower() for word in OTHER_FACE)]
    return tuple(zone for _, panel in (faces or lids) for zone in panel.zones)


def lid_area(situation: Situation, zones: tuple[ZonePlan, ...]) -> Sourced:
    """Return the area of the lid's one face: as surveyed, else of the table of part areas."""
    if zones:
        return typed("area of the lid", sum(zone.area_m2 for zone in zones), "m2", "the survey's zones")
    kind = "upright" if "upright" in (situation.job.instrument.kind or "").lower() else "grand"
    row = next(r for r in reference.rows("part_areas") if r["instrument"] == kind and r["part"] == LID_ROWS[kind])
    return assumed("area of the lid", float(row["area_m2"]), "m2", f"no lid is surveyed: {row['part']} of a {kind}")


def film_of(zones: tuple[ZonePlan, ...]) -> Sourced:
    """Return the film of both faces together, both taken to be as thick as the surveyed one."""
    area = sum(zone.area_m2 for zone in zones)
    if not zones or area <= 0.0:
        return assumed("film of both faces", 0.8, "mm", "0.4 mm a face")
    mean_mm = sum(zone.area_m2 * zone.film_mean_um for zone in zones) / area * MM_PER_M / UM_PER_M
    return assumed("film of both faces", 2.0 * mean_mm, "mm", "the other face as the surveyed one")


def wheel_of_job(situation: Situation) -> tuple[Worked, ...]:
    """Return the rim speed of the shop's wheel; none where nothing goes to a wheel."""
    if not situation.wheel:
        return ()
    tool = situation.profile.tool("wheel", "compound")
    given = (("wheel diameter", tool.diameter_m, "m"), ("wheel speed", tool.rpm, "rpm"),
             ("speed marked on the wheel", tool.marked_rpm, "rpm"))
    return (wheel_figure(*(None if value is None else typed(name, value, unit) for name, value, unit in given)),)
