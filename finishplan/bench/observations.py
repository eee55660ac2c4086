"""From log lines to observed removal rates: Q_obs = A x (film before - after) / (minutes x f).

One observation is one step on one panel between two rounds of film readings. The factor f is way x position
x person, so that every tool and person tells of the same rate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from finishplan.bench.film_change import FilmChange, film_change, mean_um, merged
from finishplan.bench.log_lines import LogLine, MinutesLine, ReadingLine, StepLine, as_reading
from finishplan.bench.log_sums import legs
from finishplan.bench.progress import low_readings
from finishplan.planning.result import PanelPlan, Plan, StepPlan, StepZone
from finishplan.shop.profile import Profile
from finishplan.survey.evidence import LEAST_OVER_NOISE, SPOT_AREA_M2, difference_sd_um
from finishplan.survey.job import Job, Panel, Reading

TEST_SPOT = "test spot"
SEVERAL = "several people"
DOUBTFUL = "a reading under its LEAST is not settled: nobody has read twice beside it"
"""Why a step does not count whose readings may hold an odd one."""


@dataclass(frozen=True)
class Observation:
    """What one step on one panel tells of the step's removal rate."""

    step: str
    way: str
    """The tool that did most of it."""
    person: str
    panel: str
    lines: tuple[int, ...]
    """Numbers of its minutes lines; none for a test spot."""
    area_m2: float
    removal_um: float
    """Film before less film after, over the zones read, by area."""
    sd_um: float
    """Standard deviation of it by the gauge's repeat and the count of readings."""
    readings: tuple[int, int]
    minutes: float
    factor: float
    """way x position x person."""
    left_out: str
    """Why it does not count, or nothing."""

    @property
    def rate_cm3_per_min(self) -> float:
        """Q_obs = A x difference / (minutes x f) [cm3/min]; valid where it counts."""
        return observed_rate_cm3_per_min(self.area_m2, self.removal_um, self.minutes, self.factor)

    @property
    def log_variance(self) -> float:
        """(sd/difference)^2, the reading's part of the variance of log Q; valid where it counts."""
        return (self.sd_um / self.removal_um) ** 2


def observed_rate_cm3_per_min(area_m2: float, removal_um: float, minutes: float, factor: float) -> float:
    """Return A x difference / (minutes x f) [cm3/min]; valid for positive minutes and factor.

    >>> observed_rate_cm3_per_min(0.5, 20.0, 12.5, 1.0)
    0.8
    """
    return area_m2 * removal_um / (minutes * factor)


@dataclass(frozen=True)
class _Zone:
    """One zone's part of a step: planned stroke, speed, film change, minutes."""

    area_m2: float
    stroke: StepZone
    speed: float
    change: FilmChange
    work: tuple[tuple[str, float], ...]
    """Minutes by person."""


def observations_of(job: Job, profile: Profile, plan: Plan, leg: Sequence[LogLine]) -> tuple[Observation, ...]:
    """Return what the lines of one plan tell, in the order of the plan.

    ``leg`` are lines that count and belong to ``plan`` (see ``log_sums.legs``), ``job`` the job it was made from.
    Steps without minutes or without readings on both sides tell nothing and are not listed, unless several
    steps lie between two rounds of readings: those are listed as left out.
    """
    found = []
    doubtful = {(stop.panel, stop.step) for stop in low_readings(plan, leg)[0] if not stop.settled}
    for panel, planned in zip(job.panels, plan.panels, strict=True):
        for at, step in enumerate(planned.steps):
            made = observe(job, profile, panel, planned, at, step, leg)
            if made is not None and (panel.name, step.step) in doubtful:
                made = replace(made, left_out=made.left_out or DOUBTFUL)
            if made is not None:
                found.append(made)
    return tuple(found)


