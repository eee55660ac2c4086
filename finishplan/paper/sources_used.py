"""Every figure that one plan rests on, with its kind and source, in words; what the plan does not use is left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from finishplan import wording
from finishplan.planning.result import Plan
from finishplan.planning.worked_number import Working
from finishplan.reference import SOURCE_KINDS, Sourced
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile
from finishplan.survey.choices import FAVOURS, ZONE_KINDS

FIGURE_HEADS = ("figure", "value", "unit", "kind", "where it comes from")
SHIPPED = "shipped with this program"
ONLY_WITH = {
    "spot": ("spot_ladder", "spot_kit_min", "spot_min", "feather_slope_mrad", "feather_power_per_m", "spot_max_share",
             "spot_max_per_m2"),
    "fill": ("fill_ladder", "fill_kit_min", "fill_min", "second_pour_min", "second_pour_over_um", "fill_edge_factor",
             "fill_clear_factor", "dam_min", "fill_min_width_mm", "fill_opened_over_um", "fill_overfill_mm",
             "fill_overfill_share", "resin_density", "resin_waste_factor", "catalyst_weighing_error", "cure_cut_h",
             "cure_finish_h", "cure_reference_c", "cure_doubling_c", "cure_min_c"),
}
"""Policy figures that only a plan with that repair rests on."""


def figures_used(plan: Plan, profile: Profile) -> tuple[Sourced, ...]:
    """Return the figures of ``plan.sources`` that it rests on: its steps, its tools, the policy of its repairs."""
    steps, ways = steps_used(plan), ways_used(plan)
    repairs = {d.repair for panel in plan.panels for zone in panel.zones for d in zone.defects}
    unused = {name for repair, names in ONLY_WITH.items() if repair not in repairs for name in names}
    every_step = {step.name for step in profile.steps}
    every_tool = {f"{tool.way} for {tool.use}" for tool in profile.tools.values()}
    found = []
    for given in plan.sources:
        of = given.name.partition(", ")[0]
        if given.name in Policy.model_fields:
            if given.name not in unused:
                found += [policy_words(part) for part in parts_of(given, plan, profile.policy)]
        elif (of not in every_step or of in steps) and (of not in every_tool or of in ways):
            found.append(given)
    return tuple(found)


def steps_used(plan: Plan) -> set[str]:
    """Return the names of all steps of a plan, inside spots and fills too."""
    local = {name for panel in plan.panels for zone in panel.zones for d in zone.defects for name in d.local_steps}
    return local | set(plan.set_up_steps)


def ways_used(plan: Plan) -> set[str]:
    """Return the tools of a plan, each with its use."""
    return {f"{part.way} for {'sheet' if step.is_sheet else 'compound'}"
            for panel in plan.panels for step in panel.steps for part in step.zones}


def parts_of(given: Sourced, plan: Plan, policy: Policy) -> list[Sourced]:
    """Return a policy figure that holds several, taken apart: the film to leave by place, the worth by favour."""
    if given.name == "keep":
        return [given._replace(value=policy.keep_um(plan.build, kind), source=f"{given.source}: {kind}")
                for kind in ZONE_KINDS]
    if given.name == "favours":
        return [given._replace(value=policy.favours.weight(favour), source=f"{given.source}: {favour}")
                for favour in FAVOURS]
    return [] if given.name == "film_weight" and policy.film_weight is None else [given]


def policy_words(given: Sourced) -> Sourced:
    """Return a policy figure under its meaning instead of its name in the file."""
    meaning = str(Policy.model_fields[given.name].description)
    said, _, part = given.source.partition(": ") if given.name in ("keep", "favours") else (given.source, "", "")
    own = SHIPPED if said == meaning else said
    return given._replace(name=f"{meaning}: {part}" if part else meaning, source=own)


def value_words(value: float | str) -> str:
    """Return a figure's value, a number to four digits without idle noughts.

    >>> value_words(0.15), value_words(1000.0), value_words("by favour")
    ('0.15', '1000', 'by favour')
    """
    return value if isinstance(value, str) else f"{value:.6g}" if abs(value) >= 1000 else f"{value:.4g}"


def figure_row(given: Sourced) -> tuple[str, ...]:
    """Return a figure as a row."""
    return (given.name, value_words(given.value), given.unit, given.kind, given.source)


def kinds_words(figures: Iterable[Sourced]) -> str:
    """Return how many figures there are of each kind, commonest first."""
    kinds = Counter(next((k for k in SOURCE_KINDS if given.kind.startswith(k)), given.kind) for given in figures)
    total = sum(kinds.values())
    said = wording.listed(f"{count} {kind} ({SOURCE_KINDS.get(kind, 'from other numbers here')})"
                          for kind, count in kinds.most_common())
    return f"This plan rests on {total} figures: {said}."


def result_words(found: Working) -> str:
    """Return a number with its unit."""
    return f"{value_words(found.value)} {found.unit}"
