"""The film record: what a service took from each zone, what is left, and the next job that starts from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from finishplan import wording
from finishplan.bench.film_change import GUESS, mean_um
from finishplan.bench.log_lines import LogLine, MinutesLine, RepairLine, StepLine
from finishplan.bench.log_sums import counted, replans
from finishplan.bench.replan import BenchJob, at_the_bench
from finishplan.bench.zone_after import joined
from finishplan.bench.zones_now import ZoneNow
from finishplan.errors import FinishplanError, UnknownName
from finishplan.planning.removal import SLACK
from finishplan.planning.result import Plan
from finishplan.planning.risk_result import Risk
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job, Reading, Service, ServiceZone, Zone

SERVICES_MOST = 3
"""Services that are ever said to be left, whatever a policy says (one published account: 2 to 3 in 0.8 mm)."""
NOT_A_PROMISE = "a range, not a promise"
READ_AS = {
    "estimates": "the film is read again before anything is done; what was read is kept as a guess",
    "readings": "the instrument never left the shop: what was read still holds",
}
"""How the readings of a finished job stand in the next one."""


@dataclass(frozen=True)
class ZoneRecord:
    """One zone after a service."""

    panel: str
    zone: str
    film_um: float | None
    """Mean film now, as read; None where nobody has read since the last stroke."""
    by_plan_um: float
    """What the film should be by the plan: for a zone that was not read."""
    readings: int
    removal_um: float
    """What this service took."""
    removal_read: bool
    """Whether readings say so, or only the plan."""
    services: tuple[int, int] | None
    """How many services like this one are left; None where nothing was taken."""

    @property
    def known_um(self) -> float:
        """The film now, as read or else by the plan."""
        return self.by_plan_um if self.film_um is None else self.film_um


@dataclass(frozen=True)
class FilmRecord:
    """What one service did, for the instrument's record."""

    day: date
    by: str
    what: str
    zones: tuple[ZoneRecord, ...]


def film_record(
    job: Job, profile: Profile, plan: Plan, lines: Sequence[LogLine], day: date, risk: Risk | None = None
) -> FilmRecord:
    """Return the record of a service from the job and plan in force at its end and the whole log.

    ``risk`` is the audit whose draws give the services left; without one the range is not told. Raises
    FinishplanError where work on a panel is broken off: it is no finished job.
    """
    found = at_the_bench(job, profile, plan, lines)
    refuse_broken_off(found, lines)
    zones = tuple(zone_record(zone, lines, risk, profile) for zone in found.zones)
    return FilmRecord(day, who_worked(lines), what_was_done(found, lines), zones)


def refuse_broken_off(found: BenchJob, lines: Sequence[LogLine]) -> None:
    """Refuse to record a service that left a zone in the scratches of a step."""
    touched = {(taken.panel, taken.zone) for line in replans(lines) for taken in line.values.taken}
    left = {(panel.name, zone.name): zone.previous_step for panel in found.job.panels for zone in panel.zones}
    for now in found.zones:
        at = (now.panel, now.zone.name)
        if left[at] is not None and (now.worked or at in touched):
            raise FinishplanError(f"{now.panel}, {now.zone.name}: work is broken off after {left[at]}; finish the "
                                  "panel before the service is recorded")


def zone_record(now: ZoneNow, lines: Sequence[LogLine], risk: Risk | None, profile: Profile) -> ZoneRecord:
    """Return one zone's record."""
    earlier = [taken for line in replans(lines) for taken in line.values.taken
               if (taken.panel, taken.zone) == (now.panel, now.zone.name)]
    removal = sum(taken.removal_um for taken in earlier) + (now.taken_um if now.worked else 0.0)
    read = all(taken.read for taken in earlier) and (now.change is not None or not now.worked)
    real = [r for r in now.readings if r.method != GUESS]
    by_plan = max(0.0, now.plan.film_mean_um - (now.taken_by_plan_um if now.worked else 0.0))
    film = mean_um(real) if real else None
    drawn = None if risk is None or removal <= 0 else drawn_services(risk, now)
    left = None if drawn is None else services_left(
        drawn, by_plan if film is None else film, now.plan.keep_um, removal, profile.policy.services_most)
    return ZoneRecord(now.panel, now.zone.name, film, by_plan, len(real), removal, read and removal > 0, left)


def drawn_services(risk: Risk, now: ZoneNow) -> tuple[int, int] | None:
    """Return the services left after this one by the draws of the audit, 1 in 10 to 9 in 10."""
    zone = next((z for z in risk.zones if (z.panel, z.zone) == (now.panel, now.zone.name)), None)
    return zone.services.after if zone is not None and zone.services is not None else None


def services_left(
    drawn: tuple[int, int], film_um: float, keep_um: float, removal_um: float, most: int = SERVICES_MOST
) -> tuple[int, int]:
    """Return the range of services left: that of the draws, never over what the film now holds nor over three.

    The film now holds (film - keep)/removal whole services. Valid for a removal over 0.

    >>> services_left((2, 3), 300.0, 80.0, 100.0), services_left((1, 3), 800.0, 80.0, 20.0)
    ((2, 2), (1, 3))
    """
    holds = max(0, math.floor((film_um - keep_um) / removal_um + SLACK))
    top = min(SERVICES_MOST, most, holds)
    return min(drawn[0], top), min(drawn[1], top)


