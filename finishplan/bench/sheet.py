"""The bench sheet: everything a trainee needs for one panel on one page, as plain data.

Text, PDF and screens share it. It holds no micrometres per step, no curve and no price: the least
readings of the check boxes are the only film figures on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from finishplan import wording
from finishplan.bench.checks import CheckReading, HoldPoint, checks_of, holds_of
from finishplan.bench.columns import fitted
from finishplan.bench.local_work import LocalWork, local_work
from finishplan.bench.places import (
    NAME,
    Mark,
    ReadingSpot,
    broken_off,
    joining,
    marks_of,
    never_sanded,
    place_unit,
    reading_spots,
    taken_out,
    tape_words,
)
from finishplan.bench.sheet_rules import PanelFacts, four_stops, not_on_this_part, what_first
from finishplan.bench.step_texts import key_of, step_text, text_of, tool_rule, tool_words
from finishplan.planning.materials import sheets_used
from finishplan.planning.result import PanelPlan, Plan, StepPlan, ZonePlan
from finishplan.safety.cautions import Caution, cautions
from finishplan.shop.profile import Profile
from finishplan.shop.steps import REFERENCE_D50_UM, Step
from finishplan.survey.choices import NARROW_KINDS
from finishplan.survey.job import Job, Panel

IN_FULL = ("stop", "high")
"""Severities whose text prints in full on the sheet."""

DAY_WIDE = ("N2", "V2", "S2", "F2")
"""Cautions whose sum runs over the day or the room's air: they concern whoever works on any part."""

STATES = {
    "go": "may be worked as printed",
    "nothing": "nothing is done here",
    "stop": "must not be started",
}
"""What a sheet says of its panel."""


class Answer(Protocol):
    """What a sheet is made of: the whole answer to a job."""

    @property
    def job(self) -> Job:
        """The job as surveyed."""

    @property
    def profile(self) -> Profile:
        """The shop."""

    @property
    def plan(self) -> Plan:
        """The plan."""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """The cautions of the whole job, worst first."""


@dataclass(frozen=True)
class Row:
    """One step of the panel as it is worked."""

    number: int
    step: str
    """The grade with its letter or system, or the compound."""
    wet: bool | None
    """None for a compound."""
    direction: str
    amount: str
    minutes: float
    """Work and looks together."""
    tape: str
    by: tuple[tuple[str, str], ...]
    """Each zone that takes the step, with its tool."""
    joins: tuple[str, ...]
    """Zones that take no earlier step."""
    takes_out: tuple[str, ...]
    """Letters of the marks that must be gone after it."""
    softens: tuple[str, ...]
    """Letters of the marks that it softens and leaves."""
    how: str
    done_when: str
    stop_if: str
    key: str
    """The kind of step by which its way of working is looked up."""


@dataclass(frozen=True)
class ZoneStop:
    """Why a zone stops its panel, and what has to be done first."""

    zone: str
    verdict: str
    reasons: tuple[str, ...]
    would_fit: tuple[str, ...]
    first: str
    spots: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """One panel's sheet."""

    title: str
    panel: str
    number: int
    of: int
    state: str
    worker: str
    finish: str
    build: str
    lies: str
    """How the part lies, and whether it is off the instrument."""
    size: str
    place_unit: str
    """What places count in, from the lower left corner: cm or hundredths."""
    minutes: float
    zone_count: int
    taped: tuple[str, ...]
    spots: tuple[ReadingSpot, ...]
    marks: tuple[Mark, ...]
    notes: tuple[str, ...]
    stops: tuple[str, ...]
    not_here: tuple[str, ...]
    always: tuple[str, ...]
    """What holds in every step: wet or dry, each tool, each kind of edge."""
    holds: tuple[HoldPoint, ...]
    checks: tuple[CheckReading, ...]
    local: tuple[LocalWork, ...]
    rows: tuple[Row, ...]
    zones: tuple[ZoneStop, ...]
    cautions: tuple[Caution, ...]
    """Those printed in full: stop and high, of this panel or of the whole job's sums."""
    cautions_by_id: tuple[str, ...]
    """The job's other cautions."""


def sheets_of(answer: Answer) -> tuple[Sheet, ...]:
    """Return a job's sheets, one a panel, in the order of the job.

    Steps, local work, holds and checks are there only where every zone of the panel is go.
    """
    panels = list(zip(answer.job.panels, answer.plan.panels, strict=True))
    raised = [raised_alone(answer, panel, plan) for panel, plan in panels]
    for_all = {c.id for c in answer.cautions} - set().union(*raised) | set(DAY_WIDE)
    return tuple(sheet_of(answer, at, raised[at] | for_all) for at in range(len(panels)))


