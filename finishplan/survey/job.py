"""The job file as it is read: one frozen model a thing, every field with its limits.

The models hold what was found and wished, never what is worked out. Unknown keys are refused.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, ValidationError, model_validator
from pydantic_core import PydanticCustomError

from finishplan.models import Count, Flag, Name, Record, Share, Text, Title, one_of, say_first
from finishplan.survey import choices

JOB_FORMAT = "finishplan-job"
JOB_VERSION = 1
MAX_FILM_UM = 5000.0
MAX_AREA_M2 = 50.0

FilmUm = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=MAX_FILM_UM)]
AreaM2 = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=MAX_AREA_M2)]
LengthMm = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=10_000)]


class Place(Record):
    """A place on a panel's drawing, as shares 0 to 1 from its lower left."""

    x: Share
    y: Share


class Size(Record):
    """Width and height of a panel in metres, for distances to the edge."""

    width: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=20)]
    height: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=20)]


class Reading(Record):
    """One film-thickness reading in um with its method and spot."""

    um: FilmUm
    method: Annotated[str, one_of(choices.METHODS)] = "ultrasonic"
    spot: Annotated[int, Field(strict=True, ge=0, le=1_000_000)] | None = None
    at: Place | None = None
    note: Text = ""


class Depth(Record):
    """Low, likely and high depth of a defect in um."""

    low: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=MAX_FILM_UM)]
    likely: FilmUm
    high: FilmUm

    @model_validator(mode="after")
    def in_order(self) -> Depth:
        """Refuse a range that does not rise."""
        if not self.low <= self.likely <= self.high:
            raise PydanticCustomError(
                "depth_order", "low {low}, likely {likely}, high {high}",
                {"low": self.low, "likely": self.likely, "high": self.high},
            )
        return self


def _depth_tag(value: object) -> str:
    return "range" if isinstance(value, (dict, Depth)) else "number"


TypedDepth = Annotated[
    Annotated[FilmUm, Tag("number")] | Annotated[Depth, Tag("range")], Discriminator(_depth_tag)
]


class Defect(Record):
    """One entry of damage: kind, size, depth, place, the view that shows it, and the wish."""

    kind: Annotated[str, one_of(choices.DEFECT_KINDS)]
    count: Count = 1
    length_mm: LengthMm | None = None
    width_mm: LengthMm | None = None
    area_m2: AreaM2 | None = None
    depth_um: TypedDepth | None = None
    seen_in: Annotated[str, one_of(choices.VIEWS)] | None = None
    wish: Annotated[str, one_of(choices.WISHES)] | None = None
    at: Place | None = None
    missing_ml: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=1000)] | None = None
    photos: tuple[Text, ...] = ()
    note: Text = ""


class Zone(Record):
    """A part of a panel with film of its own: field, edge, corner or curve."""

    name: Name
    kind: Annotated[str, one_of(choices.ZONE_KINDS)] = "field"
    area_m2: AreaM2
    film_estimate_um: FilmUm | None = None
    previous_step: Name | None = None
    sheets_allowed: Flag | None = None
    readings: tuple[Reading, ...] = ()
    defects: tuple[Defect, ...] = ()


class Target(Record):
    """The finish asked for; satin names its last sheet."""

    finish: Annotated[str, one_of(choices.TARGETS)] = "gloss"
    last_sheet: Name | None = None
    gloss_gu: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=200)] | None = None

    @model_validator(mode="after")
    def satin_names_sheet(self) -> Target:
        """Satin without a last sheet cannot be planned; gloss with one contradicts itself."""
        if self.finish == "satin" and self.last_sheet is None:
            raise PydanticCustomError("satin_sheet", "satin without last_sheet")
        if self.finish == "gloss" and self.last_sheet is not None:
            raise PydanticCustomError("gloss_sheet", "gloss with last_sheet {sheet}", {"sheet": self.last_sheet})
        return self


class Panel(Record):
    """One case part worked as one piece."""

    name: Name
    part: Text | None = None
    face: Annotated[str, one_of(choices.FACES)] = "flat"
    position: Annotated[str, one_of(choices.POSITIONS)] = "horizontal"
    off: Flag = False
    size_m: Size | None = None
    exposure: Annotated[str, one_of(choices.EXPOSURES)] = "seen"
    seen_from: Annotated[str, one_of(choices.VIEWS)] | None = None
    target: Target = Target()
    worker: Annotated[str, one_of(choices.WORKERS)] | None = None
    sheets_by: Annotated[str, one_of(choices.SHEET_WAYS)] | None = None
    compounds_by: Annotated[str, one_of(choices.COMPOUND_WAYS)] | None = None
    zones: Annotated[tuple[Zone, ...], Field(min_length=1, max_length=40)]


