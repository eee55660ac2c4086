"""The cautions a job raises, worst first: each row of the table has its trigger here, and only here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from string import Formatter

from finishplan import reference
from finishplan.planning.result import Plan
from finishplan.safety.situation import Situation
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

SEVERITIES = {
    "stop": "do not start before it is dealt with",
    "high": "can injure",
    "medium": "do it",
    "info": "know it",
}
"""Severities, worst first."""


@dataclass(frozen=True)
class Caution:
    """One caution as it is shown: what to do, why it appears, the sum behind it where there is one."""

    id: str
    hazard: str
    severity: str
    text: str
    trigger: str
    sum: str
    check_locally: str
    source: str
    trust: str


TRIGGERS: dict[str, Callable[[Situation], bool]] = {
    "sheet_dry": lambda s: s.dry,
    "sheet_any": lambda s: bool(s.sheets),
    "sheet_wet": lambda s: s.wet,
    "finish_old_or_unknown": lambda s: s.old_or_unknown,
    "old_material": lambda s: s.old_or_unknown,
    "reaches_wood": lambda s: s.reaches_wood,
    "opens_keys": lambda s: s.opens_keys,
    "compound_any": lambda s: bool(s.compound_ways),
    "wet_and_mains": lambda s: s.wet and s.mains,
    "mains_tool": lambda s: s.mains,
    "wheel": lambda s: s.wheel,
    "rotary": lambda s: "rotary" in s.compound_ways,
    "powered": lambda s: bool(s.ways & {"machine", "wheel", "rotary", "random orbit"}),
    "compound_machine": lambda s: bool(s.compound_ways - {"hand"}),
    "long_hand_work": lambda s: sum(m for (w, _), m in s.minutes_by_way.items() if w in ("hand", "hand block")) > 60,
    "solvent_any": lambda s: bool(s.solvents),
    "flammable": lambda s: bool(s.flammable(over_ml=10.0)),
    "solvent_then_power": lambda s: bool(s.solvents) and bool(s.ways & {"machine", "wheel", "rotary", "random orbit"}),
    "solvent_stock": lambda s: sum(x.ml for x, _ in s.solvents) >= 250,
    "solvent_pour": lambda s: any(x.ml >= 5000 for x, _ in s.solvents),
    "oil_or_resin_rags": lambda s: s.fills or any("oil" in x.substance.lower() for x, _ in s.solvents),
    "wet_hours": lambda s: wet_minutes(s) > 120,
    "solvent_or_resin": lambda s: bool(s.solvents) or s.fills,
    "fill_polyester": lambda s: s.polyester_fill,
    "peroxide": lambda s: s.polyester_fill,
    "peroxide_or_acetone": lambda s: s.polyester_fill or any(x.substance.lower() == "acetone" for x, _ in s.solvents),
    "resin_mixed": lambda s: s.resin_g is not None and s.resin_g >= 20.0,
    "lamp_on_fill": lambda s: s.fills and bool(s.profile.file.equipment.get("lamp")),
    "fill_then_sand": lambda s: s.fills,
    "fill_ca": lambda s: s.fills and "cyanoacrylate" in s.resin,
    "refinish": lambda s: any(z.verdict == "not enough film" for p in s.plan.panels for z in p.zones),
    "uv_cure": lambda s: s.fills and "uv" in s.resin,
    "respirator": lambda s: bool(s.profile.file.equipment.get("respirator")),
    "cartridge": lambda s: any(r is None or not r.cartridge_listed for _, r in s.solvents),
    "lid_off": lambda s: s.lid_off,
    "lid_open": lambda s: s.lid_worked,
    "legs_off": lambda s: s.legs_off,
    "hardware_off": lambda s: bool(s.hardware_tasks),
    "trainee": lambda s: (
        (s.trainee or s.job.site.alone)
        and (s.polyester_fill or s.wheel or s.lid_off or s.lid_worked or sum(x.ml for x, _ in s.solvents) > 50)
    ),
    "on_site": lambda s: s.job.site.kind == "home",
    "health": lambda s: bool(s.solvents) or s.fills,
    "waste": lambda s: bool(s.solvents) or s.fills or bool(s.sheets),
    "flammable_or_resin": lambda s: s.fills or bool(s.flammable()),
    "always": lambda s: True,
}
"""Triggers that need no sum, by key."""


def wet_minutes(situation: Situation) -> float:
    """Return the minutes of wet sanding in the plan."""
    return sum(step.minutes for panel in situation.plan.panels for step in panel.steps if step.is_sheet and step.wet)


def cautions(job: Job, plan: Plan, profile: Profile) -> tuple[Caution, ...]:
    """Return the cautions of a job, worst first."""
    situation = Situation(job, plan, profile)
    found = [
        caution_of(row)
        for row in reference.rows("cautions")
        if row["trigger_key"] in TRIGGERS and not needs_sum(row) and TRIGGERS[row["trigger_key"]](situation)
    ]
    return tuple(sorted(found, key=lambda c: list(SEVERITIES).index(c.severity)))


def needs_sum(row: dict[str, str]) -> bool:
    """Tell whether a caution's text states a sum's result."""
    return any(name for _, name, _, _ in Formatter().parse(row["text"]))


def caution_of(row: dict[str, str]) -> Caution:
    """Return a table row as a caution."""
    return Caution(
        row["id"],
        row["hazard"],
        row["severity"],
        row["text"],
        row["trigger"],
        row["backed_by_sum"],
        row["check_locally"],
        row["source"],
        row["trust"],
    )


def sums_not_worked_out() -> tuple[str, ...]:
    """Return the sums that cautions rest on and that this version does not work out."""
    rows = reference.rows("cautions")
    waiting = {r["backed_by_sum"] for r in rows if r["trigger_key"] not in TRIGGERS or needs_sum(r)}
    return tuple(sorted(waiting - {""}))
