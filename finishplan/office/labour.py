"""Minutes of the whole job: the planner's own, allowances, hardware, supervision; by role and by rate."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from finishplan import reference
from finishplan.office.hardware import HardwareWork, hardware_work
from finishplan.office.terms import CostPerHour, OfficeFigures
from finishplan.planning.result import PanelPlan, Plan
from finishplan.shop.shop_file import Person
from finishplan.survey.job import Job, Panel

GROUPS = {
    "plan": "sanding, buffing and repairs",
    "allowance": "allowances",
    "hardware": "hardware",
    "supervision": "supervision",
}
"""Groups of the labour table, and of its share chart."""

LABOUR_ROLES = {
    "finisher": "signs for the work",
    "trainee": "works under a finisher",
    "helper": "second and third hands",
}
"""Who the minutes are of."""


@dataclass(frozen=True)
class LabourLine:
    """One line of the labour table: person-minutes, and where the figure comes from."""

    what: str
    minutes: float
    kind: str
    group: str
    """plan, allowance, hardware or supervision."""
    note: str = ""
    role: str = "finisher"
    """Who does it, or leads it."""
    people: int = 1
    """How many do it together; their minutes are all in ``minutes``."""

    @property
    def clock_minutes(self) -> float:
        """Minutes by the clock."""
        return self.minutes / self.people

    def by_role(self) -> dict[str, float]:
        """Return the person-minutes by role: the lead's, and the helpers'."""
        found = {self.role: self.clock_minutes}
        if self.people > 1:
            found["helper"] = self.minutes - self.clock_minutes
        return found


def workers_of(plan: Plan) -> tuple[str, ...]:
    """Return who works panels of the plan, finisher first."""
    found = {panel.worker for panel in plan.panels if panel.minutes > 0}
    return tuple(role for role in LABOUR_ROLES if role in found)


def leading_role(plan: Plan) -> str:
    """Return who sets up steps and kits: the finisher wherever one works."""
    return (*workers_of(plan), "finisher")[0]


def plan_lines(plan: Plan) -> list[LabourLine]:
    """Return the planner's minutes by part, and by role where finisher and trainee both work."""
    workers = workers_of(plan) or ("finisher",)
    lines = [LabourLine("set-up: steps and kits", plan.set_up_minutes, "assumed", "plan", role=leading_role(plan))]
    for role in workers:
        panels = [panel for panel in plan.panels if panel.worker == role]
        more = f", {role}" if len(workers) > 1 else ""
        for what, minutes in (
            ("looks and wipes", sum(panel.look_minutes for panel in panels)),
            ("sanding and buffing", sum(panel.work_minutes for panel in panels)),
            ("spots and fills", sum(panel.repair_minutes for panel in panels)),
        ):
            lines.append(LabourLine(what + more, minutes, "assumed", "plan", role=role))
    return lines


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
    dust_then_compounds: float
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


def makes_dust(panel: PanelPlan) -> bool:
    """Whether a sheet is used on a panel, over a zone or at a spot or fill."""
    local = any(d.repair in ("spot", "fill") for zone in panel.zones for d in zone.defects)
    return local or any(step.is_sheet for step in panel.steps)


def dust_then_compounds(plan: Plan) -> bool:
    """Whether the job has sanding and buffing both, with a wash-down between them."""
    dust = any(makes_dust(panel) for panel in plan.panels)
    return dust and any(not step.is_sheet for panel in plan.panels for step in panel.steps)


