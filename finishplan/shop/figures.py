"""All that a shop can set of steps, tools, policy and itself, as figures by group: what its page shows and edits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishplan.shop.figure_kinds import ShopFigure, model_figures, sort_of
from finishplan.shop.policy import Favours, Keep, KeepRules, Policy
from finishplan.shop.profile import Profile, default_profile
from finishplan.shop.shop_file import DAYS, POWERS, ROLES, SYSTEMS, Person, ShopFile, StepChange, ToolChange
from finishplan.shop.steps import COMPOUNDS, Step, Tool, grade_table

STEP_WORDS = {
    "system": ("Grading system", ""), "d50_um": ("Median grain", "um"), "scratch_depth_um": ("Scratch depth", "um"),
    "removal_rate_cm3_per_min": ("Removal rate", "cm3/min"), "max_level_um": ("Most it levels as first step", "um"),
    "change_min": ("Change to it", "min"), "compound_g_per_m2_liquid": ("Liquid compound", "g/m2"),
    "compound_g_per_m2_bar": ("Bar compound", "g/m2"), "in_default_plan": ("In our plans", ""),
    "wet": ("Used wet", ""), "direction": ("Direction, in words", ""), "done_when": ("Done when", ""),
    "stop_if": ("Stop if", ""),
}
"""What a shop can set of a step: label and unit."""
TOOL_WORDS = {
    "speed_factor": ("Speed beside the machine's or the rotary's", "times"),
    "cutting_coarsest_before": ("Coarsest sheet before the cutting compound", ""),
    "max_level_cutting_um": ("Most it levels with cutting compound", "um"),
    "max_level_polishing_um": ("Most it levels with polishing compound", "um"),
    "max_level_finishing_um": ("Most it levels with finishing compound", "um"),
    "power": ("Driven by", ""), "noise_dba": ("Noise at the ear", "dBA"), "noise_from": ("Noise: where from", ""),
    "a_m_s2": ("Vibration", "m/s2"), "a_from": ("Vibration: where from", ""),
    "diameter_m": ("Wheel or pad diameter", "m"),
    "rpm": ("Speed it is run at", "rpm"), "marked_rpm": ("Speed marked on the wheel", "rpm"),
}
"""What a shop can set of a tool: label and unit."""
SHOP_WORDS = {
    "name": "Name of our shop", "place": "Place: a country or state, for limits and papers",
    "currency": "Currency, three letters", "paper": "Paper", "scale_readability_g": "Our scale reads to",
    "tax_share": "One tax on all, as a share (0.19 is 19 %)",
    "wet_sheets": "Sheets are used wet, where a step does not say",
}
"""What a shop says of itself."""
PAPERS = {"A4": "210 x 297 mm", "Letter": "8.5 x 11 in"}
DAY_WORDS = dict(zip(DAYS, ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"), strict=True))
POLICY_GROUPS: dict[str, tuple[str, ...]] = {
    "Film that must stay": ("keep", "leave_for_next_um", "overcut", "overcut_trainee", "edge_overcut_factor"),
    "How film is read": (
        "coverage", "confidence", "prior_share", "prior_worth", "min_readings", "unmeasured_um", "default_film_um",
        "edge_film_share", "echo_share", "echo_under_um", "echo_over_um", "read_min"),
    "Steps in a row": (
        "clearing", "max_step_ratio", "blend_steps", "first_cut_compound_um", "target_scratch_um", "barred_steps",
        "sheet_scratch_share", "level_all_um"),
    "What is favoured": ("film_weight", "favours", "untouched_price", "refer_price"),
    "Speed and looks": ("position_upright_factor", "trainee_factor", "look_min", "look_min_per_m2"),
    "Spots": (
        "spot_ladder", "local_hand_factor", "spot_kit_min", "spot_min", "spot_max_share", "spot_max_per_m2",
        "feather_slope_mrad", "feather_power_per_m", "soften_share", "depth_quantile"),
    "Fills": (
        "fill_ladder", "fill_kit_min", "fill_min", "second_pour_min", "second_pour_over_um", "fill_edge_factor",
        "fill_clear_factor", "dam_min", "fill_min_width_mm", "fill_opened_over_um"),
    "Materials and cure": (
        "sheet_life_cm3", "sheet_life_m2", "fine_sheet_d50_um", "fill_overfill_mm", "fill_overfill_share",
        "resin_density", "resin_waste_factor", "catalyst_weighing_error", "cure_cut_h", "cure_finish_h",
        "cure_reference_c", "cure_doubling_c", "cure_min_c"),
    "Figures of the safety sums": (
        "near_face_class", "stay_min", "air_changes_per_h", "air_changes_shut_per_h", "wipe_ml_per_m2",
        "least_dry_min",
        "styrene_percent", "gel_min", "background_dba", "lid_thickness_mm", "safety_measured"),
    "Spreads of the risk": (
        "removal_cv", "removal_cv_trainee", "minutes_cv", "minutes_cv_tested", "minutes_shared", "thin_spot_m2",
        "gauge_least", "gauge_most", "echo_chance", "services_most"),
}
"""Where each figure of the policy stands on the page; a test holds this against the policy."""


def step_figures(used: Profile, name: str) -> list[ShopFigure]:
    """Return what a shop can set of a step; raises UnknownName for a step it does not have."""
    shipped, now = default_profile().with_steps([name]).step(name), used.step(name)
    at = ("steps", (("step", name),))
    choices: Mapping[str, Mapping[str, str]] = {"system": SYSTEMS}
    return [
        ShopFigure((*at, field), label, _given(shipped, field), _given(now, field), unit,
                   _kind(shipped, field), "choice" if field in choices else sort_of(info.annotation),
                   choices.get(field, {}))
        for field, info in StepChange.model_fields.items() if field in STEP_WORDS and fits_step(field, now)
        for label, unit in [STEP_WORDS[field]]
    ]


def _kind(step: Step, field: str) -> str:
    grades = grade_table()
    return grades[step.name][2] if field in ("system", "d50_um") and step.name in grades else step.source_kind


def fits_step(field: str, step: Step) -> bool:
    """Tell whether a field says anything of a sheet, or of a compound."""
    if field in ("system", "d50_um"):
        return step.is_sheet
    return not (step.is_sheet and field.startswith("compound_g"))


def tool_figures(used: Profile, way: str, use: str) -> list[ShopFigure]:
    """Return what a shop can set of a tool."""
    shipped, now = default_profile().tool(way, use), used.tool(way, use)
    at = ("tools", (("way", way), ("for", use)))
    sheets = {step.name: "" for step in used.steps if step.is_sheet}
    choices: Mapping[str, Mapping[str, str]] = {"power": POWERS, "cutting_coarsest_before": sheets}
    return [
        ShopFigure((*at, field), label, _given(shipped, field), _given(now, field), unit, shipped.source_kind,
                   "choice" if field in choices else sort_of(info.annotation), choices.get(field, {}))
        for field, info in ToolChange.model_fields.items() if field in TOOL_WORDS and fits_tool(field, use, now)
        for label, unit in [TOOL_WORDS[field]]
    ]


def fits_tool(field: str, use: str, tool: Tool) -> bool:
    """Tell whether a field says anything of a tool for that use."""
    if field.startswith("max_level"):
        return tool.max_level_um is not None
    return use == "compound" or field != "cutting_coarsest_before"


def _given(thing: Step | Tool, field: str) -> Any:
    for place, compound in enumerate(COMPOUNDS):
        if field == f"max_level_{compound.split()[0]}_um":
            levels = getattr(thing, "max_level_um", None)
            return None if levels is None else levels[place]
    return getattr(thing, field)


def policy_group(used: Profile, group: str) -> list[ShopFigure]:
    """Return the figures of a group of the policy."""
    flat = {str(one.path[1]): one for one in model_figures(Policy, ("policy",), used.policy)}
    found: list[ShopFigure] = []
    for name in POLICY_GROUPS[group]:
        if name == "keep":
            found += _keep(used.policy.keep)
        elif name == "favours":
            found += model_figures(Favours, ("policy", "favours"), used.policy.favours,
                                   {field: f"a um of film over a square metre, {field.replace('_', ' ')}"
                                    for field in Favours.model_fields})
        else:
            found.append(flat[name])
    return found


def _keep(used: KeepRules) -> list[ShopFigure]:
    found = []
    for name, info in KeepRules.model_fields.items():
        shipped, now = getattr(KeepRules(), name), getattr(used, name)
        found += [
            ShopFigure(("policy", "keep", str(info.alias), place), f"Must stay, {info.alias}, {place}",
                       getattr(shipped, place), getattr(now, place), "um", "assumed", "number",
                       whole=shipped.model_dump())
            for place in Keep.model_fields
        ]
    return found


def shop_figures(used: Profile) -> list[ShopFigure]:
    """Return what a shop says of itself."""
    shipped, now = ShopFile(), used.file
    units, choices = {"scale_readability_g": "g"}, {"paper": PAPERS}
    return [
        ShopFigure((name,), label, getattr(shipped, name), getattr(now, name), units.get(name, ""), "",
                   "choice" if name in choices else sort_of(ShopFile.model_fields[name].annotation),
                   choices.get(name, {}), ours=getattr(shipped, name) in (None, ""))
        for name, label in SHOP_WORDS.items()
    ]


def person_figures(used: Profile, who: str) -> list[ShopFigure]:
    """Return what can be set of one of the shop's people."""
    person = next(person for person in used.file.people if person.id == who)
    words = {"name": "Name", "role": "Role", "rate_per_h": "An hour costs us"}
    return [
        ShopFigure(("people", (("id", who),), name), label, Person.model_fields[name].default or None,
                   getattr(person, name), choices=ROLES if name == "role" else {}, ours=True,
                   sort="choice" if name == "role" else sort_of(Person.model_fields[name].annotation),
                   needed=name == "role")
        for name, label in words.items()
    ]


