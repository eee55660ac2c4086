"""What a job file must hold beyond the limits of each field: outline, names, depths, crew."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from finishplan.errors import BadValue, FinishplanError, as_filed
from finishplan.survey.defects import KINDS
from finishplan.survey.job import JOB_FORMAT, JOB_VERSION, Defect, Depth, Job, Panel, TestSpot, Zone


def check_outline(raw: Any) -> None:
    """Refuse what is no job file at all, before its fields are read."""
    if not isinstance(raw, dict):
        raise FinishplanError("this is not a job file; a job file is one JSON object in { }")
    if "format" not in raw:
        raise FinishplanError(f'format is missing; a job file says "format": "{JOB_FORMAT}"')
    if raw["format"] != JOB_FORMAT:
        raise BadValue("format", as_filed(raw["format"]), f'a job file says "format": "{JOB_FORMAT}"')
    version = raw.get("version")
    if version != JOB_VERSION or isinstance(version, bool):
        raise BadValue(
            "version",
            as_filed(version),
            f"this program reads job files of version {JOB_VERSION}; a newer file needs a newer program",
        )


def check_job(job: Job) -> None:
    """Raise a FinishplanError for what no single field shows to be wrong."""
    no_twins("panel", (panel.name for panel in job.panels), "")
    for panel in job.panels:
        no_twins("zone", (zone.name for zone in panel.zones), f"panel {panel.name!r}")
        check_crew(job, panel)
        for zone in panel.zones:
            for number, defect in enumerate(zone.defects, start=1):
                check_depth(panel, zone, number, defect)
    check_test_spot(job)


def no_twins(what: str, names: Iterable[str], where: str) -> None:
    """Refuse a name that stands twice."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise BadValue(f"{what} name", name, "it stands twice; give each its own name", where)
        seen.add(name)


def check_crew(job: Job, panel: Panel) -> None:
    """Refuse a trainee on the lean first cut, and the wheel on a part that is still on the instrument."""
    where = f"panel {panel.name!r}"
    worker = panel.worker or job.crew.worker
    if worker == "trainee" and job.crew.first_cut == "lean":
        raise BadValue(
            "first_cut", "lean", "lean is for a finisher only; use levels, or give the panel to a finisher", where
        )
    if panel.compounds_by == "wheel" and not panel.off:
        raise BadValue(
            "compounds_by", "wheel", 'only a loose part goes to the wheel; set "off": true, or use rotary', where
        )


def check_depth(panel: Panel, zone: Zone, number: int, defect: Defect) -> None:
    """Refuse a typed depth over the zone's film, for a kind that can be worked out of it, without a note."""
    if defect.depth_um is None or defect.note:
        return
    if not {"buff", "sand", "spot"} & set(KINDS[defect.kind].repairs):
        return
    film = mean_film_um(zone)
    depth = defect.depth_um.likely if isinstance(defect.depth_um, Depth) else defect.depth_um
    if film is not None and depth > film:
        raise BadValue(
            "depth_um",
            depth,
            f"it is deeper than the film there (mean {film:.0f} um); correct it, or add a note that says why",
            f"panel {panel.name!r}, zone {zone.name!r}, defect {number}",
        )


def mean_film_um(zone: Zone) -> float | None:
    """Return the mean of a zone's readings in um, else its estimate, else None."""
    if zone.readings:
        return sum(reading.um for reading in zone.readings) / len(zone.readings)
    return zone.film_estimate_um


def check_test_spot(job: Job) -> None:
    """Refuse a test spot that stands on no panel, zone or defect of the job."""
    spot = job.test_spot
    if spot is None:
        return
    panel = next((p for p in job.panels if p.name == spot.panel), None)
    if panel is None:
        raise BadValue("panel", spot.panel, "no panel of the job has that name", "test_spot")
    zone = next((z for z in panel.zones if z.name == spot.zone), None)
    if zone is None:
        raise BadValue("zone", spot.zone, f"panel {panel.name!r} has no zone of that name", "test_spot")
    if spot.defect >= len(zone.defects):
        last = f"the zone's last is {len(zone.defects) - 1}" if zone.defects else "the zone has none"
        raise BadValue("defect", spot.defect, f"defects count from 0, and {last}; name one of them", "test_spot")
    check_film_fell(spot)
    early = next((step for step in spot.steps[:-1] if step.cleared), None)
    if early is not None:
        raise BadValue("cleared", as_filed(True), "only the last step can be; drop the steps after it",
                       f"test_spot, step {early.step!r}")


def check_film_fell(spot: TestSpot) -> None:
    """Refuse a test spot whose film is no less after than before: the gauge, not the hand, made that difference."""
    if not spot.before or not spot.after:
        return
    was, now = sum(spot.before) / len(spot.before), sum(spot.after) / len(spot.after)
    if now >= was:
        raise BadValue("after", now, f"its mean must be under the mean before, {was:g} um; read the marked spot again",
                       "test_spot")