def sheet_of(answer: Answer, at: int, cautions_here: set[str]) -> Sheet:
    """Return the sheet of the panel at ``at``; ``cautions_here`` are the ids that concern it."""
    panel, plan = answer.job.panels[at], answer.plan.panels[at]
    job, profile = answer.job, answer.profile
    state = "stop" if not plan.all_go else "go" if plan.steps else "nothing"
    marks = marks_of(panel, plan)
    full = tuple(c for c in answer.cautions if c.severity in IN_FULL and c.id in cautions_here)
    sheet = Sheet(
        title=job.title, panel=panel.name, number=at + 1, of=len(answer.plan.panels), state=state, worker=plan.worker,
        finish=finish_words(panel, plan), build=job.build, lies=lies_words(plan), size=size_words(panel),
        place_unit=place_unit(panel),
        minutes=plan.minutes, zone_count=len(plan.zones), taped=(), spots=reading_spots(panel), marks=marks, notes=(),
        stops=four_stops(job.build), not_here=(), always=(), holds=(), checks=(), local=(), rows=(),
        zones=tuple(zone_stop(zone, panel) for zone in plan.zones if zone.verdict != "go"),
        cautions=full, cautions_by_id=tuple(c.id for c in answer.cautions if c not in full),
    )
    if state != "go":
        return replace(sheet, minutes=0.0)
    lean = answer.plan.first_cut == "lean"
    local = local_work(job, profile, panel, plan, marks)
    steps = [profile.step(step.step) for step in plan.steps]
    return replace(
        sheet, taped=never_sanded(plan), notes=panel_notes(panel), always=always_lines(plan, local),
        not_here=not_on_this_part(PanelFacts(plan, marks, profile)), holds=holds_of(job, plan),
        checks=checks_of(panel, plan), local=local,
        rows=tuple(row_of(panel, plan, profile, steps, at, marks, lean) for at in range(len(steps))),
    )


def row_of(
    panel: Panel, plan: PanelPlan, profile: Profile, steps: Sequence[Step], at: int, marks: tuple[Mark, ...],
    lean: bool,
) -> Row:
    """Return one step of a panel as a row."""
    planned, step = plan.steps[at], steps[at]
    use = "sheet" if step.is_sheet else "compound"
    by_hand = all(zone.way == "hand" for zone in planned.zones)
    text = step_text(steps, at, plan.finish, lean, by_hand)
    return Row(
        number=at + 1, step=step.name, wet=step.wet if step.is_sheet else None, direction=text.direction,
        amount=amount_words(planned, step, profile), minutes=planned.minutes + planned.look_minutes,
        tape=tape_words(panel, plan, at),
        by=tuple((zone.zone, tool_words(zone.way, use)) for zone in planned.zones), joins=joining(plan, at),
        takes_out=taken_out(plan, marks, at), softens=taken_out(plan, marks, at, "soften"), how=text.how,
        done_when=text.done_when, stop_if=text.stop_if, key=key_of(steps, at, plan.finish, lean),
    )


def amount_words(planned: StepPlan, step: Step, profile: Profile) -> str:
    """Return what a step uses up on one panel: whole sheets, or a pad, wheel or cloth of its own."""
    if step.is_sheet:
        used = sheets_used(planned.volume_cm3, planned.area_m2, step.d50_um or REFERENCE_D50_UM, profile.policy)
        count = math.ceil(used - 1e-9)
        return f"{count} {'sheet' if count == 1 else 'sheets'}"
    pads = {"wheel": "wheel", "hand": "cloth"}
    own = dict.fromkeys(pads.get(zone.way, "pad") for zone in planned.zones)
    return f"own {wording.listed(own)}"


def zone_stop(zone: ZonePlan, panel: Panel) -> ZoneStop:
    """Return why a zone stops its panel."""
    spots = tuple(spot.number for spot in reading_spots(panel) if spot.zone == zone.name)
    return ZoneStop(zone.name, zone.verdict, zone.reasons, zone.would_fit, what_first(zone.verdict), spots)


def panel_notes(panel: Panel) -> tuple[str, ...]:
    """Return what a trainee must know of this panel beside its steps."""
    return tuple(
        f"Work stopped here once after {step} ({fitted(zone, NAME)}): go on from there, its lines must go too."
        for zone, step in broken_off(panel)
    )


def always_lines(plan: PanelPlan, local: tuple[LocalWork, ...]) -> tuple[str, ...]:
    """Return what holds in every step of a panel: wet or dry, then tools, then edges, corners and bends."""
    wet = [step.wet for step in plan.steps if step.is_sheet]
    wet += [row.wet for work in local for row in work.rows if row.wet is not None]
    found = [text_of("place", "wet" if is_wet else "dry").how for is_wet in dict.fromkeys(wet)]
    for step in plan.steps:
        use = "sheet" if step.is_sheet else "compound"
        found += [tool_rule(zone.way, use) for zone in step.zones]
    found += [text_of("zone", z.kind).how for z in plan.zones if z.starts_at and z.kind in NARROW_KINDS]
    return tuple(dict.fromkeys(line for line in found if line))


def finish_words(panel: Panel, plan: PanelPlan) -> str:
    """Return the finish that is asked for."""
    if plan.finish == "satin":
        return f"satin, last sheet {panel.target.last_sheet}"
    return "full gloss"


def lies_words(plan: PanelPlan) -> str:
    """Return how the part lies."""
    where = "off the instrument" if plan.off else "on the instrument"
    return f"{where}, {'stands' if plan.position == 'upright' else 'lies flat'}"


def size_words(panel: Panel) -> str:
    """Return the panel's size, or its area."""
    if panel.size_m is not None:
        return f"{100 * panel.size_m.width:.0f} x {100 * panel.size_m.height:.0f} cm"
    return f"{sum(zone.area_m2 for zone in panel.zones):.2f} m2, no size given"


def raised_alone(answer: Answer, panel: Panel, plan: PanelPlan) -> set[str]:
    """Return the ids of the cautions that this panel alone would raise.

    A caution that no panel raises alone comes of the whole job (a day's noise, the air of the room) and
    concerns whoever works on any part.
    """
    job = answer.job.model_copy(update={"panels": (panel,)})
    kits = tuple(dict.fromkeys(d.repair for zone in plan.zones for d in zone.defects if d.repair in ("spot", "fill")))
    return {c.id for c in cautions(job, replace(answer.plan, panels=(plan,), kits=kits), answer.profile)}
