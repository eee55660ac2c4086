"""What a plan holds: plain frozen records, filled by ``plan.py``, read by sheets, pages and JSON.

Numbers are unrounded; film in um, area in m2, time in minutes of one person.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from finishplan.reference import Sourced

VERDICTS = {
    "go": "go",
    "identify first": "the finish is not shown to be polyester",
    "measure first": "more readings are needed before this is done",
    "not enough film": "the film does not allow what is asked",
    "refer": "somebody else's work, or no work here",
}
"""Verdicts of a zone, in words."""

REPAIRS = {
    "buff": "goes with the compounds over the whole zone",
    "sand": "goes with the sheets over the whole zone",
    "spot": "sanded and feathered by hand, just there",
    "fill": "filled with resin and levelled",
    "leave": "stays, as agreed or unseen",
    "clean": "cleaned off, then surveyed again",
    "refer": "not dealt with here",
}
"""What is done with a defect. Buff and sand are one repair: they go with the zone."""


@dataclass(frozen=True)
class StepZone:
    """What one step takes from one zone, and the least reading after it."""

    zone: str
    removal_um: float
    least_reading_um: float
    way: str
    """The tool: machine, hand block, hand, wheel, rotary, random orbit."""
    minutes: float


@dataclass(frozen=True)
class StepPlan:
    """One step of a panel: work and look minutes, the zones that take it, film volume."""

    step: str
    is_sheet: bool
    wet: bool
    minutes: float
    """Work only."""
    look_minutes: float
    zones: tuple[StepZone, ...]
    area_m2: float
    volume_cm3: float

    @property
    def whole_minutes(self) -> float:
        """Minutes of work with the look and wipe after it, as every page and sheet says them."""
        return self.minutes + self.look_minutes


@dataclass(frozen=True)
class DefectPlan:
    """What is done with one entry of damage, and why."""

    index: int | None
    """Place in the zone's list; None for the scratches of a broken-off step."""
    kind: str
    count: int
    planning_depth_um: float | None
    depth_from: str
    """measured, range, test spot, guessed from kind, none, previous step"""
    repair: str
    why: str
    minutes: float
    may_come_back: bool
    local_steps: tuple[str, ...] = ()
    film_needed_um: float | None = None
    """Film that the repair takes where it is done, without overcut."""
    feather_mm: float | None = None
    footprint_m2: float = 0.0
    local_volume_cm3: float = 0.0
    fill_volume_cm3: float | None = None
    asked: str = "remove"
    """remove, soften or leave: the wish in force."""


@dataclass(frozen=True)
class ZonePlan:
    """One zone: film, what is done, what is left, the verdict and its reasons."""

    name: str
    kind: str
    area_m2: float
    verdict: str
    last_service: bool
    reasons: tuple[str, ...]
    readings: int
    film_from: str
    """readings, estimate, default"""
    film_mean_um: float
    film_low_um: float
    film_perfect_um: float
    bias_um: float
    keep_um: float
    spare_um: float
    overcut: float
    starts_at: str | None
    to_take_out_um: float
    removal_um: float
    film_left_um: float
    """film_low minus (1 + overcut) x removal: what we count on afterwards."""
    untouched: bool
    suspect_readings: tuple[int, ...]
    would_fit: tuple[str, ...]
    defects: tuple[DefectPlan, ...]
    least_start_um: float
    """Least reading before the first stroke; under it the plan does not hold."""


@dataclass(frozen=True)
class RunnerUp:
    """Another way and its exact price against the plan's: differences, plan to this."""

    instead: str
    minutes: float
    film_um_m2: float
    film_um: float = 0.0
    """The film difference as a mean over the panel."""
    refers: int = 0
    untouched: int = 0


@dataclass(frozen=True)
class AskingLess:
    """What one softer wish would save: minutes and film less, refusals fewer."""

    what: str
    wish: str
    minutes: float
    film_um_m2: float
    refers: int


@dataclass(frozen=True)
class CloseCall:
    """A limit met within 10 %, and what changes when it moves."""

    limit: str
    where: str
    margin_um: float | None
    """How far from it [um], negative beyond it; None for a limit that is no film."""
    changes: str
    by: str = ""
    """How far from it in words, for a limit that is no film."""


@dataclass(frozen=True)
class LimitMove:
    """One of the two limits that make the plan, moved: what changes in the whole job; None where nothing goes."""

    limit: str
    now: str
    moved_to: str
    minutes: float | None
    film_um_m2: float | None
    refers: int | None
    changes: str


@dataclass(frozen=True)
class PanelPlan:
    """One panel: its sequence, minutes and zones."""

    name: str
    part: str | None
    face: str
    position: str
    off: bool
    worker: str
    sheets_by: str
    compounds_by: str
    finish: str
    sequence: tuple[str, ...]
    look_minutes: float
    work_minutes: float
    repair_minutes: float
    steps: tuple[StepPlan, ...]
    zones: tuple[ZonePlan, ...]
    limited_by: str
    runners_up: tuple[RunnerUp, ...] = ()
    close_calls: tuple[CloseCall, ...] = ()

    @property
    def minutes(self) -> float:
        """Minutes of looks, work and repairs together."""
        return self.look_minutes + self.work_minutes + self.repair_minutes

    @property
    def all_go(self) -> bool:
        """Whether every zone's verdict is go."""
        return all(zone.verdict == "go" for zone in self.zones)


@dataclass(frozen=True)
class CurvePoint:
    """One best trade of minutes against film taken."""

    name: str
    minutes: float
    film_um_m2: float


@dataclass(frozen=True)
class Parts:
    """The sum that the choice minimises, by part, in minutes."""

    change: float
    kits: float
    look: float
    work: float
    repairs: float
    untouched: float
    refer: float
    film: float

    @property
    def total(self) -> float:
        """All parts together."""
        return (self.change + self.kits + self.look + self.work + self.repairs
                + self.untouched + self.refer + self.film)


@dataclass(frozen=True)
class Plan:
    """The whole job: one exact choice, with what it rests on."""

    title: str
    favour: str
    first_cut: str
    build: str
    identified: bool
    film_weight: float
    parts: Parts
    set_up_steps: tuple[str, ...]
    kits: tuple[str, ...]
    panels: tuple[PanelPlan, ...]
    notes: tuple[str, ...]
    if_echo: Plan | None = None
    """The plan if the suspect readings are surface echoes."""
    film_against_time: tuple[CurvePoint, ...] = ()
    asking_less: tuple[AskingLess, ...] = ()
    two_limits: tuple[LimitMove, ...] = ()
    sources: tuple[Sourced, ...] = field(default=())

    @property
    def objective_min(self) -> float:
        """The minimised sum over the whole job, in minutes."""
        return self.parts.total

    @property
    def set_up_minutes(self) -> float:
        """Changes and kits, in minutes."""
        return self.parts.change + self.parts.kits

    @property
    def minutes(self) -> float:
        """Minutes of the work planned here: set-up, looks, work, repairs."""
        return self.set_up_minutes + self.parts.look + self.parts.work + self.parts.repairs

    @property
    def film_um_m2(self) -> float:
        """Film taken over all zones, um x m2."""
        return sum(zone.removal_um * zone.area_m2 for panel in self.panels for zone in panel.zones)

    @property
    def all_go(self) -> bool:
        """Whether every zone is go."""
        return all(panel.all_go for panel in self.panels)
