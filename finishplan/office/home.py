"""Work at the customer's: the planner is asked again with what a visit allows, and says what it cannot do there.

Hand block, fine sheets only, no resin, a short visit. All figures are assumed and the shop's to set.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any

from pydantic import Field

from finishplan.errors import BadValue, FinishplanError
from finishplan.models import Flag, Name, Record
from finishplan.office.hardware import find_task
from finishplan.office.labour import LabourLine, labour, total_minutes
from finishplan.office.schedule_model import After, Task
from finishplan.office.terms import Amount, Hours, OfficeFigures, read_model
from finishplan.office.variants import barring, only_panels, panels_by_name, sheets_of
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import SHEETS_BY_FACE
from finishplan.planning.result import PanelPlan, Plan, ZonePlan
from finishplan.shop.policy import figure
from finishplan.shop.profile import Profile
from finishplan.survey.choices import SHEET_WAYS
from finishplan.survey.job import HardwareTask, Job, Panel
from finishplan.wording import counted, defect_words, minutes_words

SHOP_ONLY = ("wash-down between dust and buffing",)
"""Allowances that a visit does not have: nothing there raises dust."""


class HomeRules(Record):
    """What a visit at the customer's allows."""

    coarsest_sheet: Name = Field(default="P1500", description="coarsest sheet used in a room that is lived in")
    sheets_by: Name = Field(default="hand block", description="machine sanding becomes this")
    fills: Flag = Field(default=False, description="whether resin is poured there")
    visit_h: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=24)] = figure(
        3.0, "h", "longest visit")
    travel_h: Hours = figure(1.0, "h", "there and back, a visit")
    travel: Amount = figure(0.0, "money", "charge a visit for the way")
    minimum_charge: Amount = figure(0.0, "money", "least that a visit is charged")


@dataclass(frozen=True)
class NotAtHome:
    """Something that the shop would do and a visit cannot."""

    panel: str
    zone: str
    what: str
    why: str


@dataclass(frozen=True)
class HomeAnswer:
    """What a visit does: its plan, how many visits it takes, and what has to wait for the shop."""

    job: Job
    profile: Profile
    plan: Plan
    rules: HomeRules
    lines: tuple[LabourLine, ...]
    visits: int
    cannot: tuple[NotAtHome, ...]
    notes: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """Person-minutes of all visits, travel not counted."""
        return total_minutes(self.lines)


def read_home(raw: Mapping[str, Any], profile: Profile) -> HomeRules:
    """Return the rules in ``raw``, the ``home`` part of a shop file; raises a FinishplanError for wrong ones."""
    rules = read_model(HomeRules, raw, "home")
    step = profile.step(rules.coarsest_sheet, "home, coarsest_sheet")
    if not step.is_sheet:
        raise BadValue("coarsest_sheet", step.name, "name a sheet", "home")
    if rules.sheets_by not in SHEET_WAYS:
        raise BadValue("sheets_by", rules.sheets_by, f"choose one of: {', '.join(SHEET_WAYS)}", "home")
    return rules


def at_home(job: Job, profile: Profile, rules: HomeRules, figures: OfficeFigures | None = None) -> HomeAnswer:
    """Return what can be done of a job at the customer's, planned with the visit's tools and steps.

    Raises FinishplanError where nothing at all can.
    """
    figures = figures or OfficeFigures()
    home_job, visit_profile = home_variant(job, profile, rules)
    if home_job is None:
        raise FinishplanError(
            f"nothing of this job can be done at the customer's: every panel ends at a sheet coarser than "
            f"{rules.coarsest_sheet}; bring it to the shop"
        )
    plan = make_plan(home_job, visit_profile, why=True)
    lines = home_lines(labour(home_job, plan, figures))
    visits = visits_of(total_minutes(lines), rules)
    fitting = [panel.name for panel in home_job.panels]
    cannot = satin_panels(job, fitting, rules) + not_done(make_plan(job, profile), plan, rules)
    cannot += [NotAtHome("hardware", "", task.task, "the wheel stands in the shop") for task in at_wheel(job)]
    return HomeAnswer(home_job, visit_profile, plan, rules, lines, visits, tuple(cannot),
                      home_notes(lines, visits, rules))


def home_variant(job: Job, profile: Profile, rules: HomeRules) -> tuple[Job | None, Profile]:
    """Return the job and the profile of a visit; no job where no panel can be finished there."""
    limit = profile.step(rules.coarsest_sheet).d50_um or 0.0
    fitting = only_panels(job, [panel.name for panel in job.panels if satin_fits(panel, profile, limit)])
    if fitting is None:
        return None, home_profile(profile, limit, rules)
    return fitting.model_copy(update={
        "panels": tuple(home_panel(panel, rules) for panel in fitting.panels),
        "hardware": tuple(task for task in job.hardware if task not in at_wheel(job)),
    }), home_profile(profile, limit, rules)


def home_lines(lines: tuple[LabourLine, ...]) -> tuple[LabourLine, ...]:
    """Return the labour of a visit: without what only the shop's room needs."""
    return tuple(line for line in lines if line.what not in SHOP_ONLY)


