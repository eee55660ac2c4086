"""Minutes of the whole job: the planner's own, and the allowances around them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from finishplan import reference
from finishplan.planning.result import PanelPlan, Plan
from finishplan.survey.job import Job, Panel


@dataclass(frozen=True)
class LabourLine:
    """One line of the labour table: minutes of one person, and where the figure comes from."""

    what: str
    minutes: float
    kind: str
    group: str
    """plan or allowance."""
    note: str = ""


def plan_lines(plan: Plan) -> list[LabourLine]:
    """Return the planner's minutes by part."""
    return [
        LabourLine("set-up: steps and kits", plan.set_up_minutes, "assumed", "plan"),
        LabourLine("looks and wipes", plan.parts.look, "assumed", "plan"),
        LabourLine("sanding and buffing", plan.parts.work, "assumed", "plan"),
        LabourLine("spots and fills", plan.parts.repairs, "assumed", "plan"),
    ]


@dataclass(frozen=True)
class Amounts:
    """How much of each thing the allowances count by."""

    jobs: float
    parts: float
    area_m2: float
    seen_area_m2: float
    readings: float
    masking_m: float
    days: float
    sheets_then_compounds: float
    test_spots: float


def masking_m(panel: Panel, plan: PanelPlan) -> float:
    """Return the metres of tape round a sanded panel: its outline, or four sides of a square of its area.

    Only panels that a sheet goes over are masked; 0 for the others.
    """
    if not any(step.is_sheet for step in plan.steps):
        return 0.0
    if panel.size_m is not None:
        return 2.0 * (panel.size_m.width + panel.size_m.height)
    side: float = sum(zone.area_m2 for zone in panel.zones) ** 0.5
    return 4.0 * side


def amounts_of(job: Job, plan: Plan) -> Amounts:
    """Return what the allowances count by, for the panels of a job."""
    zones = [zone for panel in job.panels for zone in panel.zones]
    area = sum(zone.area_m2 for zone in zones)
    worked = [panel for panel in plan.panels if panel.sequence]
    worked_area = sum(z.area_m2 for panel in worked for z in panel.zones)
    both = any(s.is_sheet for p in plan.panels for s in p.steps) and any(
        not s.is_sheet for p in plan.panels for s in p.steps)
    deep = any(d.repair in ("sand", "spot", "fill") for p in plan.panels for z in p.zones for d in z.defects)
    return Amounts(
        jobs=1.0, parts=float(len(job.panels)), area_m2=area, seen_area_m2=worked_area,
        readings=float(sum(len(zone.readings) for zone in zones) + 3 * sum(len(p.zones) for p in worked)),
        masking_m=sum(masking_m(a, b) for a, b in zip(job.panels, plan.panels, strict=True)),
        days=max(1.0, -(-plan.minutes // 480.0)), sheets_then_compounds=float(both), test_spots=float(deep),
    )


COUNTED_BY: dict[str, Callable[[Amounts], float]] = {
    "intake and photos": lambda a: a.jobs,
    "photos": lambda a: a.parts,
    "clean and de-wax": lambda a: a.area_m2,
    "identify finish": lambda a: a.jobs,
    "survey": lambda a: a.area_m2,
    "reading": lambda a: a.readings,
    "test spot": lambda a: a.test_spots,
    "masking": lambda a: a.masking_m,
    "wash-down between dust and buffing": lambda a: a.sheets_then_compounds,
    "tidy": lambda a: a.days,
    "next-day cold check": lambda a: a.seen_area_m2,
    "residue out of seams": lambda a: a.parts,
    "final inspection": lambda a: a.area_m2,
    "hand-over": lambda a: a.jobs,
    "office": lambda a: a.jobs,
}
"""What each allowance is counted by; a test holds this against the table."""


def allowance_lines(job: Job, plan: Plan) -> list[LabourLine]:
    """Return the allowances of a job; one that counts nothing is left out."""
    amounts = amounts_of(job, plan)
    lines = []
    for row in reference.rows("allowances"):
        count = COUNTED_BY[row["what"]](amounts)
        if count > 0:
            note = "" if row["per"] == "job" else f"{count:.3g} x {float(row['minutes']):g} min a {row['per']}"
            lines.append(LabourLine(row["what"], count * float(row["minutes"]), row["source_kind"], "allowance", note))
    return lines


def labour(job: Job, plan: Plan) -> tuple[LabourLine, ...]:
    """Return the labour table of a job: the plan's minutes, then the allowances."""
    return (*plan_lines(plan), *allowance_lines(job, plan))
