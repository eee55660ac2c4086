"""The lines of a bench log: each of one kind, with values of its own.

A line says when, who, and on which panel, zone and step. A line without a zone stands for every zone of
the panel that takes the step. A reading's step is the step after which it was read; none means before the
first stroke of the plan in force. Nothing is ever changed: a wrong line is set aside with a reason.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, AwareDatetime, Field

from finishplan.models import Count, Flag, Name, Record, Text, one_of, one_row
from finishplan.shop.shop_file import ROLES
from finishplan.survey.choices import METHODS
from finishplan.survey.job import MAX_FILM_UM, FilmUm, Place, Reading

DAY_MIN = 1440.0

HOLDS = {
    "cleaned": "clean, and the finish identified",
    "test spot": "the test spot is done and looked at",
    "levelled": "after the levelling grade",
    "before compound": "before the first compound",
    "cold": "next day, cold",
}
"""The hold points, each waiting for a finisher's signature."""
LOCAL_REPAIRS = {"fill": "filled and levelled", "spot": "sanded and feathered in its ring"}
SEEN = {"gone": "nothing of it is left", "still there": "the step done did not take it out"}

MaybeName = Annotated[str, Field(max_length=200), AfterValidator(one_row)]
LineNumber = Annotated[int, Field(strict=True, ge=1, le=10_000_000)]
Index = Annotated[int, Field(strict=True, ge=0, le=10_000)]
Said = Annotated[str, Field(min_length=1, max_length=1000)]


class ReadingValues(Record):
    """One film reading; ``beside`` is the number of the line it was taken beside, to see whether it repeats."""

    um: FilmUm
    method: Annotated[str, one_of(METHODS)] = "ultrasonic"
    spot: Annotated[int, Field(strict=True, ge=0, le=1_000_000)] | None = None
    at: Place | None = None
    gauge: MaybeName = ""
    beside: LineNumber | None = None
    note: Text = ""


class ShimValues(Record):
    """The gauge read on a shim of known thickness."""

    shim_um: FilmUm
    um: FilmUm
    method: Annotated[str, one_of(METHODS)] = "ultrasonic"
    gauge: MaybeName = ""


class MinutesValues(Record):
    """Working time; ``started`` is when the timer was started, where one ran."""

    minutes: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=DAY_MIN)]
    started: AwareDatetime | None = None


class SheetsValues(Record):
    """Sheets used up on a step."""

    count: Count


class NoteValues(Record):
    """Words."""

    text: Annotated[str, Field(min_length=1, max_length=4000)]


class PhotoValues(Record):
    """A photo by its digest."""

    digest: Name
    text: Text = ""


class RepairValues(Record):
    """A fill or spot, by the entry's place in the zone's list."""

    defect: Index
    repair: Annotated[str, one_of(LOCAL_REPAIRS)] = "fill"


class DefectValues(Record):
    """How an entry looks after the last step; ``depth_um`` is the depth still to go, where it is known."""

    defect: Index
    seen: Annotated[str, one_of(SEEN)]
    depth_um: FilmUm | None = None


class NoValues(Record):
    """A line that says all by its kind."""


class HoldValues(Record):
    """A signature under a hold point."""

    hold: Annotated[str, one_of(HOLDS)]
    role: Annotated[str, one_of(ROLES)]


class ZoneTaken(Record):
    """Film taken from a zone so far, as read or as planned."""

    panel: Name
    zone: Name
    removal_um: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=MAX_FILM_UM)]
    read: Flag = False


class PlanInForce(Record):
    """Which plan is in force: made of which revision of the job, in which revision of the shop.

    ``sequence`` is the one that was asked for by name; ``only`` are the steps that a plan after the first
    stroke of such a sequence may use.
    """

    revision: LineNumber
    shop_revision: LineNumber
    sequence: Annotated[tuple[Name, ...], Field(max_length=60)] = ()
    only: Annotated[tuple[Name, ...], Field(max_length=60)] = ()


