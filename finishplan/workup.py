"""One job through planning, office and safety: the whole answer, for the command line and the pages."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from finishplan.errors import FinishplanError
from finishplan.office.labour import LabourLine, labour
from finishplan.office.terms import read_figures
from finishplan.planning.materials import MaterialLine, materials
from finishplan.planning.plan import make_plan
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, ZonePlan
from finishplan.planning.risk import DRAWS, audit
from finishplan.planning.risk_model import figures_of
from finishplan.planning.risk_result import Risk
from finishplan.safety.as_json import caution_json
from finishplan.safety.cautions import Caution, cautions
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job
from finishplan.where_typed import for_files

if TYPE_CHECKING:
    from datetime import datetime

    from finishplan.bench.spot_change import SpotChange
    from finishplan.office.schedule import Days

PLAN_FORMAT = "finishplan-plan"
PLAN_VERSION = 1


@dataclass(frozen=True)
class Beside:
    """Another plan of the same job beside this one: this less the other."""

    what: str
    minutes: float
    film_um_m2: float
    refers: int
    sequences: tuple[tuple[str, tuple[str, ...]], ...]
    """The other plan's sequences, by panel."""


@dataclass(frozen=True)
class Answer:
    """Everything that is said of one job."""

    job: Job
    profile: Profile
    plan: Plan
    materials: tuple[MaterialLine, ...]
    labour: tuple[LabourLine, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    beside_optimum: Beside | None = None
    """Where a sequence was named: what it costs over the best plan."""
    before_test_spot: Beside | None = None
    """Where a test spot was entered: what it changed."""
    risk: Risk | None = None
    spot_change: SpotChange | None = None
    """Where a test spot was entered: depth, rate, spread, start and price before and after."""
    plan_before_spot: Plan | None = None

    @property
    def labour_minutes(self) -> float:
        """Minutes of the whole job: the plan and its allowances."""
        return sum(line.minutes for line in self.labour)


SEED = 1
"""Seed of the risk draws where none is named: the same job gives the same answer."""


def work_up(
    job: Job,
    profile: Profile,
    favour: str | None = None,
    sequence: tuple[str, ...] | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Answer:
    """Return the whole answer to a job; raises a FinishplanError for what cannot be planned.

    ``draws`` 0 leaves the risk out.
    """
    if job.site.kind == "home":
        return work_up_visit(job, profile, favour, sequence, draws, seed)
    if sequence is not None:
        profile = profile.with_steps(sequence, "sequence")
    plan = make_plan(job, profile, favour, sequence, why=True)
    optimum = None if sequence is None else beside(plan, make_plan(job, profile, favour), "the best plan")
    lines = labour(job, plan, read_figures(profile.file.office))
    risk = with_risk(job, profile, plan, lines, draws, seed, sequence) if draws else None
    untested, change, before = None, None, None
    if job.test_spot is not None:
        before = make_plan(without_spot(job), profile, favour, sequence)
        untested = beside(plan, before, "before the test spot")
        change = changed_by_spot(job, profile, plan, risk, before, sequence)
    return Answer(
        job, profile, plan, materials(plan, profile, job.fill.catalyst_percent), lines,
        cautions(job, plan, profile), plan.notes, optimum, untested, risk, change, before,
    )


def without_spot(job: Job) -> Job:
    """Return the job as it was before its test spot."""
    return job.model_copy(update={"test_spot": None})


def changed_by_spot(
    job: Job, profile: Profile, plan: Plan, risk: Risk | None, before: Plan, sequence: tuple[str, ...] | None
) -> SpotChange:
    """Return what the test spot of ``job`` changed; its price only where ``risk`` was worked out."""
    from finishplan.bench.spot_change import spot_change  # only a test spot waits for the models of the bench log

    risk_before = None
    if risk is not None:
        lines = labour(without_spot(job), before, read_figures(profile.file.office))
        risk_before = with_risk(without_spot(job), profile, before, lines, risk.draws, risk.seed, sequence, False)
    return spot_change(job, profile, plan, risk, before, risk_before, figures_of(profile.policy))


def work_up_visit(
    job: Job, profile: Profile, favour: str | None, sequence: tuple[str, ...] | None, draws: int, seed: int
) -> Answer:
    """Return the answer to a job at the customer's: what a visit can do, and what has to wait for the shop."""
    from finishplan.office.home import at_home, read_home  # only a visit waits for these models to be built

    if sequence is not None:
        raise FinishplanError("sequence: a visit is planned with its own steps; drop the sequence, or set site to shop")
    if favour is not None:
        job = job.model_copy(update={"crew": job.crew.model_copy(update={"favour": favour})})
    visit = at_home(job, profile, read_home(profile.file.home, profile), read_figures(profile.file.office))
    plan, lines = visit.plan, visit.lines
    waits = tuple(
        f"Not at the customer's: {', '.join(part for part in (n.panel, n.zone, n.what) if part)}: {n.why}."
        for n in visit.cannot
    )
    risk = with_risk(visit.job, visit.profile, plan, lines, draws, seed, None) if draws else None
    return Answer(
        visit.job, visit.profile, plan, materials(plan, visit.profile, job.fill.catalyst_percent), lines,
        cautions(visit.job, plan, visit.profile), (*plan.notes, *visit.notes, *waits), None, None, risk,
    )


def with_risk(
    job: Job, profile: Profile, plan: Plan, lines: tuple[LabourLine, ...], draws: int, seed: int,
    sequence: tuple[str, ...] | None, readings: bool = True,
) -> Risk:
    """Return the audit of a plan by simulation; all that stands around the plan counts in its minutes and cost.

    That is allowances, hardware and supervision: the hours at risk are those of the labour table.
    """
    around = sum(line.minutes for line in lines if line.group != "plan")
    return audit(job, profile, plan, seed, draws, allowance_min=around, sequence=sequence, readings=readings)


def days_of(answer: Answer, start: datetime) -> Days:
    """Return the days of one job alone in its shop, from ``start`` on: those of its quote where it repairs what shows.

    Its due date counts where it can still be met. Raises a FinishplanError for hours without work, a role that nobody
    has, and a room too cold for resin.
    """
    from finishplan.office.inputs import USUAL  # only the days wait for the office
    from finishplan.office.quote import OPTION_TRIES
    from finishplan.office.quote_work import without_past_due
    from finishplan.office.schedule import due_date, plan_days
    from finishplan.office.schedule_tasks import JobOrder

    job, _ = without_past_due(answer.job, start.date())
    order = JobOrder(USUAL, job, answer.plan, start.date(), due_date(job.due))
    return plan_days([order], answer.profile, start, figures=read_figures(answer.profile.file.office),
                     tries=OPTION_TRIES)


def days_or_why(answer: Answer, start: datetime) -> tuple[Days | None, str]:
    """Return the days of one job where its shop says its hours, else None and why there are none."""
    if not answer.profile.file.hours:
        return None, "our shop has not said its working hours"
    try:
        return days_of(answer, start), ""
    except FinishplanError as error:
        return None, str(error)


def beside(plan: Plan, other: Plan, what: str) -> Beside:
    """Return another plan of the same job set beside this one."""

    def referred(of: Plan) -> int:
        return sum(d.repair == "refer" for panel in of.panels for zone in panel.zones for d in zone.defects)

    return Beside(
        what, plan.minutes - other.minutes, plan.film_um_m2 - other.film_um_m2, referred(plan) - referred(other),
        tuple((panel.name, panel.sequence) for panel in other.panels),
    )


def as_json(answer: Answer) -> dict[str, Any]:
    """Return the answer as plain data, in the plan format; numbers are unrounded."""
    plan = answer.plan
    found = {
        "format": PLAN_FORMAT, "version": PLAN_VERSION, "title": plan.title, "favour": plan.favour,
        "objective_min": plan.objective_min, "film_weight": plan.film_weight, "parts_min": asdict(plan.parts),
        "set_up": {"steps": list(plan.set_up_steps), "kits": list(plan.kits), "minutes": plan.set_up_minutes},
        "panels": [panel_json(panel) for panel in plan.panels],
        "film_against_time": [asdict(point) for point in plan.film_against_time],
        "asking_less": [asdict(line) for line in plan.asking_less],
        "two_limits": [asdict(move) for move in plan.two_limits],
        "beside_optimum": None if answer.beside_optimum is None else asdict(answer.beside_optimum),
        "before_test_spot": None if answer.before_test_spot is None else asdict(answer.before_test_spot),
        "test_spot_change": None if answer.spot_change is None else asdict(answer.spot_change),
        "labour": {"lines": [asdict(line) for line in answer.labour], "minutes": answer.labour_minutes},
        "materials": [asdict(line) | {"note": for_files(line.note)} for line in answer.materials],
        "cautions": [caution_json(caution) for caution in answer.cautions],
        "days": None, "risk": None if answer.risk is None else asdict(answer.risk), "notes": list(answer.notes),
        "sources": [{"value": s.name, "is": s.value, "unit": s.unit, "kind": s.kind, "source": s.source}
                    for s in plan.sources],
    }
    if plan.if_echo is not None:
        found["if_echo"] = {
            "objective_min": plan.if_echo.objective_min,
            "panels": [panel_json(panel) for panel in plan.if_echo.panels],
        }
    return found


def panel_json(panel: PanelPlan) -> dict[str, Any]:
    """Return one panel as plain data."""
    return {
        "name": panel.name, "sequence": list(panel.sequence), "worker": panel.worker,
        "minutes": {"look": panel.look_minutes, "work": panel.work_minutes, "repairs": panel.repair_minutes},
        "steps": [
            {"step": step.step, "minutes": step.minutes, "look_minutes": step.look_minutes, "wet": step.wet,
             "zones": [asdict(zone) for zone in step.zones]}
            for step in panel.steps
        ],
        "zones": [zone_json(zone) for zone in panel.zones],
        "runners_up": [asdict(r) for r in panel.runners_up], "close_calls": [asdict(c) for c in panel.close_calls],
        "limited_by": panel.limited_by,
    }


def zone_json(zone: ZonePlan) -> dict[str, Any]:
    """Return one zone as plain data."""
    found = {name: getattr(zone, name) for name in (
        "name", "kind", "area_m2", "verdict", "last_service", "film_mean_um", "film_low_um", "film_from",
        "keep_um", "spare_um", "overcut", "starts_at", "to_take_out_um", "removal_um", "film_left_um",
        "untouched", "least_start_um")}
    return found | {
        "reasons": list(zone.reasons), "would_fit": list(zone.would_fit),
        "suspect_readings": list(zone.suspect_readings),
        "defects": [defect_json(defect) for defect in zone.defects],
    }


def defect_json(defect: DefectPlan) -> dict[str, Any]:
    """Return one entry as plain data."""
    return asdict(defect) | {"local_steps": list(defect.local_steps)}
