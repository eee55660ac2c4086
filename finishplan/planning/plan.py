"""From job and shop to the plan: choose exactly, then price every stroke of the choice in plain sums."""

from __future__ import annotations

from dataclasses import dataclass, replace

from finishplan.planning.explain import explain
from finishplan.planning.panel_table import NOTHING, PanelChoice, PanelTable, ZoneChoice
from finishplan.planning.problem import PanelProblem, Problem, ZoneProblem, build_problem, panel_problem
from finishplan.planning.reasons import limited_by, plan_notes, why_repair
from finishplan.planning.removal import later_removals_um, least_reading_um, work_minutes
from finishplan.planning.repairs import LocalLadder, cut_ladder, fill_volume_cm3
from finishplan.planning.result import (
    DefectPlan,
    PanelPlan,
    Parts,
    Plan,
    StepPlan,
    StepZone,
    ZonePlan,
)
from finishplan.planning.search import Choice, JobTables
from finishplan.planning.sequences import check_sequence, coarsest_before
from finishplan.planning.tradeoff import film_against_time
from finishplan.planning.verdicts import Verdicts, judge
from finishplan.planning.zone_cost import ZoneCost
from finishplan.planning.zone_table import one_fill_minutes
from finishplan.shop.profile import Profile
from finishplan.shop.steps import Step
from finishplan.survey.choices import FAVOURS
from finishplan.survey.film import METHODS
from finishplan.survey.job import Job, Reading
from finishplan.units import volume_cm3


def make_plan(
    job: Job, profile: Profile, favour: str | None = None, sequence: tuple[str, ...] | None = None,
    why: bool = False,
) -> Plan:
    """Return the best plan of a job in a shop.

    ``favour`` beats the job's own. ``sequence`` names one sequence of steps for every worked panel; it
    is checked first. Where readings are suspect, the plan without them stands beside it. ``why`` adds
    runners-up, close calls, what asking less would buy, and film against time; each is priced by
    choosing again. Raises NoSequence, UnknownName and other FinishplanErrors for what cannot be planned.
    """
    if sequence is not None:
        profile = profile.with_steps(sequence, "sequence")
    problem = build_problem(job, profile, favour, sequence)
    if sequence is not None:
        for panel in problem.panels:
            check_sequence(profile, sequence, panel.compounds_by, panel.finish, panel.last_sheet)
    tables = JobTables(problem)
    choice = tables.choose()
    plan = plan_of(tables, choice)
    if why:
        plan = explained(tables, choice, plan)
    if any(zone.suspect for panel in problem.panels for zone in panel.zones):
        echo = tables.sister(without_suspects(problem))
        plan = replace(plan, if_echo=plan_of(echo, echo.choose()))
    return plan


def without_suspects(problem: Problem) -> Problem:
    """Return the problem without the readings that may be surface echoes; untouched panels stay the same."""
    jobs, panels = [], []
    for panel in problem.panels:
        zones = [
            zone.zone.model_copy(update={"readings": kept(zone)}) if zone.suspect else zone.zone for zone in panel.zones
        ]
        changed = any(zone.suspect for zone in panel.zones)
        jobs.append(panel.panel.model_copy(update={"zones": tuple(zones)}) if changed else panel.panel)
        panels.append(panel_problem(problem.job, problem.profile, jobs[-1]) if changed else panel)
    return replace(problem, job=problem.job.model_copy(update={"panels": tuple(jobs)}), panels=tuple(panels))


def kept(zone: ZoneProblem) -> tuple[Reading, ...]:
    """Return a zone's readings without the suspect ones."""
    return tuple(r for i, r in enumerate(zone.zone.readings) if i not in zone.suspect)


def explained(tables: JobTables, choice: Choice, plan: Plan) -> Plan:
    """Return the plan with everything it says of its own choice."""
    found = explain(tables, choice)
    weights = tables.problem.policy.favours
    curve = film_against_time(tables, [(favour, weights.weight(favour)) for favour in FAVOURS])
    panels = tuple(
        replace(panel, runners_up=runners, close_calls=calls)
        for panel, runners, calls in zip(plan.panels, found.runners_up, found.close_calls, strict=True)
    )
    some = () if curve.complete else ("Film against time: only some of the best trades are shown.",)
    return replace(
        plan,
        panels=panels,
        notes=(*plan.notes, *some),
        film_against_time=curve.points,
        asking_less=found.asking_less,
        two_limits=found.two_limits,
    )


def plan_of(tables: JobTables, choice: Choice) -> Plan:
    """Return the plan of a choice over a job's tables."""
    problem = tables.problem
    verdicts = judge(tables, choice)
    panels = tuple(
        panel_plan(table, chosen, verdicts, place)
        for place, (table, chosen) in enumerate(zip(tables.panels, choice.panels, strict=True))
    )
    steps, kits = set_up_of(tables, panels)
    parts = parts_of(problem, panels, steps, kits)
    plan = Plan(
        title=problem.job.title, favour=problem.favour, first_cut=problem.job.crew.first_cut,
        build=problem.job.build, identified=problem.job.finish_id.result == "polyester",
        film_weight=problem.film_weight, parts=parts, set_up_steps=steps, kits=kits, panels=panels,
        notes=(), sources=tuple(problem.profile.figures()),
    )
    return replace(plan, notes=plan_notes(plan, problem))