class ReplanValues(Record):
    """A new plan was agreed: why, by which role, and what the zones had lost by then."""

    why: Said
    role: Annotated[str, one_of(ROLES)]
    taken: tuple[ZoneTaken, ...] = ()
    plan: PlanInForce | None = None
    """Where a store keeps the new plan's job; None in a log without a store."""


class SetAsideValues(Record):
    """An earlier line does not count; no reason takes it back in."""

    line: LineNumber
    reason: Said | None = None


class LogLine(Record):
    """What every line has. ``set_aside`` is the reason where the store marks the line as not counting."""

    number: LineNumber
    at: AwareDatetime
    who: Name
    kind: str
    panel: MaybeName = ""
    zone: MaybeName = ""
    step: MaybeName = ""
    set_aside: Said | None = None


class ReadingLine(LogLine):
    """A film reading, after ``step``."""

    kind: Literal["reading"] = "reading"
    panel: Name
    zone: Name
    values: ReadingValues


class ShimLine(LogLine):
    """A check of the gauge."""

    kind: Literal["shim check"] = "shim check"
    values: ShimValues


class MinutesLine(LogLine):
    """Minutes of work on a step."""

    kind: Literal["minutes"] = "minutes"
    panel: Name
    step: Name
    values: MinutesValues


class SheetsLine(LogLine):
    """Sheets used on a step."""

    kind: Literal["sheets"] = "sheets"
    panel: Name
    step: Name
    values: SheetsValues


class NoteLine(LogLine):
    """A note."""

    kind: Literal["note"] = "note"
    values: NoteValues


class PhotoLine(LogLine):
    """A photo."""

    kind: Literal["photo"] = "photo"
    values: PhotoValues


class PouredLine(LogLine):
    """A fill's last pour: its cure clocks start."""

    kind: Literal["poured"] = "poured"
    panel: Name
    zone: Name
    values: RepairValues


class RepairLine(LogLine):
    """A fill or spot is done."""

    kind: Literal["repair done"] = "repair done"
    panel: Name
    zone: Name
    values: RepairValues


class DefectLine(LogLine):
    """How an entry of damage looks after the last step."""

    kind: Literal["defect seen"] = "defect seen"
    panel: Name
    zone: Name
    values: DefectValues


class StepLine(LogLine):
    """A step is done."""

    kind: Literal["step done"] = "step done"
    panel: Name
    step: Name
    values: NoValues = NoValues()


class WashLine(LogLine):
    """Washed down between the last sheet and the first compound; no panel = all of them."""

    kind: Literal["wash-down"] = "wash-down"
    values: NoValues = NoValues()


class HoldLine(LogLine):
    """A hold point is signed."""

    kind: Literal["hold signed"] = "hold signed"
    panel: Name
    values: HoldValues


class ReplanLine(LogLine):
    """From here on another plan is in force."""

    kind: Literal["replan"] = "replan"
    values: ReplanValues


class BegunLine(LogLine):
    """Work is begun by the plan named."""

    kind: Literal["work begun"] = "work begun"
    values: PlanInForce


class SetAsideLine(LogLine):
    """An earlier line is set aside, or taken back in."""

    kind: Literal["set aside"] = "set aside"
    values: SetAsideValues


LINES: dict[str, type[LogLine]] = {
    "reading": ReadingLine, "shim check": ShimLine, "minutes": MinutesLine, "sheets": SheetsLine, "note": NoteLine,
    "photo": PhotoLine, "poured": PouredLine, "repair done": RepairLine, "defect seen": DefectLine,
    "step done": StepLine, "wash-down": WashLine, "hold signed": HoldLine, "replan": ReplanLine,
    "work begun": BegunLine, "set aside": SetAsideLine,
}
"""Every kind of line with its model."""
POINTS: dict[type, str] = {SetAsideValues: "line", ReadingValues: "beside"}
"""Values that name an earlier line, and by which field."""


def as_reading(line: ReadingLine) -> Reading:
    """Return a logged reading as the survey holds one."""
    values = line.values
    return Reading(um=values.um, method=values.method, spot=values.spot, at=values.at, note=values.note)
