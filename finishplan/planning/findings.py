"""What a job file leaves open: gaps and odd values."""

from __future__ import annotations

from finishplan import reference, wording
from finishplan.planning.result import Plan, ZonePlan
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job, Panel
from finishplan.where_typed import GIVE_SIZE, PANEL, ROOM

ODD_AREA_FACTOR = 2.0
"""An area this many times over or under the table's is asked about."""


def findings(job: Job, plan: Plan, profile: Profile) -> tuple[str, ...]:
    """Return what is missing or odd in a job, in walking order, the job's own first."""
    found = []
    if job.finish_id.result != "polyester":
        found.append(f"finish: {job.finish_id.result}; identify it on a hidden spot before anything else")
    if job.build == "unknown":
        found.append("build: unknown; as long as it is, more film must stay")
    if job.instrument.year is None:
        found.append("instrument: year unknown; an old finish may hold lead")
    if job.site.room_m3 is None:
        found.append(f"room: its volume is not given ({ROOM}); without it no air sum can be made")
    found += area_findings(job)
    for panel, planned in zip(job.panels, plan.panels, strict=True):
        found += panel_findings(panel)
        for zone in planned.zones:
            found += zone_findings(planned.name, zone, profile)
    return tuple(found)


def area_findings(job: Job) -> list[str]:
    """Return the parts whose panels together are far from the table's area."""
    found = []
    for row in reference.rows("part_areas"):
        panels = [panel for panel in job.panels if panel.part == row["part"]]
        area = sum(zone.area_m2 for panel in panels for zone in panel.zones)
        usual = float(row["area_m2"])
        kind = job.instrument.kind
        if panels and kind in (None, row["instrument"]) and not 1 / ODD_AREA_FACTOR <= area / usual <= ODD_AREA_FACTOR:
            found.append(
                f"{row['part']}: {wording.area_words(area)} m2 in all; the table has {wording.area_words(usual)}: "
                "measure again"
            )
    return found


def panel_findings(panel: Panel) -> list[str]:
    """Return what is odd about one panel."""
    found = []
    spotted = any(d.at is not None for z in panel.zones for d in z.defects)
    if spotted and panel.size_m is None:
        found.append(
            f"{panel.name}: defects have a place but the panel no width and height ({PANEL}); "
            "distances to the edge are not looked at"
        )
    return found


def zone_findings(panel: str, zone: ZonePlan, profile: Profile) -> list[str]:
    """Return what is missing or odd in one zone."""
    at = f"{panel}, {zone.name}"
    found = []
    if zone.readings == 0:
        found.append(f"{at}: no reading; film is {wording.film_from_words(zone.film_from, 0)}")
    elif zone.readings < profile.policy.min_readings:
        found.append(f"{at}: {wording.counted(zone.readings, 'reading')}; {profile.policy.min_readings} are the least")
    if zone.suspect_readings:
        found.append(f"{at}: a reading may be a surface echo; read again beside it")
    for defect in zone.defects:
        name = wording.defect_words(defect.kind, defect.count)
        if defect.depth_from == "guessed from kind" and defect.repair not in ("leave", "clean"):
            found.append(f"{at}: {name}: depth guessed from kind; a test spot or a measured depth settles it")
        if defect.repair == "fill" and defect.fill_volume_cm3 is None:
            found.append(f"{at}: {name}: no size for the fill; {GIVE_SIZE}")
    return found
