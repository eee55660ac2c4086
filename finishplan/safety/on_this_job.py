"""Why a caution is raised by this job: the facts that meet its trigger, where the trigger alone leaves a question."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from finishplan.safety.situation import CUT, LEAD_YEAR, POWERED_WAYS, WOOD_DAMAGE, Situation
from finishplan.safety.triggers import LARGE_WIPE_ML, Raised
from finishplan.safety.used import Used
from finishplan.shop.shop_file import TOOL_USES
from finishplan.wording import listed, quoted


def on_this_job(key: str, raised: Raised) -> str:
    """Return the facts of a job that meet the trigger ``key``; empty where the trigger says it all."""
    return "; ".join(filter(None, FACTS[key](raised.facts))) if key in FACTS else ""


def old_finish(facts: Situation) -> list[str]:
    """Return what makes a finish one that may hold old material."""
    year, build = facts.job.instrument.year, facts.job.build
    found = ["its year is not known"] if year is None else [f"built in {year}"] if year < LEAD_YEAR else []
    if build == "unknown":
        found.append("its build is not known")
    elif build == "clear over colour":
        found.append("a colour coat lies under the clear")
    if facts.job.instrument.overcoated is True:
        found.append("it lies under another coat")
    return found


def lead(facts: Situation) -> list[str]:
    """Return what keeps lead in mind."""
    test = (facts.job.finish_id.lead_test or "").strip()
    return [*old_finish(facts), f"the lead test on file says {quoted(test)}" if test else "no lead test is on file"]


def wood(facts: Situation) -> list[str]:
    """Return what may be sanded down to the wood."""
    damaged = [panel.name for panel in facts.plan.panels for zone in panel.zones for d in zone.defects
               if d.kind in WOOD_DAMAGE and d.repair in CUT]
    sheeted = {(panel.name, zone.zone) for panel in facts.plan.panels for step in panel.steps if step.is_sheet
               for zone in step.zones}
    guessed = [panel.name for panel in facts.plan.panels for zone in panel.zones
               if (panel.name, zone.name) in sheeted and zone.film_from != "readings"]
    return [*among("damage on", damaged), *among("film nobody has read on", guessed)]


def wet_mains(facts: Situation) -> list[str]:
    """Return which sheets are wet, and which tools run on mains."""
    return [*among("wet:", (name for name, wet in facts.sheets if wet)), *mains(facts)]


def mains(facts: Situation) -> list[str]:
    """Return the tools of the plan that run on mains, and those whose power nobody gave."""
    tools = [(facts.profile.tool(way, kind), f"{TOOL_USES[kind]} by {way}") for way, kind in facts.minutes_by_way
             if way in POWERED_WAYS]
    return [*among("on mains:", (name for tool, name in tools if tool.power == "mains")),
            *among("of unknown power:", (name for tool, name in tools if tool.power == ""))]


def wheel(facts: Situation) -> list[str]:
    """Return what goes to the wheel."""
    panels = [panel.name for panel in facts.plan.panels for step in panel.steps
              if any(zone.way == "wheel" for zone in step.zones)]
    return [*among("panels:", panels), *among("hardware:", facts.hardware_at_wheel)]


def burning(facts: Situation) -> list[str]:
    """Return the solvents that count as flammable here."""
    return [listed(map(flash_words, facts.flammable))]


def flash_words(used: Used) -> str:
    """Return a solvent with its flash point."""
    known = None if used.record is None else used.record.flash_point_c
    return f"{quoted(used.name)} ({'flash point not known' if known is None else f'flash point {known:g} C'})"


def fills(facts: Situation) -> list[str]:
    """Return where is filled, and which peroxide or acetone is among the solvents."""
    places = [panel.name for panel in facts.plan.panels for zone in panel.zones for d in zone.defects
              if d.repair == "fill"]
    named = [used.name for used in facts.solvents if "peroxide" in used.name or used.name == "acetone"]
    return [*among("fills on", places), *among("on the list of solvents:", named)]


def lid(facts: Situation) -> list[str]:
    """Return which parts and tasks are about the lid."""
    parts = [panel.name for panel in facts.job.panels if facts.is_lid(panel.part or panel.name)]
    tasks = [task for task in facts.hardware_tasks if "lid" in task or "hinge" in task]
    return [*among("parts:", parts), *among("hardware:", tasks)]


def alone(facts: Situation) -> list[str]:
    """Return who should not do it alone, and what."""
    who = ["one works alone"] if facts.job.site.alone else []
    who += ["a trainee works on it"] if facts.trainee else []
    what = {"peroxide": facts.peroxide_fill, "a wheel": facts.wheel, "the lid": facts.lid_off or facts.lid_worked,
            f"more than {LARGE_WIPE_ML:g} ml of solvent": facts.solvent_ml > LARGE_WIPE_ML}
    return [*who, listed(name for name, there in what.items() if there)]


def among(head: str, names: Iterable[str]) -> list[str]:
    """Return names after what they have in common, each once; nothing where there are none.

    >>> among("panels:", ["lid", "lid", "rim, bass side"]), among("panels:", [])
    (['panels: lid and "rim, bass side"'], [])
    """
    found = tuple(dict.fromkeys(map(quoted, names)))
    return [f"{head} {listed(found)}"] if found else []


FACTS: dict[str, Callable[[Situation], list[str]]] = {
    "finish_old_or_unknown": lead, "old_material": old_finish, "reaches_wood": wood, "wet_and_mains": wet_mains,
    "mains_tool": mains, "wheel": wheel, "flammable": burning, "peroxide": fills, "peroxide_or_acetone": fills,
    "lid_off": lid, "lid_open": lid, "trainee": alone,
}
"""What is told of a job, by trigger key."""