def observe(
    job: Job, profile: Profile, panel: Panel, planned: PanelPlan, at: int, step: StepPlan, leg: Sequence[LogLine]
) -> Observation | None:
    """Return what one step of one panel tells, or None where it has no minutes or no readings after it."""
    minutes = [line for line in leg if isinstance(line, MinutesLine) and line.panel == panel.name
               and line.step == step.step]
    done = any(isinstance(line, StepLine) and (line.panel, line.step) == (panel.name, step.step) for line in leg)
    if not minutes or not done:
        return None
    zones, blurred = [], False
    for part in step.zones:
        change, several = change_over(panel, planned, at, part.zone, leg, profile.policy.prior_share)
        blurred = blurred or several
        work = shared_minutes(step, part, minutes)
        if change is not None and not several and work:
            area = next(zone.area_m2 for zone in planned.zones if zone.name == part.zone)
            zones.append(_Zone(area, part, speed_of(profile, planned, step, part.way), change, work))
    lines = tuple(line.number for line in minutes)
    if not zones:
        return left_out(step, panel, minutes, "several steps lie between two rounds of readings") if blurred else None
    return summed(profile, panel, planned, step, zones, lines)


def change_over(
    panel: Panel, planned: PanelPlan, at: int, zone: str, leg: Sequence[LogLine], prior_share: float
) -> tuple[FilmChange | None, bool]:
    """Return what the readings say a step took from a zone, and whether more than this step lies between them."""
    order = [step.step for step in planned.steps if any(part.zone == zone for part in step.zones)]
    after = rounds(leg, panel.name, zone)
    here = order.index(planned.steps[at].step)
    if order[here] not in after:
        return None, False
    survey = next(z.readings for z in panel.zones if z.name == zone)
    if here == 0:
        before: Sequence[Reading] = merged(survey, after.get("", ()))
        return film_change(before, after[order[here]], prior_share), False
    if order[here - 1] not in after:
        return None, True
    return film_change(after[order[here - 1]], after[order[here]], prior_share), False


def rounds(leg: Sequence[LogLine], panel: str, zone: str) -> dict[str, list[Reading]]:
    """Return a zone's readings by the step after which they were read; only those after its last minutes."""
    found: dict[str, list[Reading]] = {}
    for line in leg:
        if line.panel != panel or line.zone not in ("", zone):
            continue
        if isinstance(line, MinutesLine):
            found.pop(line.step, None)
        elif isinstance(line, ReadingLine):
            found.setdefault(line.step, []).append(as_reading(line))
    return found


def shared_minutes(step: StepPlan, part: StepZone, lines: Sequence[MinutesLine]) -> tuple[tuple[str, float], ...]:
    """Return the minutes of a zone by person: its own lines, and its planned share of those for the whole panel."""
    total = sum(zone.minutes for zone in step.zones)
    share = part.minutes / total if total > 0 else 1.0 / len(step.zones)
    found: dict[str, float] = {}
    for line in lines:
        if line.zone in ("", part.zone):
            here = line.values.minutes * (share if line.zone == "" else 1.0)
            found[line.who] = found.get(line.who, 0.0) + here
    return tuple(found.items())


def speed_of(profile: Profile, planned: PanelPlan, step: StepPlan, way: str) -> float:
    """Return way x position of one zone's part of a step."""
    position = profile.policy.position_upright_factor if planned.position == "upright" and not planned.off else 1.0
    return profile.tool(way, "sheet" if step.is_sheet else "compound").speed_factor * position


def person_factor(profile: Profile, who: str, planned_worker: str) -> float:
    """Return how fast a person works: by the role in the shop's people, else the role the plan gives the panel to."""
    role = next((p.role for p in profile.file.people if who in (p.id, p.name)), planned_worker)
    return profile.policy.trainee_factor if role == "trainee" else 1.0