def amounts_of(job: Job, plan: Plan, figures: OfficeFigures) -> Amounts:
    """Return what the allowances count by, for the panels of a job."""
    zones = [zone for panel in job.panels for zone in panel.zones]
    area = sum(zone.area_m2 for zone in zones)
    worked = [panel for panel in plan.panels if panel.sequence]
    worked_area = sum(z.area_m2 for panel in worked for z in panel.zones)
    deep = any(d.repair in ("sand", "spot", "fill") for p in plan.panels for z in p.zones for d in z.defects)
    return Amounts(
        jobs=1.0, parts=float(len(job.panels)), area_m2=area, seen_area_m2=worked_area,
        readings=float(sum(len(zone.readings) for zone in zones) + 3 * sum(len(p.zones) for p in worked)),
        masking_m=sum(masking_m(a, b) for a, b in zip(job.panels, plan.panels, strict=True)),
        days=max(1.0, -(-plan.minutes // figures.day_minutes)),
        dust_then_compounds=float(dust_then_compounds(plan)), test_spots=float(deep),
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
    "wash-down between dust and buffing": lambda a: a.dust_then_compounds,
    "tidy": lambda a: a.days,
    "next-day cold check": lambda a: a.seen_area_m2,
    "residue out of seams": lambda a: a.parts,
    "final inspection": lambda a: a.area_m2,
    "hand-over": lambda a: a.jobs,
    "office": lambda a: a.jobs,
}
"""What each allowance is counted by; a test holds this against the table."""


def allowance_lines(job: Job, plan: Plan, figures: OfficeFigures) -> list[LabourLine]:
    """Return the allowances of a job; one that counts nothing is left out."""
    amounts = amounts_of(job, plan, figures)
    lines = []
    for row in reference.rows("allowances"):
        count = COUNTED_BY[row["what"]](amounts)
        minutes, kind = figures.minutes_of("allowance_min", row["what"])
        if count * minutes > 0:
            note = "" if row["per"] == "job" else f"{count:.3g} x {minutes:g} min a {row['per']}"
            role = job.crew.worker if row["by"] == "worker" else row["by"]
            lines.append(LabourLine(row["what"], count * minutes, kind, "allowance", note, role))
    return lines


def hardware_lines(work: Iterable[HardwareWork]) -> list[LabourLine]:
    """Return hardware work as lines; a finisher does or leads it."""
    return [LabourLine(w.what, w.person_minutes, w.source_kind, "hardware", w.note, "finisher", w.people) for w in work]


def supervision_line(lines: Iterable[LabourLine], figures: OfficeFigures) -> list[LabourLine]:
    """Return the finisher's share of the trainee's hours, or nothing without a trainee."""
    trainee = sum(line.by_role().get("trainee", 0.0) for line in lines)
    if trainee <= 0:
        return []
    note = f"{figures.supervision_share:.0%} of {trainee:.0f} min by a trainee"
    return [LabourLine("supervision", trainee * figures.supervision_share, "assumed", "supervision", note)]


def labour(
    job: Job, plan: Plan, figures: OfficeFigures | None = None, plastic_keytops: bool = False
) -> tuple[LabourLine, ...]:
    """Return the labour table of a job: the plan's minutes, allowances, hardware, supervision.

    Raises UnknownName for a hardware task that the table does not have.
    """
    figures = figures or OfficeFigures()
    lines = [*plan_lines(plan), *allowance_lines(job, plan, figures)]
    lines += hardware_lines(hardware_work(job, figures, plastic_keytops))
    return (*lines, *supervision_line(lines, figures))


def total_minutes(lines: Iterable[LabourLine]) -> float:
    """Return all person-minutes of a table."""
    return math.fsum(line.minutes for line in lines)


def minutes_by_role(lines: Iterable[LabourLine]) -> dict[str, float]:
    """Return the person-minutes by role, in the order of ``LABOUR_ROLES``."""
    parts: dict[str, list[float]] = {role: [] for role in LABOUR_ROLES}
    for line in lines:
        for role, minutes in line.by_role().items():
            parts[role].append(minutes)
    return {role: math.fsum(minutes) for role, minutes in parts.items() if minutes}


def minutes_by_group(lines: Iterable[LabourLine]) -> dict[str, float]:
    """Return the person-minutes by group: the shares of the chart."""
    found = list(lines)
    return {
        group: math.fsum(line.minutes for line in found if line.group == group)
        for group in GROUPS if any(line.group == group for line in found)
    }


def whole_minutes(minutes: Sequence[float]) -> tuple[int, ...]:
    """Return whole minutes that add up to the rounded sum (half up): largest remainders first.

    Each differs from its own by less than one. Valid for minutes >= 0. Source: the largest-remainder
    method, textbook.

    >>> whole_minutes([1.4, 1.4, 1.4])
    (2, 1, 1)
    """
    floors = [math.floor(m) for m in minutes]
    total = math.floor(math.fsum(minutes) + 0.5)
    short = max(0, total - sum(floors))
    by_rest = sorted(range(len(minutes)), key=lambda i: (-(minutes[i] - floors[i]), i))
    raised = set(by_rest[:short])
    return tuple(floor + (i in raised) for i, floor in enumerate(floors))


@dataclass(frozen=True)
class RoleCost:
    """The minutes of one role: who, at what rate, and what they cost the shop."""

    role: str
    who: tuple[str, ...]
    minutes: float
    rate_per_h: float | None
    rate_from: str

    @property
    def cost(self) -> float | None:
        """Minutes times rate, unrounded; None without a rate."""
        return None if self.rate_per_h is None else self.minutes / 60.0 * self.rate_per_h


def role_costs(
    lines: Iterable[LabourLine], people: Sequence[Person] = (), usual: CostPerHour | None = None
) -> tuple[RoleCost, ...]:
    """Return minutes, people and rate by role.

    The rate is the mean over the people of that role who have one, else the usual cost of an hour; a
    helper without a rate counts as a trainee, else as a finisher.
    """
    usual = usual or CostPerHour()
    return tuple(
        RoleCost(role, names_of(role, people), minutes, *rate_of(role, people, usual))
        for role, minutes in minutes_by_role(lines).items()
    )


def names_of(role: str, people: Sequence[Person]) -> tuple[str, ...]:
    """Return the people of a role by name, else by id."""
    return tuple(person.name or person.id for person in people if person.role == role)


def rate_of(role: str, people: Sequence[Person], usual: CostPerHour) -> tuple[float | None, str]:
    """Return what an hour of a role costs, and who says so."""
    rates = [p.rate_per_h for p in people if p.role == role and p.rate_per_h is not None]
    if rates:
        return sum(rates) / len(rates), "our people" if len(rates) == 1 else f"mean of {len(rates)} people"
    own = {"finisher": usual.finisher, "trainee": usual.trainee, "helper": usual.helper}[role]
    if own is not None:
        return own, "terms of the quote"
    if role == "helper":
        for stand_in in ("trainee", "finisher"):
            rate, _ = rate_of(stand_in, people, usual)
            if rate is not None:
                return rate, f"as a {stand_in}"
    return None, "no rate given"
