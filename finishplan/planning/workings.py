"""How each number of a zone comes about: the formula in words, the same with its numbers, every input's source.

Nothing is decided here: the numbers are the plan's own, told again so that they can be argued with.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from finishplan import wording
from finishplan.planning.film_workings import depth_workings, film_workings
from finishplan.planning.problem import panel_problem
from finishplan.planning.result import DefectPlan, Plan
from finishplan.planning.worked_number import METHOD_SOURCE, SURVEYED, Case, Working, figure, num, summed
from finishplan.reference import Sourced
from finishplan.shop.profile import RATE, Profile
from finishplan.shop.steps import Step
from finishplan.survey.choices import NARROW_KINDS
from finishplan.survey.film import METHODS
from finishplan.survey.job import Job


def zone_workings(job: Job, profile: Profile, plan: Plan, at: tuple[int, int]) -> tuple[Working, ...]:
    """Return the workings of every number of one zone; ``at`` is (panel, zone). IndexError for another place."""
    profile = profile.with_steps(plan.set_up_steps)
    panel = panel_problem(job, profile, job.panels[at[0]])
    case = Case(job, profile, panel, panel.zones[at[1]], plan.panels[at[0]], plan.panels[at[0]].zones[at[1]])
    return (*film_workings(case), *depth_workings(case), *removal_workings(case), *minutes_workings(case),
            *local_workings(case), *look_workings(case))


def step_inputs(profile: Profile, step: Step, rate: bool) -> list[Sourced]:
    """Return a step's rate or its scratch depth as an input."""
    if rate:
        return [profile.step_figure(step, RATE, "cm3/min", "rate")]
    return [profile.step_figure(step, "scratch_depth_um", "um", "scratch depth")]


def removal_workings(case: Case) -> list[Working]:
    """Return what each step takes, the whole, what is left, and the least reading before the first stroke."""
    taken, policy, done = case.taken, case.policy, case.done
    if not taken:
        return []
    factor = figure(policy, "clearing", "last-grit factor")
    found = [first_working(case)]
    for (before, _, _, _), (step, um, _, _) in pairwise(taken):
        found.append(Working(
            f"{step.name} takes", um, "um", "last-grit factor x scratch depth of the step before",
            f"{num(policy.clearing)} x {num(before.scratch_depth_um)}",
            (factor, *step_inputs(case.profile, before, False))))
    last = taken[-1][0]
    over = overcut_inputs(case)
    times = f"(1 + {num(done.overcut)})"
    found.append(Working("film taken", done.removal_um, "um", "sum of what the steps take",
                         summed([um for _, um, _, _ in taken]), ()))
    found.append(Working(
        "film left that we count on", done.film_left_um, "um", "film we count on - (1 + overcut) x film taken",
        f"{num(done.film_low_um)} - {times} x {num(done.removal_um)}", over))
    found.append(Working(
        "film this work needs", (1 + done.overcut) * done.removal_um + last.scratch_depth_um, "um",
        "(1 + overcut) x film taken + scratch depth of the last step; it may not pass the film to spend",
        f"{times} x {num(done.removal_um)} + {num(last.scratch_depth_um)}",
        (*over, *step_inputs(case.profile, last, False))))
    return [*found, least_working(case, last)]


def first_working(case: Case) -> Working:
    """Return what a zone's first step takes."""
    taken, policy, done = case.taken, case.policy, case.done
    first = taken[0][0]
    least, source = (
        (first.scratch_depth_um, step_inputs(case.profile, first, False)) if first.is_sheet
        else (policy.first_cut_compound_um, [figure(policy, "first_cut_compound_um", "least a first compound takes")]))
    deep = Sourced("depth to take out here", done.to_take_out_um, "um", "worked out",
                   "the deepest defect that goes with the zone")
    if case.job.crew.first_cut != "lean":
        return Working(f"{first.name} takes", taken[0][1], "um", "the depth to take out, and never less than its least",
                       f"the more of {num(done.to_take_out_um)} and {num(least)}", (deep, *source))
    previous = 0.0 if case.zone.previous is None else policy.clearing * case.zone.previous.scratch_depth_um
    rest = f"{num(done.to_take_out_um)} - {summed([um for _, um, _, _ in taken[1:]] or [0.0])}"
    return Working(
        f"{first.name} takes", taken[0][1], "um",
        "the depth to take out less what the finer steps take of it, and never less than its least",
        f"the more of {rest} and {num(max(previous, least))}", (deep, *source))


def overcut_inputs(case: Case) -> tuple[Sourced, ...]:
    """Return the overcut of who works here, and what an edge adds."""
    policy = case.policy
    trainee = case.panel.worker == "trainee"
    own = figure(policy, "overcut_trainee", "overcut of a trainee") if trainee else figure(
        policy, "overcut", "overcut of a finisher")
    narrow = (figure(policy, "edge_overcut_factor", "times that at an edge"),)
    return (own, *(narrow if case.zone.zone.kind in NARROW_KINDS else ()))