def who_worked(lines: Sequence[LogLine]) -> str:
    """Return the people who worked, in the order in which they began."""
    work = (StepLine, MinutesLine, RepairLine)
    return ", ".join(dict.fromkeys(line.who for line in counted(lines) if isinstance(line, work)))


def what_was_done(found: BenchJob, lines: Sequence[LogLine]) -> str:
    """Return what a service did, panel by panel: its steps, its fills and spots with their places."""
    said = []
    for panel in found.job.panels:
        here = [line for line in counted(lines) if line.panel == panel.name]
        steps = list(dict.fromkeys(line.step for line in here if isinstance(line, StepLine)))
        zones = [zone for zone in found.zones if zone.panel == panel.name]
        parts = [wording.listed(steps)] + [repair_words(line, zones) for line in here if isinstance(line, RepairLine)]
        if any(parts):
            said.append(f"{panel.name}: {'; '.join(part for part in parts if part)}")
    return wording.sentence(". ".join(said))[:4000]


def repair_words(line: RepairLine, zones: Sequence[ZoneNow]) -> str:
    """Return a fill or spot with its place where the survey in force has it."""
    for now in zones:
        if now.zone.name == line.zone and line.values.defect in now.repaired and (
                line.values.defect < len(now.zone.defects)):
            defect = now.zone.defects[line.values.defect]
            place = f" at {defect.at.x:.2f}, {defect.at.y:.2f}" if defect.at else ""
            return f"{line.values.repair} of {wording.defect_words(defect.kind, defect.count)} in {line.zone}{place}"
    return f"{line.values.repair} in {line.zone}"


def enter_service(job: Job, record: FilmRecord) -> Job:
    """Return the job with a service added to its instrument's record; film that nobody read is left out of it."""
    zones = tuple(
        ServiceZone(panel=zone.panel, zone=zone.zone, removal_um=zone.removal_um, film_um=zone.film_um)
        for zone in record.zones if zone.film_um is not None or zone.removal_um > 0
    )
    service = Service(date=record.day.isoformat(), what=record.what, by=record.by, zones=zones)
    return job.model_copy(update={"services": (*job.services, service)})


def next_job(
    job: Job, profile: Profile, plan: Plan, lines: Sequence[LogLine], record: FilmRecord, title: str,
    read_as: str = "estimates",
) -> Job:
    """Return the survey that the next job on the same instrument starts from.

    ``job`` and ``plan`` are those in force at the end of the service. Film as it was left, reading spots with
    their places, entries that stayed, and the record with this service. Dates, test spot, solvents and hardware
    are the old job's own and start empty. Raises UnknownName for a ``read_as`` that is not one of READ_AS.
    """
    if read_as not in READ_AS:
        raise UnknownName("readings", read_as, READ_AS)
    found = at_the_bench(job, profile, plan, lines)
    by_zone = {(now.panel, now.zone.name): now for now in found.zones}
    panels = tuple(
        panel.model_copy(update={"zones": tuple(
            next_zone(zone, by_zone[(panel.name, zone.name)], record, read_as) for zone in panel.zones)})
        for panel in found.job.panels
    )
    left = enter_service(found.job, record)
    return left.model_copy(update={
        "title": title, "due": None, "panels": panels, "test_spot": None, "solvents": (), "hardware": ()})


def next_zone(zone: Zone, now: ZoneNow, record: FilmRecord, read_as: str) -> Zone:
    """Return a zone as the next job finds it, before anybody has read or looked."""
    cleaned = {d.index for d in now.plan.defects if d.repair == "clean"} if now.worked else set()
    stayed = [defect for defect in zone.defects
              if defect not in [now.zone.defects[at] for at in cleaned if at is not None]]
    changes: dict[str, object] = {"defects": tuple(stayed)}
    if read_as == "estimates":
        changes["readings"] = tuple(as_estimate(reading, record.day) for reading in zone.readings)
    return zone.model_copy(update=changes)


def as_estimate(reading: Reading, day: date) -> Reading:
    """Return a reading of an earlier job as a guess at its spot, with a note of how it was read."""
    if reading.method == GUESS:
        return reading
    note = joined(reading.note, f"{reading.method}, from the record of {day.isoformat()}: read again")
    return reading.model_copy(update={"method": GUESS, "note": note})


def film_from_record(job: Job) -> Job:
    """Return a job whose unread zones take the film of the last service that read them as their estimate."""
    known = {(zone.panel, zone.zone): zone.film_um for service in job.services for zone in service.zones
             if zone.film_um is not None}
    panels = []
    for panel in job.panels:
        zones = tuple(
            zone.model_copy(update={"film_estimate_um": known[(panel.name, zone.name)]})
            if not zone.readings and zone.film_estimate_um is None and (panel.name, zone.name) in known else zone
            for zone in panel.zones
        )
        panels.append(panel.model_copy(update={"zones": zones}))
    return job.model_copy(update={"panels": tuple(panels)})
