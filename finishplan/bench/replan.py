"""Planning again from the bench: the log goes into the job, and the same planner plans the job.

What is done stays done: a worked zone carries its new readings and the step last done, and what is still to
come out. Nothing here chooses; a job without news comes back as it is, and so does its plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from finishplan.bench.log_lines import LogLine, ReplanLine, ReplanValues, ZoneTaken
from finishplan.bench.log_sums import counted, in_force
from finishplan.bench.new_line import CannotSign
from finishplan.bench.people import role_words
from finishplan.bench.replan_warnings import warnings_of
from finishplan.bench.replan_words import Change, changes_of, kept_words, reasons_of
from finishplan.bench.zone_after import ZoneAfter, places, zone_after
from finishplan.bench.zones_now import ZoneNow, zone_now
from finishplan.errors import FinishplanError
from finishplan.planning.plan import make_plan
from finishplan.planning.result import PanelPlan, Plan
from finishplan.shop.profile import Profile
from finishplan.survey.choices import THIN_KINDS
from finishplan.survey.job import Job, Panel, TestSpot, job_as_dict, read_job_dict


@dataclass(frozen=True)
class BenchJob:
    """The job as the bench has left it, and each zone on the way there, in the order of the job."""

    job: Job
    zones: tuple[ZoneNow, ...]
    after: tuple[ZoneAfter, ...]


@dataclass(frozen=True)
class Replan:
    """Another plan of the same job from where the bench stands, beside what stays as it was."""

    job: Job
    """The job as the bench has left it: what the next plan is made from."""
    plan: Plan
    zones: tuple[ZoneNow, ...]
    changes: tuple[Change, ...]
    """What is different and why; none where nothing is."""
    reasons: tuple[str, ...]
    """What is new since the last plan, in words."""
    kept: tuple[str, ...]
    """What is done and stays."""
    warnings: tuple[str, ...]
    """What the planner cannot see by itself: read it before agreeing."""
    taken: tuple[ZoneTaken, ...]
    """Film that each worked zone has lost since the last plan."""

    @property
    def news(self) -> bool:
        """Whether the log holds anything that the last plan did not know."""
        return bool(self.reasons)


def replan(
    job: Job, profile: Profile, plan: Plan, lines: Sequence[LogLine], why: bool = False, favour: str | None = None,
    sequence: tuple[str, ...] | None = None,
) -> Replan:
    """Return the next plan of ``job``, whose plan in force is ``plan``, from the lines of its log.

    ``lines`` are all lines; those since the last agreed replan count, for what was before is in the job
    already. ``why`` and ``favour`` are those of ``make_plan``; without a favour the plan's own holds.
    ``sequence`` is the one the plan in force was asked for: before the first stroke it holds as it is, after it
    no other steps are used. Raises FinishplanError where the plan is not of this job, or an entry is still there
    and nobody says how deep.
    """
    found = at_the_bench(job, profile, plan, lines)
    profile = profile.with_steps([*(sequence or ()), *plan.set_up_steps], "the plan in force")
    zones, after = found.zones, found.after
    if sequence is not None and any(zone.worked for zone in zones):
        profile, sequence = only_these(profile, sequence), None
    new_plan = make_plan(found.job, profile, favour or plan.favour, sequence, why)
    return Replan(
        found.job, new_plan, zones, changes_of(plan, new_plan, zones, after), reasons_of(zones, after),
        kept_words(zones, in_force(lines)), warnings_of(new_plan, zones, counted(lines), profile.policy),
        tuple(taken_of(zone) for zone in zones if zone.worked),
    )


def at_the_bench(job: Job, profile: Profile, plan: Plan, lines: Sequence[LogLine]) -> BenchJob:
    """Return the job as the log leaves it: ``plan`` is the one in force, ``lines`` are all lines.

    A job without news is returned as it is. Raises FinishplanError where the plan is not of this job, or an
    entry is still there and nobody says how deep.
    """
    if [(p.name, tuple(z.name for z in p.zones)) for p in job.panels] != [
            (p.name, tuple(z.name for z in p.zones)) for p in plan.panels]:
        raise FinishplanError("this plan belongs to another job: its panels and zones differ; plan the job again")
    here = in_force(lines)
    zones: list[ZoneNow] = []
    after: list[ZoneAfter] = []
    panels = []
    for panel, planned in zip(job.panels, plan.panels, strict=True):
        now = [
            zone_now(panel, zone, planned, zone_plan, here, profile.policy.prior_share)
            for zone, zone_plan in zip(panel.zones, planned.zones, strict=True)
        ]
        made = [zone_after(zone, profile.policy, plan.first_cut == "lean") for zone in now]
        zones, after = zones + now, after + made
        panels.append(panel_after(panel, planned, made))
    changed = any(a is not b for a, b in zip(job.panels, panels, strict=True))
    if changed:
        job = read_job_dict(job_as_dict(job_after(job, tuple(panels), zones, after)))
    return BenchJob(job, tuple(zones), tuple(after))


def only_these(profile: Profile, names: Sequence[str]) -> Profile:
    """Return a profile whose plans use no other steps than the named ones."""
    steps = tuple(replace(step, in_default_plan=True) if step.name in names else step for step in profile.steps)
    barred = tuple(step.name for step in steps if step.name not in names)
    return replace(profile, steps=steps, policy=profile.policy.model_copy(update={"barred_steps": barred}))


def panel_after(panel: Panel, plan: PanelPlan, made: Sequence[ZoneAfter]) -> Panel:
    """Return a panel for the next plan; the same one where none of its zones has news.

    The guess for an edge nobody has read hangs on the face's readings; the face is thinner now, the edge is
    not: its guess stays as it was.
    """
    zones = [after.zone for after in made]
    if all(new is old for new, old in zip(zones, panel.zones, strict=True)):
        return panel
    for at, zone_plan in enumerate(plan.zones):
        if zone_plan.film_from == "default" and zone_plan.kind in THIN_KINDS and zones[at] is panel.zones[at]:
            zones[at] = zones[at].model_copy(update={"film_estimate_um": zone_plan.film_mean_um})
    return panel.model_copy(update={"zones": tuple(zones)})


def job_after(job: Job, panels: tuple[Panel, ...], zones: Sequence[ZoneNow], after: Sequence[ZoneAfter]) -> Job:
    """Return the job with its new panels, and its test spot where that still tells something."""
    return job.model_copy(update={"panels": panels, "test_spot": spot_after(job.test_spot, zones, after)})


def spot_after(spot: TestSpot | None, zones: Sequence[ZoneNow], after: Sequence[ZoneAfter]) -> TestSpot | None:
    """Return the test spot at its entry's new place; none where the entry is gone, or its depth says it all."""
    if spot is None:
        return None
    for now, made in zip(zones, after, strict=True):
        if (now.panel, now.zone.name) == (spot.panel, spot.zone):
            entry = next(e for e in made.entries if e.index == spot.defect)
            if entry.what != "kept":
                return None
            return spot.model_copy(update={"defect": places(made.entries)[spot.defect]})
    return spot


def taken_of(now: ZoneNow) -> ZoneTaken:
    """Return what a zone has lost since the last plan, as read or as planned."""
    return ZoneTaken(panel=now.panel, zone=now.zone.name, removal_um=round(now.taken_um, 3),
                     read=now.change is not None)


def consent_line(found: Replan, number: int, line: ReplanLine) -> ReplanLine:
    """Return the line with which a finisher agrees to a new plan, what the zones have lost with it.

    Raises CannotSign for a trainee.
    """
    if line.values.role != "finisher":
        raise CannotSign(f"{role_words(line.who, line.values.role)} signs no new plan; ask a finisher to agree")
    values = ReplanValues(why=line.values.why, role=line.values.role, taken=found.taken)
    return line.model_copy(update={"number": number, "values": values})
