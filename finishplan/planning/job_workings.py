"""How the whole job's numbers come about: time, film, what was made least, and what is used up."""

from __future__ import annotations

import math
from collections.abc import Iterable

from finishplan.planning.materials import compound_grams, resin_grams, sheets_used
from finishplan.planning.result import PanelPlan, Plan, StepPlan
from finishplan.planning.worked_number import MOST_SUMMED, Working, figure, num, summed
from finishplan.reference import Sourced
from finishplan.shop.profile import Profile
from finishplan.shop.steps import REFERENCE_D50_UM

BY_ZONE = "see each zone"


def job_workings(plan: Plan, profile: Profile) -> tuple[Working, ...]:
    """Return the workings of set-up, time at the panels, film taken, and what the choice makes least."""
    profile = profile.with_steps(plan.set_up_steps)
    parts = plan.parts
    at_panels = Working(
        "time at the panels", plan.minutes, "min", "set-up + looks and wipes + work of all steps + spots and fills",
        f"{num(plan.set_up_minutes)} + {num(parts.look)} + {num(parts.work)} + {num(parts.repairs)}",
        tuple(Sourced(name, value, "min", "worked out", BY_ZONE)
              for name, value in (("looks and wipes", parts.look), ("work of all steps", parts.work),
                                  ("spots and fills", parts.repairs))))
    return (set_up_working(plan, profile), at_panels, film_working(plan), least_working(plan, profile))


def set_up_working(plan: Plan, profile: Profile) -> Working:
    """Return the set-up: each step and each kit once for the whole job."""
    inputs = []
    for name in plan.set_up_steps:
        step = profile.step(name)
        inputs.append(Sourced(f"change to {name}", step.change_min, "min",
                              *profile.kind_of(name, "change_min", step.source_kind, step.source)))
    inputs += [figure(profile.policy, f"{kit}_kit_min", f"{kit} kit") for kit in plan.kits]
    return Working("set-up", plan.set_up_minutes, "min", "every step and kit once for the whole job",
                   summed([float(i.value) for i in inputs] or [0.0]), tuple(inputs))


def film_working(plan: Plan) -> Working:
    """Return the film taken over the whole job."""
    zones = [zone for panel in plan.panels for zone in panel.zones if zone.removal_um > 0]
    products = [f"{num(zone.area_m2)} x {num(zone.removal_um)}" for zone in zones]
    worked = " + ".join(products) if 0 < len(products) <= MOST_SUMMED else ""
    return Working("film taken over the whole job", plan.film_um_m2, "cm3",
                   "sum of area x film taken; 1 um over 1 m2 is 1 cm3", worked, ())


def least_working(plan: Plan, profile: Profile) -> Working:
    """Return what the choice makes least: minutes, film at its worth, and the price of refusing."""
    parts, policy = plan.parts, profile.policy
    weight = Sourced(f"worth of film, {plan.favour}", plan.film_weight, "min per cm3",
                     figure(policy, "favours", "worth").kind, "minutes that one um over one m2 is worth")
    return Working(
        "what the plan makes least", plan.objective_min, "min",
        "time at the panels + worth of film x film taken + a price for each zone that will not match and each defect "
        "that is not dealt with: no other plan of this job has less",
        f"{num(plan.minutes)} + {num(plan.film_weight)} x {num(plan.film_um_m2)} + {num(parts.untouched)} + "
        f"{num(parts.refer)}",
        (weight, figure(policy, "untouched_price", "price of a zone that will not match"),
         figure(policy, "refer_price", "price of a defect not dealt with")))


def material_workings(plan: Plan, profile: Profile, catalyst_percent: float | None = None) -> tuple[Working, ...]:
    """Return the workings of sheets, compounds, resin and catalyst."""
    profile = profile.with_steps(plan.set_up_steps)
    return (*sheet_workings(plan, profile), *compound_workings(plan, profile),
            *resin_workings(plan, profile, catalyst_percent))


def uses_of(plan: Plan, name: str) -> list[tuple[PanelPlan, StepPlan]]:
    """Return the panels that take a step, with the step."""
    return [(panel, step) for panel in plan.panels for step in panel.steps if step.step == name]


def sheet_workings(plan: Plan, profile: Profile) -> Iterable[Working]:
    """Return the sheets of each grade that goes over whole zones."""
    policy = profile.policy
    for step in (s for s in profile.steps if s.is_sheet):
        uses = uses_of(plan, step.name)
        if not uses:
            continue
        grain = step.d50_um or REFERENCE_D50_UM
        used = [sheets_used(s.volume_cm3, s.area_m2, grain, policy) for _, s in uses]
        local = sum(
            step.name not in panel.sequence
            and any(step.name in d.local_steps for zone in panel.zones for d in zone.defects) for panel in plan.panels)
        yield Working(
            f"sheets {step.name}", float(sum(math.ceil(u - 1e-9) for u in used) + local), "sheets",
            "a panel: the most of 1, film over what a sheet takes (for P600, scaled by the grain), and for fine grades "
            "area over what a sheet covers; rounded up; one more for a panel that has it in a spot or fill alone",
            " + ".join(f"up({num(u)})" for u in used) + (f" + {local}" if local else ""),
            (figure(policy, "sheet_life_cm3", "film that a P600 sheet takes"),
             figure(policy, "sheet_life_m2", "area that a fine sheet covers"),
             Sourced(f"{step.name}, median grain", grain, "um",
                     *profile.kind_of(step.name, "d50_um", step.source_kind, step.source))))


def compound_workings(plan: Plan, profile: Profile) -> Iterable[Working]:
    """Return the grams of each compound."""
    for step in (s for s in profile.steps if not s.is_sheet):
        grams = [compound_grams(panel, used, step) for panel, used in uses_of(plan, step.name)]
        for form, total, per_m2 in (
            ("bar", sum(g[0] for g in grams), step.compound_g_per_m2_bar),
            ("liquid", sum(g[1] for g in grams), step.compound_g_per_m2_liquid),
        ):
            if total > 0:
                yield Working(
                    f"{step.name}, {form}", total, "g", "area x grams a m2", f"{num(total / per_m2)} x {num(per_m2)}",
                    (Sourced("area worked with it", total / per_m2, "m2", "worked out", "sum over the zones"),
                     profile.step_figure(step, f"compound_g_per_m2_{form}", "g/m2", form)))


def resin_workings(plan: Plan, profile: Profile, catalyst_percent: float | None) -> Iterable[Working]:
    """Return the resin to mix, and the catalyst where the supplier's figure is known."""
    grams = resin_grams(plan, profile, catalyst_percent)
    if grams is None:
        return
    policy = profile.policy
    yield Working(
        "fill resin", grams, "g",
        "volume of the fills x density x waste, and never under the least batch whose catalyst the scale can weigh", "",
        (figure(policy, "resin_density", "density"), figure(policy, "resin_waste_factor", "mixed over used"),
         figure(policy, "catalyst_weighing_error", "error allowed in the catalyst")))
    if catalyst_percent is not None:
        yield Working("catalyst", grams * catalyst_percent / 100.0, "g", "resin x share from the supplier's sheet",
                      f"{num(grams)} x {num(catalyst_percent)}/100",
                      (Sourced("catalyst", catalyst_percent, "%", "measured here", "the supplier's sheet, as typed"),))