def set_up_of(tables: JobTables, panels: tuple[PanelPlan, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the steps and kits the plan sets up, in working order."""
    used = {step.step for panel in panels for step in panel.steps}
    steps = tuple(s.name for s in tables.problem.profile.steps if s.name in used)
    repairs = {d.repair for panel in panels for zone in panel.zones for d in zone.defects}
    return steps, tuple(kit for kit in ("fill", "spot") if kit in repairs)


def parts_of(problem: Problem, panels: tuple[PanelPlan, ...], steps: tuple[str, ...], kits: tuple[str, ...]) -> Parts:
    """Return the minimised sum by part."""
    policy = problem.policy
    kit_min = {"spot": policy.spot_kit_min, "fill": policy.fill_kit_min}
    zones = [(panel, zone) for panel in panels for zone in panel.zones]
    return Parts(
        change=sum(problem.profile.step(name).change_min for name in steps),
        kits=sum(kit_min[kit] for kit in kits),
        look=sum(panel.look_minutes for panel in panels),
        work=sum(panel.work_minutes for panel in panels),
        repairs=sum(panel.repair_minutes for panel in panels),
        untouched=policy.untouched_price * sum(zone.untouched for _, zone in zones),
        refer=policy.refer_price * sum(d.repair == "refer" for _, zone in zones for d in zone.defects),
        film=problem.film_weight * sum(zone.area_m2 * zone.removal_um for _, zone in zones),
    )


@dataclass(frozen=True)
class Worked:
    """One zone's chosen work in plain numbers: its steps and what each takes."""

    cost: ZoneCost
    choice: ZoneChoice
    steps: tuple[Step, ...]
    removals_um: tuple[float, ...]
    to_take_out_um: float

    @property
    def removal_um(self) -> float:
        """Film taken in all."""
        return sum(self.removals_um)

    @property
    def zone(self) -> ZoneProblem:
        """The zone's problem."""
        return self.cost.ways.zone


def worked_zone(cost: ZoneCost, choice: ZoneChoice, clearing: float) -> Worked:
    """Return a zone's chosen work in plain numbers."""
    if choice.q == NOTHING:
        return Worked(cost, choice, (), (), 0.0)
    ways = cost.ways
    steps = tuple(ways.table.steps_of(choice.q))
    later = later_removals_um([s.scratch_depth_um for s in steps], clearing)
    first = float(ways.first_um[choice.q, choice.k])
    return Worked(cost, choice, steps, (first, *later), float(ways.depths_um[choice.k]))


def panel_plan(table: PanelTable, chosen: PanelChoice, verdicts: Verdicts, place: int) -> PanelPlan:
    """Return one panel's plan."""
    problem, panel = table.problem, table.panel
    policy = problem.policy
    worked = [worked_zone(c, z, policy.clearing) for c, z in zip(table.zones, chosen.zones, strict=True)]
    sequence = max((tuple(s.name for s in w.steps) for w in worked), key=len, default=())
    steps = tuple(step_plan(problem, name, worked) for name in sequence)
    zones = tuple(
        zone_plan(problem, panel, w, chosen.q != NOTHING, verdicts, (place, z)) for z, w in enumerate(worked)
    )
    return PanelPlan(
        name=panel.panel.name, part=panel.panel.part, face=panel.panel.face, position=panel.panel.position,
        off=panel.panel.off, worker=panel.worker, sheets_by=panel.sheets_by, compounds_by=panel.compounds_by,
        finish=panel.finish, sequence=sequence, look_minutes=sum(s.look_minutes for s in steps),
        work_minutes=sum(s.minutes for s in steps),
        repair_minutes=sum(d.minutes for zone in zones for d in zone.defects), steps=steps, zones=zones,
        limited_by=limited_by(zones, panel),
    )


def step_plan(problem: Problem, name: str, worked: list[Worked]) -> StepPlan:
    """Return one step of a panel over the zones that take it."""
    step = problem.profile.step(name)
    taking = [w for w in worked if name in {s.name for s in w.steps}]
    zones = tuple(step_zone(w, name) for w in taking)
    area = sum(w.zone.zone.area_m2 for w in taking)
    return StepPlan(
        step=name, is_sheet=step.is_sheet, wet=step.wet, minutes=sum(z.minutes for z in zones),
        look_minutes=problem.policy.look_min + problem.policy.look_min_per_m2 * area, zones=zones, area_m2=area,
        volume_cm3=sum(volume_cm3(z.removal_um, w.zone.zone.area_m2) for z, w in zip(zones, taking, strict=True)),
    )


def step_zone(worked: Worked, name: str) -> StepZone:
    """Return what one step takes from one zone, and the least reading after it."""
    zone = worked.zone
    at = [s.name for s in worked.steps].index(name)
    step = worked.steps[at]
    way, speed = (zone.sheet_way, zone.sheet_speed) if step.is_sheet else (zone.compound_way, zone.compound_speed)
    return StepZone(
        zone=zone.zone.name, removal_um=worked.removals_um[at],
        least_reading_um=least_after(worked, at + 1), way=way,
        minutes=work_minutes(zone.zone.area_m2, worked.removals_um[at], step.removal_rate_cm3_per_min, speed),
    )


def least_after(worked: Worked, done: int) -> float:
    """Return the least reading [um] when ``done`` of a zone's steps are done."""
    zone = worked.zone
    methods = {r.method for r in zone.zone.readings if r.method != "estimate"} or {"ultrasonic"}
    later = sum(worked.removals_um[done:])
    last = worked.steps[-1].scratch_depth_um if worked.steps else 0.0
    return max(
        least_reading_um(zone.keep_um, later, last, zone.overcut, METHODS[m].bias_um, METHODS[m].bias_share)
        for m in methods
    )


def zone_plan(
    problem: Problem, panel: PanelProblem, worked: Worked, panel_worked: bool, verdicts: Verdicts,
    at: tuple[int, int],
) -> ZonePlan:
    """Return one zone's plan."""
    zone, found = worked.zone, verdicts.of[at]
    removal = worked.removal_um
    left = zone.film.low_um - (1.0 + zone.overcut) * removal
    some = bool(worked.steps)
    return ZonePlan(
        name=zone.zone.name, kind=zone.zone.kind, area_m2=zone.zone.area_m2, verdict=found.verdict,
        last_service=some and left < zone.keep_um + problem.policy.leave_for_next_um, reasons=found.reasons,
        readings=sum(r.method != "estimate" for r in zone.zone.readings), film_from=zone.film_from,
        film_mean_um=zone.film.mean_um, film_low_um=zone.film.low_um, film_perfect_um=zone.film.perfect_um,
        bias_um=zone.film.bias_um, keep_um=zone.keep_um, spare_um=zone.spare_um, overcut=zone.overcut,
        starts_at=worked.steps[0].name if some else None, to_take_out_um=worked.to_take_out_um,
        removal_um=removal, film_left_um=left, untouched=panel_worked and not some,
        suspect_readings=zone.suspect, would_fit=found.would_fit,
        defects=tuple(defect_plan(problem, panel, worked, e) for e in range(len(zone.entries))),
        least_start_um=least_after(worked, 0),
    )


def defect_plan(problem: Problem, panel: PanelProblem, worked: Worked, at: int) -> DefectPlan:
    """Return what is done with one entry."""
    entry, repair = worked.zone.entries[at], worked.choice.repairs[at]
    if repair == "zone":
        repair = "sand" if worked.steps[0].is_sheet else "buff"
    plan = DefectPlan(
        index=entry.index, kind=entry.kind.name, count=entry.count, planning_depth_um=entry.depth_um,
        depth_from=entry.depth_from, repair=repair, why="", minutes=0.0,
        may_come_back=entry.kind.may_come_back, asked=entry.asked,
    )
    if repair in ("spot", "fill"):
        plan = local_repair(problem, worked, at, plan)
    return replace(plan, why=why_repair(problem, worked.cost, worked.removal_um, entry, plan))


def local_repair(problem: Problem, worked: Worked, at: int, plan: DefectPlan) -> DefectPlan:
    """Return a spot's or fill's plan: local sheets, film needed, minutes, volume."""
    policy, profile, zone = problem.policy, problem.profile, worked.zone
    entry = zone.entries[at]
    names = policy.spot_ladder if plan.repair == "spot" else policy.fill_ladder
    coarsest = coarsest_before(profile, zone.compound_way)
    ladder = cut_ladder([profile.step(n) for n in names], worked.steps[0], coarsest, policy)
    assert ladder is not None
    beside = ladder.local_um + max(worked.removals_um[0], ladder.last_layer_um) + sum(worked.removals_um[1:])
    steps = tuple(s.name for s in ladder.steps)
    if plan.repair == "spot":
        return replace(
            plan, minutes=spot_minutes_of(problem, ladder, entry.count, entry.spot_volume_cm3), local_steps=steps,
            film_needed_um=beside + (entry.depth_um or 0.0), feather_mm=1000.0 * entry.radius_m,
            footprint_m2=entry.footprint_m2, local_volume_cm3=entry.spot_volume_cm3,
        )
    one = fill_volume_cm3(entry.full_depth_um, entry.length_mm, entry.width_mm, entry.missing_ml, policy)
    return replace(
        plan, minutes=entry.count * one_fill_minutes(worked.cost.ways, entry), local_steps=steps,
        film_needed_um=beside, fill_volume_cm3=None if one is None else entry.count * one,
    )


def spot_minutes_of(problem: Problem, ladder: LocalLadder, count: int, volume: float) -> float:
    """Return the minutes of one entry's spots: handling, and the dish by hand with the first local sheet."""
    by_hand = ladder.first_rate_cm3_per_min * problem.policy.local_hand_factor
    return problem.policy.spot_min * count + volume / by_hand