def visits_of(minutes: float, rules: HomeRules) -> int:
    """Return how many visits so many person-minutes take, one at least."""
    return max(1, math.ceil(minutes / (rules.visit_h * 60.0) - 1e-9))


def at_wheel(job: Job) -> list[HardwareTask]:
    """Return the hardware tasks that need the wheel of the shop."""
    return [task for n, task in enumerate(job.hardware, 1) if find_task(task.task, n).does in ("polish", "keytops")]


def home_profile(profile: Profile, limit_um: float, rules: HomeRules) -> Profile:
    """Return the profile of a visit: sheets over ``limit_um`` [um] of grain barred, ladders cut to the fine ones.

    No fills unless the rules say so.
    """
    coarse = set(sheets_of(profile, limit_um))
    policy = profile.policy
    fine = tuple(name for name in policy.spot_ladder if name not in coarse)
    finest = tuple(name for name in sheets_of(profile) if name not in coarse)[:1]
    barred = barring(profile, sorted(coarse))
    return replace(barred, policy=barred.policy.model_copy(update={"spot_ladder": fine or finest}),
                   barred_repairs=() if rules.fills else ("fill",))


def satin_fits(panel: Panel, profile: Profile, limit_um: float) -> bool:
    """Whether a panel's finish can be reached without a sheet over the limit [um]."""
    last = panel.target.last_sheet
    return last is None or (profile.step(last).d50_um or 0.0) <= limit_um + 1e-9


def home_panel(panel: Panel, rules: HomeRules) -> Panel:
    """Return a panel with the tools of a visit: no machine sanding, no fixed wheel."""
    way = panel.sheets_by or SHEETS_BY_FACE[panel.face]
    changes: dict[str, Any] = {"sheets_by": rules.sheets_by if way == "machine" else way}
    if panel.compounds_by == "wheel":
        changes["compounds_by"] = "rotary"
    return panel.model_copy(update=changes)


def satin_panels(job: Job, fitting: list[str], rules: HomeRules) -> list[NotAtHome]:
    """Return the panels whose satin is coarser than a visit sands."""
    return [
        NotAtHome(panel.name, "", f"satin {panel.target.last_sheet}",
                  f"it ends at a sheet coarser than {rules.coarsest_sheet}")
        for panel in job.panels if panel.name not in fitting
    ]


def not_done(shop: Plan, home: Plan, rules: HomeRules) -> list[NotAtHome]:
    """Return what the shop's plan deals with and the visit's does not."""
    at_shop, found = panels_by_name(shop), []
    for panel in home.panels:
        for ours, theirs in zip(panel.zones, at_shop[panel.name].zones, strict=True):
            found += zone_not_done(panel, ours, theirs, rules)
    return found


def zone_not_done(panel: PanelPlan, ours: ZonePlan, theirs: ZonePlan, rules: HomeRules) -> list[NotAtHome]:
    """Return what one zone loses: ``ours`` at home against ``theirs`` in the shop."""
    found = []
    for here, there in zip(ours.defects, theirs.defects, strict=True):
        if here.repair == "refer" and there.repair != "refer":
            what = "scratches of the last step" if here.index is None else defect_words(here.kind, here.count)
            found.append(NotAtHome(panel.name, ours.name, what, why_not(there.repair, rules)))
    if ours.untouched and not theirs.untouched:
        found.append(NotAtHome(panel.name, ours.name, "this zone", "no sequence of a visit reaches it"))
    return found


def why_not(repair: str, rules: HomeRules) -> str:
    """Return why a visit does not do a repair of the shop's."""
    if repair == "fill" and not rules.fills:
        return "no resin is poured at the customer's"
    return f"it takes a sheet coarser than {rules.coarsest_sheet}, or a machine"


def home_notes(lines: tuple[LabourLine, ...], visits: int, rules: HomeRules) -> tuple[str, ...]:
    """Return what has to be said of the visits."""
    notes = ["At the customer's: damp, not wet; no spirit beyond a damp cloth; floor, keys and furniture covered."]
    if visits > 1:
        notes.append(f"{minutes_words(total_minutes(lines))} of work is more than one visit of {rules.visit_h:g} h: "
                     f"{counted(visits, 'visit')}, or the shop.")
    return tuple(notes)


def visit_tasks(key: str, lines: tuple[LabourLine, ...], rules: HomeRules, arrival_min: int) -> tuple[Task, ...]:
    """Return the visits of a job as appointments on days of their own, the way there and back included.

    A visit ends the day: the next one is not before the day after, so that a face is judged cold.
    """
    minutes = total_minutes(lines)
    visits = visits_of(minutes, rules)
    each = math.ceil(minutes / visits + rules.travel_h * 60.0)
    role = "finisher" if any(line.role == "finisher" for line in lines) else "trainee"
    return tuple(
        Task(f"{key}/visit {n + 1}", key, f"visit {n + 1} of {visits}", each, (role,),
             (After(f"{key}/visit {n}", overnight=True),) if n else (), arrival_min, in_one_day=True, phase="visit")
        for n in range(visits)
    )
