"""Where each zone stands at the bench: steps done, a step begun, the readings that hold now, what was taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from finishplan.bench.film_change import GUESS, FilmChange, film_change, merged
from finishplan.bench.log_lines import (
    DefectLine,
    DefectValues,
    LogLine,
    MinutesLine,
    ReadingLine,
    RepairLine,
    SheetsLine,
    StepLine,
    as_reading,
)
from finishplan.planning.result import PanelPlan, ZonePlan
from finishplan.planning.risk_model import strokes_of
from finishplan.survey.job import Panel, Reading, Zone


@dataclass(frozen=True)
class Seen:
    """What was said of an entry of damage, and after which steps."""

    values: DefectValues
    after: tuple[str, ...]


@dataclass(frozen=True)
class ZoneNow:
    """One zone as the log leaves it."""

    panel: str
    zone: Zone
    plan: ZonePlan
    steps: tuple[str, ...]
    """The zone's steps by the plan in force."""
    planned_um: tuple[float, ...]
    """What each of them takes."""
    done: tuple[str, ...]
    begun: str
    """The step under way, or nothing."""
    start: tuple[Reading, ...]
    """Readings of the film before the first stroke."""
    read: tuple[ReadingLine, ...]
    """Readings of the film as it is now."""
    change: FilmChange | None
    """What was taken by the readings; None where nothing was, or nobody has read since."""
    repaired: frozenset[int]
    seen: dict[int, Seen] = field(default_factory=dict)
    """What was last said of an entry, by its place."""

    @property
    def worked(self) -> bool:
        """Whether a stroke has been made."""
        return bool(self.done or self.begun)

    @property
    def finished(self) -> bool:
        """Whether all of the zone's steps are done."""
        return bool(self.steps) and len(self.done) == len(self.steps)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The film as it is now: the new readings, or before the first stroke the survey's with the new ones."""
        now = tuple(as_reading(line) for line in self.read)
        return now if self.worked else merged(self.zone.readings, now)

    @property
    def real(self) -> bool:
        """Whether somebody has read the film as it is now."""
        return any(r.method != GUESS for r in self.readings)

    @property
    def taken_by_plan_um(self) -> float:
        """What the steps done were to take."""
        return self.planned_since_um(())

    def planned_since_um(self, after: tuple[str, ...]) -> float:
        """Return what the steps done since ``after`` were to take."""
        pairs = zip(self.steps, self.planned_um, strict=True)
        return sum(um for step, um in pairs if step in self.done and step not in after)

    @property
    def lost_at_most_um(self) -> float:
        """What the steps done and the one begun may have taken, the hand's overcut with them."""
        gone = {*self.done, self.begun}
        planned = sum(um for step, um in zip(self.steps, self.planned_um, strict=True) if step in gone)
        return (1.0 + self.plan.overcut) * planned

    @property
    def taken_um(self) -> float:
        """What was taken so far: by the readings where they tell, else as planned for the steps done."""
        return self.taken_by_plan_um if self.change is None else max(0.0, self.change.removal_um)

    @property
    def last_step(self) -> str:
        """The step last done, or the one begun where none is done; nothing before the first stroke."""
        return self.done[-1] if self.done else self.begun


@dataclass
class _Walk:
    """The state of one zone while its log is read."""

    steps: tuple[str, ...]
    done: list[str] = field(default_factory=list)
    begun: str = ""
    before: list[ReadingLine] = field(default_factory=list)
    now: list[ReadingLine] = field(default_factory=list)
    repaired: set[int] = field(default_factory=set)
    seen: dict[int, Seen] = field(default_factory=dict)

    def begin(self, step: str) -> None:
        """The film changes: readings so far are of the past."""
        self.begun, self.now = step, []

    def take(self, line: LogLine) -> None:
        """Read one line."""
        if isinstance(line, (MinutesLine, SheetsLine)):
            going_on = isinstance(line, SheetsLine) and self.begun == line.step
            if line.step in self.steps and line.step not in self.done and not going_on:
                self.begin(line.step)
        elif isinstance(line, StepLine):
            if line.step in self.steps and line.step not in self.done:
                if self.begun != line.step:
                    self.begin(line.step)
                self.done.append(line.step)
                self.begun = ""
        elif isinstance(line, ReadingLine):
            self.take_reading(line)
        elif isinstance(line, RepairLine):
            self.repaired.add(line.values.defect)
        elif isinstance(line, DefectLine):
            self.seen[line.values.defect] = Seen(line.values, tuple(self.done))

    def take_reading(self, line: ReadingLine) -> None:
        """Keep a reading where it belongs; one of a state that is past tells nothing of now."""
        if not line.step:
            if not self.done and not self.begun:
                self.before.append(line)
            return
        if line.step in self.steps and line.step not in self.done and line.step != self.begun:
            # A reading after a step that nobody has timed yet: the step is being worked.
            self.begin(line.step)
        if line.step == (self.begun or (self.done[-1] if self.done else "")):
            self.now.append(line)


def zone_now(panel: Panel, zone: Zone, plan: PanelPlan, zone_plan: ZonePlan, lines: Sequence[LogLine],
             prior_share: float = 0.10) -> ZoneNow:
    """Return where one zone stands; ``lines`` are those that count and belong to the plan in force."""
    strokes = strokes_of(plan, zone.name)
    walk = _Walk(tuple(step.step for _, step, _ in strokes))
    for line in lines:
        if line.panel == panel.name and line.zone in ("", zone.name):
            walk.take(line)
    start = merged(zone.readings, [as_reading(line) for line in walk.before])
    worked = bool(walk.done or walk.begun)
    change = film_change(start, [as_reading(line) for line in walk.now], prior_share) if worked else None
    return ZoneNow(
        panel.name, zone, zone_plan, walk.steps, tuple(part.removal_um for _, _, part in strokes), tuple(walk.done),
        walk.begun, start, tuple(walk.now if worked else walk.before), change, frozenset(walk.repaired), walk.seen,
    )


def left_to_do(plan: PanelPlan, zones: Sequence[ZoneNow]) -> tuple[str, ...]:
    """Return the steps of a panel that one of its ``zones`` still has to take."""
    return tuple(step.step for step in plan.steps
                 if not all(step.step in zone.done for zone in zones if step.step in zone.steps))
