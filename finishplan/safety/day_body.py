"""The noise and vibration of a job's tools, put into one day of one person."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from finishplan.reference import Sourced
from finishplan.safety.body_figures import NoiseTime, TriggerTime, noise_figures, vibration_figures, with_background
from finishplan.safety.bounds import SHIFT_MIN
from finishplan.safety.noise import DECLARED_ADD_DB
from finishplan.safety.shop_figures import of_shop
from finishplan.safety.situation import POWERED_WAYS, Situation
from finishplan.safety.tables import workplace
from finishplan.safety.vibration import HIGH_M_PER_S2
from finishplan.safety.worked import Worked, number_of
from finishplan.shop.shop_file import TOOL_USES
from finishplan.shop.steps import Tool
from finishplan.where_typed import TOOL

NOISE_ROWS = {
    "machine": "random-orbit sander",
    "random orbit": "random-orbit sander",
    "rotary": "rotary polisher",
    "wheel": "buffing lathe",
}
"""The tool of the workplace table that stands for each powered way of working."""
VIBRATION_ROWS = {
    "machine": ("random-orbit sander", "vibration, typical"),
    "random orbit": ("random-orbit sander", "vibration, typical"),
    "rotary": ("rotary polisher", "vibration"),
}
"""The same for vibration. No figure is on file for work held to a buffing wheel."""
MEASURED = "measured"
NOT_MEASURED = ("not", "never", "maker's", "declared")
"""A figure said to come from the first and none of the others was measured here; any other is a maker's."""
UNSAID = f"our shop does not say where from ({TOOL}): taken for the maker's"
NO_WHEEL_FIGURE = "work held to the buffing wheel is not in it: no vibration figure is on file"
AIR_TOOL = "a compressor in the same room is not in it"

Part = TypeVar("Part", NoiseTime, TriggerTime)


def tools_of(situation: Situation) -> tuple[tuple[Tool, float], ...]:
    """Return the powered tools of the plan with their minutes."""
    return tuple(
        (situation.profile.tool(way, kind), minutes)
        for (way, kind), minutes in situation.minutes_by_way.items() if way in POWERED_WAYS and minutes > 0.0
    )


def noise_of_day(situation: Situation, place: str | None) -> tuple[Worked, ...]:
    """Return the noise figures of the day; none where no powered tool is used."""
    tools = tools_of(situation)
    parts = [noise_time(tool, minutes) for tool, minutes in tools]
    if not parts:
        return ()
    background = of_shop(situation.profile.policy, "background_dba", "background of the shop", "dB(A)")
    figures = noise_figures(with_background(in_one_day(parts, loudness), background), place=place)
    notes = (AIR_TOOL,) if any(tool.power == "air" for tool, _ in tools) else ()
    return tuple(replace(f, notes=(*f.notes, *notes)) for f in figures)


def loudness(part: NoiseTime) -> float:
    """Return the level by which the loudest minutes are found: a maker's counts with 10 dB on top."""
    return number_of(part.level_dba) + (DECLARED_ADD_DB if part.declared else 0.0)


def noise_time(tool: Tool, minutes: float) -> NoiseTime:
    """Return a tool's minutes with its level: the shop's, else that of the workplace table."""
    name = f"{named(tool)}, noise"
    if tool.noise_dba is None:
        return NoiseTime(minutes, workplace(NOISE_ROWS[tool.way], "noise").likely._replace(name=name))
    kind, source = kind_of(tool.noise_from)
    given = Sourced(name, tool.noise_dba, "dB(A)", kind, source)
    return NoiseTime(minutes, given, declared=kind != "measured here")


def named(tool: Tool) -> str:
    """Return what a tool is called beside its figures."""
    return f"{TOOL_USES[tool.use]} by {tool.way}"


def kind_of(said: str) -> tuple[str, str]:
    """Return the source kind of a typed tool figure and its source, by what the shop says of it.

    Measured where it says so, and "not measured" does not; the maker's where it says anything else; assumed
    where it says nothing.

    >>> kind_of("measured at the ear"), kind_of("the maker's sheet")
    (('measured here', 'measured at the ear'), ('published', "the maker's sheet"))
    """
    words = {word.strip(".,;:()") for word in said.lower().split()}
    if MEASURED in words and not words & set(NOT_MEASURED):
        return "measured here", said
    return ("published", said) if said.strip() else ("assumed", UNSAID)


def vibration_of_day(situation: Situation) -> tuple[Worked, ...]:
    """Return the vibration figures of the day; none where no tool with a figure is held."""
    tools = tools_of(situation)
    parts = [part for tool, minutes in tools if (part := trigger_time(tool, minutes)) is not None]
    if not parts:
        return ()
    figures = vibration_figures(in_one_day(parts, lambda part: number_of(part.likely_m_per_s2)))
    left_out = any(trigger_time(tool, minutes) is None for tool, minutes in tools)
    return tuple(replace(f, warnings=(*f.warnings, NO_WHEEL_FIGURE)) for f in figures) if left_out else figures


def trigger_time(tool: Tool, minutes: float) -> TriggerTime | None:
    """Return a tool's minutes with its vibration, all of them on the trigger; None without a figure.

    A figure typed in may be the maker's, or nobody says whose: the high line holds K, up to 40 % of it, on top.
    """
    name = f"{named(tool)}, vibration"
    if tool.a_m_s2 is not None:
        k_share = number_of(workplace("hand-arm vibration", "declared figure and K").likely) / 100.0
        typed_in = Sourced(name, tool.a_m_s2, "m/s2", *kind_of(tool.a_from))
        return TriggerTime(minutes, typed_in, tool.a_m_s2, min(tool.a_m_s2 * (1.0 + k_share), HIGH_M_PER_S2))
    if tool.way not in VIBRATION_ROWS:
        return None
    row = workplace(*VIBRATION_ROWS[tool.way])
    return TriggerTime(minutes, row.likely._replace(name=name), row.low, row.high)


def in_one_day(parts: Sequence[Part], worst: Callable[[Part], float]) -> tuple[Part, ...]:
    """Return ``parts`` cut to 8 h, the worst minutes kept; unchanged where they fit into a day."""
    if math.fsum(part.minutes for part in parts) <= SHIFT_MIN:
        return tuple(parts)
    kept: list[Part] = []
    left = SHIFT_MIN
    for part in sorted(parts, key=worst, reverse=True):
        if left > 0.0:
            kept.append(replace(part, minutes=min(part.minutes, left)))
            left -= part.minutes
    return tuple(kept)


def day_note(situation: Situation) -> str:
    """Return what is said of the day the figures stand for; empty where no powered tool is used."""
    minutes = math.fsum(minutes for _, minutes in tools_of(situation))
    if minutes <= 0.0:
        return ""
    if minutes <= SHIFT_MIN:
        return "Noise and vibration: all tool minutes of the plan taken as one day of one person (assumed)."
    return ("Noise and vibration: the plan holds more tool minutes than a day of 8 h; the figures are those of the "
            "worst 8 h of it in one day, by one person (assumed).")