def price_figures(used: Profile, item: str) -> list[ShopFigure]:
    """Return what a pack of a thing holds and costs."""
    price, unit = used.file.prices[item], "sheets" if item.startswith("sheet ") else ""
    return [ShopFigure(("prices", item, "pack"), "A pack holds (sheets, grams or pieces)", None, price.pack, unit,
                       sort="number", ours=True, needed=True),
            ShopFigure(("prices", item, "price"), "A pack costs", 0.0, price.price, sort="number", ours=True)]


def hours_figures(used: Profile) -> list[ShopFigure]:
    """Return the working hours of each day of the week."""
    return [ShopFigure(("hours", day), words, None, used.file.hours.get(day), sort="hours", ours=True)
            for day, words in DAY_WORDS.items()]


def price_items(used: Profile) -> list[str]:
    """Return the things a pack price can be given for, as the list of materials names them; typed ones come last."""
    sheets = [f"sheet {step.name}" for step in used.steps if step.is_sheet]
    stuff = [f"{name}, {form}" for name in COMPOUNDS for form in ("liquid", "bar")]
    kit = [f"{ {'wheel': 'wheel', 'hand': 'cloth'}.get(way, 'pad') } for {name}, {way}"
           for name in COMPOUNDS for way, use in used.tools if use == "compound"]
    return list(dict.fromkeys([*sheets, *stuff, *kit, "fill resin", "catalyst", *used.file.prices]))