def summed(
    profile: Profile, panel: Panel, planned: PanelPlan, step: StepPlan, zones: Sequence[_Zone], lines: tuple[int, ...]
) -> Observation:
    """Return one observation over the zones read.

    Q = sum(A d / (way x position)) / sum(minutes x person), so that f = sum(A d) / (Q x minutes) is the mean
    factor of what was taken.
    """
    area = sum(z.area_m2 for z in zones)
    volume = sum(z.area_m2 * z.change.removal_um for z in zones)
    at_one = sum(z.area_m2 * z.change.removal_um / z.speed for z in zones)
    by_person: dict[str, float] = {}
    for z in zones:
        for who, minutes in z.work:
            by_person[who] = by_person.get(who, 0.0) + minutes
    minutes = sum(by_person.values())
    worked = sum(m * person_factor(profile, who, planned.worker) for who, m in by_person.items())
    factor = worked / minutes * (volume / at_one if at_one > 0 and volume > 0 else zones[0].speed)
    sd_um = math.sqrt(sum((z.area_m2 * z.change.sd_um) ** 2 for z in zones)) / area
    expected_um = profile.step(step.step).removal_rate_cm3_per_min * minutes * factor / area
    most = max(zones, key=lambda z: sum(m for _, m in z.work))
    readings = (sum(z.change.before for z in zones), sum(z.change.after for z in zones))
    return Observation(
        step.step, most.stroke.way, next(iter(by_person)) if len(by_person) == 1 else SEVERAL, panel.name, lines, area,
        volume / area, sd_um, readings, minutes, factor, why_left_out(volume / area, sd_um, expected_um),
    )


def why_left_out(removal_um: float, sd_um: float, expected_um: float) -> str:
    """Return why a difference tells nothing of a rate, or nothing.

    By what the step should take, not by what it did: to drop small differences for being small would make every
    rate look better than it is.
    """
    if expected_um < LEAST_OVER_NOISE * sd_um:
        return f"a step of about {expected_um:.1f} um is within what the gauge can tell ({sd_um:.1f} um)"
    if removal_um <= 0:
        return "the readings show nothing taken"
    return ""


def left_out(step: StepPlan, panel: Panel, minutes: Sequence[MinutesLine], why: str) -> Observation:
    """Return a step that was timed but tells nothing, with the reason."""
    people = {line.who for line in minutes}
    return Observation(
        step.step, step.zones[0].way, people.pop() if len(people) == 1 else SEVERAL, panel.name,
        tuple(line.number for line in minutes), step.area_m2, 0.0, 0.0, (0, 0),
        sum(line.values.minutes for line in minutes), 1.0, why,
    )


def from_test_spot(job: Job, profile: Profile) -> Observation | None:
    """Return what a test spot read before and after tells: one line, of the step that took the most.

    The difference is shared over its steps by Q x minutes, over 15 cm square, with f = 1, as where the spot
    narrows a depth. None without a test spot, or without readings on both sides.
    """
    spot = job.test_spot
    if spot is None or not spot.before or not spot.after:
        return None
    rates = [profile.step(s.step, "test_spot").removal_rate_cm3_per_min for s in spot.steps]
    volumes = [rate * s.minutes for rate, s in zip(rates, spot.steps, strict=True)]
    at = max(range(len(volumes)), key=volumes.__getitem__)
    share = volumes[at] / sum(volumes)
    before, after = [Reading(um=um) for um in spot.before], [Reading(um=um) for um in spot.after]
    sd_um = share * difference_sd_um(spot)
    removal = share * (mean_um(before) - mean_um(after))
    return Observation(
        spot.steps[at].step, TEST_SPOT, TEST_SPOT, spot.panel, (), SPOT_AREA_M2, removal, sd_um,
        (len(before), len(after)), spot.steps[at].minutes, 1.0,
        why_left_out(removal, sd_um, volumes[at] / SPOT_AREA_M2),
    )


def all_observations(
    plans: Sequence[tuple[Job, Plan]], profile: Profile, lines: Sequence[LogLine]
) -> tuple[Observation, ...]:
    """Return what a whole log tells: ``plans`` are the jobs and plans that were in force, one a leg of the log.

    The test spot of the first job comes first. Raises ValueError where plans and legs are not as many.
    """
    found = []
    spot = from_test_spot(plans[0][0], profile) if plans else None
    if spot is not None:
        found.append(spot)
    for (job, plan), leg in zip(plans, legs(lines), strict=True):
        found += observations_of(job, profile, plan, leg)
    return tuple(found)
