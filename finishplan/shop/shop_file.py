"""The shop file as it is read: every field optional, absent means the shipped default."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator
from pydantic_core import PydanticCustomError

from finishplan.models import CurrencyCode, Flag, Name, NotNegative, Positive, Record, Share, Text, one_of
from finishplan.shop.policy import Policy

SYSTEMS = {"P": "ISO 6344, written P600", "US": "ANSI B74.18, written US 600", "JIS": "JIS R 6001, written JIS #600"}
POWERS = {"mains": "cord", "battery": "battery", "air": "compressed air", "none": "by hand"}
ROLES = {
    "finisher": "signs hold points", "trainee": "works under a finisher",
    "owner": "prices the work, signs no hold point",
}
TOOL_USES = {"sheet": "sanding", "compound": "buffing"}
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Rate = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=1000)]
Grain = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=500)]


class StepChange(Record):
    """A step by name with the figures the shop changes."""

    step: Name
    system: Annotated[str, one_of(SYSTEMS)] | None = None
    d50_um: Grain | None = None
    scratch_depth_um: Grain | None = None
    removal_rate_cm3_per_min: Rate | None = None
    max_level_um: Positive | None = None
    change_min: NotNegative | None = None
    compound_g_per_m2_liquid: NotNegative | None = None
    compound_g_per_m2_bar: NotNegative | None = None
    in_default_plan: Flag | None = None
    wet: Flag | None = None
    direction: Text | None = None
    done_when: Text | None = None
    stop_if: Text | None = None


class ToolChange(Record):
    """A tool by way and use with the figures the shop changes."""

    way: Name
    use: Annotated[str, one_of(TOOL_USES)] = Field(alias="for")
    speed_factor: Rate | None = None
    cutting_coarsest_before: Name | None = None
    max_level_cutting_um: Positive | None = None
    max_level_polishing_um: Positive | None = None
    max_level_finishing_um: Positive | None = None
    power: Annotated[str, one_of(POWERS)] | None = None
    noise_dba: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=40, le=140)] | None = None
    noise_from: Text | None = None
    a_m_s2: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=40)] | None = None
    a_from: Text | None = None
    diameter_m: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=2)] | None = None
    rpm: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=50_000)] | None = None
    marked_rpm: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=50_000)] | None = None


class Person(Record):
    """One of the shop's people."""

    id: Name
    name: Text = ""
    role: Annotated[str, one_of(ROLES)] = "finisher"
    rate_per_h: NotNegative | None = None


class Price(Record):
    """What a pack holds and costs."""

    pack: Positive
    price: NotNegative = 0.0


class LearnedRate(Record):
    """A removal rate that the shop's own log taught and that plans use: its range, and how many lines taught it.

    It is written down as it was on the day it was taken into use, so that a plan made again comes out the same.
    """

    rate_cm3_per_min: Rate
    low_cm3_per_min: Rate
    high_cm3_per_min: Rate
    lines: Annotated[int, Field(strict=True, ge=3, le=1_000_000)]


class ShopFile(Record):
    """A shop file; everything but format and version may be absent."""

    format: Literal["finishplan-shop"] = "finishplan-shop"
    version: Literal[1] = 1
    name: Text = ""
    place: Text = ""
    currency: CurrencyCode | None = None
    steps: Annotated[tuple[StepChange, ...], Field(max_length=60)] = ()
    tools: Annotated[tuple[ToolChange, ...], Field(max_length=60)] = ()
    learned_rates: dict[str, LearnedRate] = {}
    """Rates of the shop's own log that are in use, by step; they come before a rate that is typed among ``steps``."""
    policy: Policy | None = None
    people: Annotated[tuple[Person, ...], Field(max_length=200)] = ()
    prices: dict[str, Price] = {}
    hours: dict[str, tuple[tuple[str, str], ...]] = {}
    scale_readability_g: Positive | None = None
    equipment: dict[str, Any] = {}
    home: dict[str, Any] = {}
    local_limits: dict[str, Any] = {}
    quote: dict[str, Any] = {}
    office: dict[str, Any] = {}
    paper: Annotated[str, one_of(("A4", "Letter"))] = "A4"
    wet_sheets: Flag | None = None
    tax_share: Share | None = None

    @field_validator("hours")
    @classmethod
    def known_days(cls, hours: dict[str, tuple[tuple[str, str], ...]]) -> dict[str, tuple[tuple[str, str], ...]]:
        """Refuse a day that is no day of the week."""
        for day in hours:
            if day not in DAYS:
                raise PydanticCustomError("choice", "not a day", {"choices": DAYS, "value": day})
        return hours

    @model_validator(mode="after")
    def people_once(self) -> ShopFile:
        """Refuse two people of one id."""
        ids = [person.id for person in self.people]
        twice = next((name for name in ids if ids.count(name) > 1), None)
        if twice is not None:
            raise PydanticCustomError("twins", "two people share an id", {"id": twice})
        return self