def least_working(case: Case, last: Step) -> Working:
    """Return the least reading before the first stroke."""
    done = case.done
    used = {r.method for r in case.zone.zone.readings if r.method != "estimate"} or {"ultrasonic"}
    need = done.keep_um + (1 + done.overcut) * done.removal_um + last.scratch_depth_um
    name = max(used, key=lambda m: (need + METHODS[m].bias_um) / (1 - METHODS[m].bias_share))
    method = METHODS[name]
    return Working(
        "least reading before the first stroke", done.least_start_um, "um",
        "(leave at least + (1 + overcut) x film taken + last scratch + fixed error) over (1 - share of error)",
        f"({num(done.keep_um)} + (1 + {num(done.overcut)}) x {num(done.removal_um)} + {num(last.scratch_depth_um)} + "
        f"{num(method.bias_um)})/(1 - {num(method.bias_share)})",
        (Sourced(f"{name}, fixed part", method.bias_um, "um", method.source_kind, METHOD_SOURCE),
         Sourced(f"{name}, share", method.bias_share, "of the reading", method.source_kind, METHOD_SOURCE)))


def minutes_workings(case: Case) -> list[Working]:
    """Return the minutes of each step over this zone."""
    area = Sourced("area", case.done.area_m2, "m2", "measured here", SURVEYED)
    found = []
    for step, um, minutes, way in case.taken:
        factors = speed_inputs(case, way, "sheet" if step.is_sheet else "compound")
        speed = " x ".join(num(float(f.value)) for f in factors)
        found.append(Working(
            f"{step.name}, minutes", minutes, "min", "area x film taken over (rate x speed)",
            f"{num(case.done.area_m2)} x {num(um)}/({num(step.removal_rate_cm3_per_min)} x {speed})",
            (area, *step_inputs(case.profile, step, True), *factors)))
    return found


def speed_inputs(case: Case, way: str, use: str) -> list[Sourced]:
    """Return what slows or speeds work here: the tool, a standing panel, a trainee."""
    tool, panel, policy = case.profile.tool(way, use), case.panel.panel, case.policy
    found = [case.profile.speed_figure(tool, f"{way}, speed")]
    if panel.position == "upright" and not panel.off:
        found.append(figure(policy, "position_upright_factor", "speed on a standing panel"))
    if case.panel.worker == "trainee":
        found.append(figure(policy, "trainee_factor", "speed of a trainee"))
    return found


def look_workings(case: Case) -> list[Working]:
    """Return the looks and wipes of the whole panel that the zone is part of."""
    plan, policy = case.plan, case.policy
    if not plan.steps:
        return []
    return [Working(
        f"looks and wipes of all of {plan.name}", plan.look_minutes, "min",
        "look x steps + look by area x the areas that each step goes over",
        f"{num(policy.look_min)} x {len(plan.steps)} + {num(policy.look_min_per_m2)} x "
        f"{summed([step.area_m2 for step in plan.steps])}",
        (figure(policy, "look_min", "look and wipe after a step"),
         figure(policy, "look_min_per_m2", "look and wipe by area")))]


def local_workings(case: Case) -> list[Working]:
    """Return the minutes of spots and fills, and the film that each needs where it is done."""
    found: list[Working] = []
    for defect in case.done.defects:
        if defect.repair in ("spot", "fill"):
            found += local_working(case, defect)
    return found


def local_working(case: Case, defect: DefectPlan) -> Iterable[Working]:
    """Return the workings of one spot or fill."""
    policy, name = case.policy, wording.defect_words(defect.kind, defect.count)
    if defect.repair == "spot":
        first = case.profile.step(defect.local_steps[0])
        yield Working(
            f"spots: {name}, minutes", defect.minutes, "min",
            "handling x number + film of the feathered spot over (rate of its first sheet x speed of the hand)",
            f"{num(policy.spot_min)} x {defect.count} + {num(defect.local_volume_cm3)}/"
            f"({num(first.removal_rate_cm3_per_min)} x {num(policy.local_hand_factor)})",
            (figure(policy, "spot_min", "handling of one spot"), *step_inputs(case.profile, first, True),
             figure(policy, "local_hand_factor", "speed of the hand inside a spot"),
             Sourced("film of the feathered spots", defect.local_volume_cm3, "cm3", "worked out",
                     "a dish no steeper than the eye passes over")))
    else:
        names = ("fill_min", "second_pour_min", "fill_edge_factor", "fill_clear_factor", "dam_min")
        words = ("one fill", "a second pour", "times at an edge or corner", "times in a clear build", "a dam, standing")
        yield Working(f"fills: {name}, minutes", defect.minutes, "min",
                      "number x (one fill, a second pour if deep, times edge or clear build, a dam if standing)", "",
                      tuple(figure(policy, n, w) for n, w in zip(names, words, strict=True)))
    if defect.film_needed_um is not None:
        parts = [num(defect.planning_depth_um or 0.0)] if defect.repair == "spot" else []
        where = "its depth, " if parts else ""
        yield Working(f"{defect.repair}: {name}, film it takes there", defect.film_needed_um, "um",
                      f"{where}its own sheets {wording.listed(defect.local_steps)}, then the steps of the zone", "",
                      (figure(policy, "clearing", "last-grit factor"),))