class Instrument(Record):
    """The instrument, as far as it is known."""

    id: Text | None = None
    kind: Text | None = None
    year: Annotated[int, Field(strict=True, ge=1700, le=2100)] | None = None
    overcoated: Flag | None = None


class FinishId(Record):
    """How the finish was identified, by whom and where."""

    result: Annotated[str, one_of(choices.FINISHES)] = "unknown"
    how: Text | None = None
    where: Text | None = None
    by: Text | None = None
    lead_test: Text | None = None


class Site(Record):
    """Where the work is done, and the air there."""

    kind: Annotated[str, one_of(choices.SITES)] = "shop"
    room_m3: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=100_000)] | None = None
    air_changes_per_h: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=200)] | None = None
    temperature_c: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=-20, le=60)] | None = None
    humidity_percent: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=100)] | None = None
    alone: Flag = False


class Crew(Record):
    """Who works, how the first cut is made, and what is favoured."""

    worker: Annotated[str, one_of(choices.WORKERS)] = "finisher"
    first_cut: Annotated[str, one_of(choices.FIRST_CUTS)] = "levels"
    favour: Annotated[str, one_of(choices.FAVOURS)] = "balanced"


class Solvent(Record):
    """One solvent used on the job: how much, and over how many minutes; without ``ml`` the plan's wipes count."""

    substance: Name
    ml: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=100_000)] | None = None
    minutes: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=1440)] | None = None


class Fill(Record):
    """The fill resin of the job, from its supplier's sheet."""

    resin: Text = "polyester"
    styrene_percent: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=100)] | None = None
    gel_min: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=10_000)] | None = None
    catalyst_percent: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=20)] | None = None


class TestStep(Record):
    """One step of a test spot: minutes worked, and whether the defect was gone after it."""

    __test__ = False
    step: Name
    minutes: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=600)]
    cleared: Flag = False


class TestSpot(Record):
    """The gentlest-first trial that fixes start grade, depth and price."""

    __test__ = False
    panel: Name
    zone: Name
    defect: Annotated[int, Field(strict=True, ge=0)]
    steps: Annotated[tuple[TestStep, ...], Field(min_length=1, max_length=40)]
    before: tuple[FilmUm, ...] = ()
    after: tuple[FilmUm, ...] = ()


class HardwareTask(Record):
    """One hardware task and its brass."""

    task: Name
    count: Count = 1
    brass: Annotated[str, one_of(choices.BRASS)] = "unknown"


class ServiceZone(Record):
    """What an earlier service took from one zone, and left on it."""

    panel: Name
    zone: Name
    removal_um: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=MAX_FILM_UM)] | None = None
    film_um: FilmUm | None = None


class Service(Record):
    """One earlier service of the instrument, from its film record."""

    date: Text | None = None
    what: Text = ""
    by: Text = ""
    zones: tuple[ServiceZone, ...] = ()


class Job(Record):
    """The finish work on one instrument, as surveyed."""

    format: Literal["finishplan-job"]
    version: Literal[1]
    title: Title
    customer: Text | None = None
    due: Text | None = None
    view_note: Text = ""
    instrument: Instrument = Instrument()
    finish_id: FinishId = FinishId()
    build: Annotated[str, one_of(choices.BUILDS)] = "unknown"
    seen_from: Annotated[str, one_of(choices.VIEWS)] = "detail"
    site: Site = Site()
    crew: Crew = Crew()
    solvents: tuple[Solvent, ...] = ()
    fill: Fill = Fill()
    panels: Annotated[tuple[Panel, ...], Field(min_length=1, max_length=200)]
    test_spot: TestSpot | None = None
    hardware: tuple[HardwareTask, ...] = ()
    services: tuple[Service, ...] = ()
    quote: dict[str, Any] = {}
    """Inputs of the job's quote, over the terms of the shop; the office reads them."""


def read_job_dict(raw: Any) -> Job:
    """Return the job in ``raw``, a dict as the file holds it.

    Raises a FinishplanError whose text names the place, the value and the remedy.
    """
    from finishplan.survey.job_checks import check_job, check_outline

    check_outline(raw)
    try:
        job = Job.model_validate(raw)
    except ValidationError as error:
        raise say_first(error, raw, Job) from None
    check_job(job)
    return job


def job_as_dict(job: Job) -> dict[str, Any]:
    """Return ``job`` as plain data, fit for JSON; reading it back gives an equal job."""
    return job.model_dump(mode="json")

