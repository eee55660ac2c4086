"""The shop's policy: every figure of the method that is a choice and not a measurement.

Each stands here once with its limits, meaning and source kind; a shop file replaces any of them.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from finishplan.models import Name, NotNegative, Positive, Record, Share, one_of
from finishplan.reference import Sourced

Factor = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=1, le=10)]
Fraction = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=1)]
Level = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0.5, lt=1)]
Minutes = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=10_000)]
Spread = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=2)]
Turn = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=-5, le=5)]
AirChanges = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0.1, le=60)]
Um = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=5000)]


class Keep(Record):
    """Film in um that must stay, by place."""

    field: Um
    curve: Um
    edge: Um
    corner: Um


class KeepRules(Record):
    """Film that must stay, by build: where no colour warns, more stays."""

    pigmented: Keep = Field(default=Keep(field=80.0, curve=80.0, edge=60.0, corner=60.0), alias="pigmented through")
    other: Keep = Field(default=Keep(field=120.0, curve=120.0, edge=80.0, corner=80.0), alias="clear or unknown")


class Favours(Record):
    """Minutes that one um m2 of film is worth, by favour."""

    quick: NotNegative = 0.0
    balanced: NotNegative = 1.0
    keep_film: NotNegative = Field(default=3.0, alias="keep film")

    def weight(self, favour: str) -> float:
        """Return the weight in minutes per um m2 of ``favour``."""
        return {"quick": self.quick, "balanced": self.balanced, "keep film": self.keep_film}[favour]


def figure(default: Any, unit: str, meaning: str, kind: str = "assumed", **more: Any) -> Any:
    """Return a policy field with its unit, meaning and source kind beside its default."""
    return Field(default=default, description=meaning, json_schema_extra={"unit": unit, "kind": kind}, **more)


NEAR_FACE = {"low": "still air", "moderate": "some draught", "high": "a strong draught"}
"""Classes of air flow at the face, as the sums near the face have them."""
SAFETY_FIGURES = (
    "stay_min", "air_changes_per_h", "air_changes_shut_per_h", "wipe_ml_per_m2", "least_dry_min", "styrene_percent",
    "gel_min", "background_dba", "lid_thickness_mm",
)
"""Figures of the safety sums that a shop may replace; they are the policy's fields of these names."""


def safety_names(names: tuple[str, ...]) -> tuple[str, ...]:
    """Let through only names of SAFETY_FIGURES."""
    for name in names:
        if name not in SAFETY_FIGURES:
            raise PydanticCustomError("choice", "not a safety figure", {"choices": SAFETY_FIGURES, "value": name})
    return names


class Policy(Record):
    """All policy figures with their shipped defaults."""

    clearing: Factor = figure(
        2.0, "times", "last-grit factor: how many times the last scratch depth a step takes", "assumed"
    )
    max_step_ratio: Factor = figure(1.8, "ratio", "coarsest jump between two sheets, by median grain")
    overcut: Share = figure(0.15, "share", "how much more a finisher may take than planned")
    overcut_trainee: Share = figure(0.40, "share", "how much more a trainee may take than planned")
    edge_overcut_factor: Factor = figure(1.5, "times", "overcut at edge, corner and curve")
    coverage: Level = figure(0.95, "share", "share of a zone that has at least the film we count on")
    confidence: Level = figure(0.90, "share", "confidence of that statement")
    prior_share: Share = figure(0.10, "of the mean", "usual spread of film within a zone")
    prior_worth: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=100)] = figure(
        4.0, "readings", "how many readings the usual spread is worth"
    )
    min_readings: Annotated[int, Field(strict=True, ge=1, le=100)] = figure(
        3, "readings", "fewest readings before more than a polish is taken"
    )
    unmeasured_um: Um = figure(5.0, "um", "most that may be taken with fewer readings")
    default_film_um: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=5000)] = figure(
        350.0, "um", "film of a field nobody has read"
    )
    edge_film_share: Fraction = figure(0.6, "share", "film of an unread edge as a share of the field's")
    echo_share: Fraction = figure(0.5, "of the median", "a reading under this may be a surface echo")
    echo_under_um: Um = figure(100.0, "um", "a reading under this, beside ...")
    echo_over_um: Um = figure(200.0, "um", "... others all over this, may be a surface echo")
    keep: KeepRules = figure(KeepRules(), "um", "film that must stay, by build and place")
    leave_for_next_um: Um = figure(40.0, "um", "film to leave for another service")
    film_weight: NotNegative | None = figure(None, "min per um m2", "worth of film, in place of the favour's")
    favours: Favours = figure(Favours(), "min per um m2", "worth of film, by favour")
    soften_share: Fraction = figure(0.6, "share", "share of a defect's depth that softening takes")
    spot_ladder: tuple[Name, ...] = figure(("P1000", "P1500", "P2500"), "steps", "sheets inside a spot")
    fill_ladder: tuple[Name, ...] = figure(("P600", "P1000", "P1500", "P2500"), "steps", "sheets on a fill")
    local_hand_factor: Fraction = figure(0.30, "times", "speed of the hand inside a spot")
    position_upright_factor: Fraction = figure(0.8, "times", "speed on a standing panel")
    trainee_factor: Fraction = figure(0.6, "times", "speed of a trainee")
    spot_kit_min: Minutes = figure(10.0, "min", "setting up for spots, once a job")
    fill_kit_min: Minutes = figure(25.0, "min", "setting up for fills, once a job")
    spot_min: Minutes = figure(15.0, "min", "handling of one spot")
    fill_min: Minutes = figure(25.0, "min", "one fill and its levelling")
    second_pour_min: Minutes = figure(7.5, "min", "a second pour")
    second_pour_over_um: Um = figure(500.0, "um", "depth from which a fill is poured twice")
    fill_edge_factor: Factor = figure(1.5, "times", "fill at an edge or corner")
    fill_clear_factor: Factor = figure(1.7, "times", "fill in a clear build")
    dam_min: Minutes = figure(15.0, "min", "a dam on a standing panel")
    fill_min_width_mm: NotNegative = figure(0.5, "mm", "narrowest damage that resin flows into")
    fill_opened_over_um: Um = figure(50.0, "um", "depth from which a narrow scratch is opened and filled")
    feather_slope_mrad: Positive = figure(0.5, "mrad", "steepest slope of a spot that the eye passes over")
    feather_power_per_m: Positive = figure(0.05, "1/m", "strongest curvature of a spot that the eye passes over")
    spot_max_share: Share = figure(0.15, "share", "most of a zone that the spots of one entry may cover")
    spot_max_per_m2: NotNegative = figure(3.0, "per m2", "most spots in a zone")
    blend_steps: Annotated[int, Field(strict=True, ge=1, le=5)] = figure(
        2, "steps", "last steps that every zone of a worked panel takes, so that the gloss matches"
    )
    first_cut_compound_um: Um = figure(0.3, "um", "least a first compound takes")
    target_scratch_um: Positive = figure(0.05, "um", "scratch that a full gloss may keep")
    depth_quantile: Level = figure(0.90, "share", "how sure we are that a defect is no deeper than planned")
    untouched_price: Minutes = figure(1000.0, "min", "price of a zone that will not match")
    refer_price: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=1e6)] = figure(
        10_000.0, "min", "price of a defect we do not deal with"
    )
    barred_steps: tuple[Name, ...] = figure((), "steps", "steps this shop does not use in a sequence")
    level_all_um: Um = figure(20.0, "um", "least taken when every seen face is levelled")
    look_min: Minutes = figure(1.0, "min", "look and wipe after a step, a panel")
    look_min_per_m2: NotNegative = figure(2.0, "min per m2", "look and wipe after a step, by area")
    sheet_scratch_share: Fraction = figure(0.20, "of d50", "scratch depth of a sheet that no table lists")
    sheet_life_cm3: Positive = figure(3.5, "cm3", "film one P600 sheet takes; scales with the grain")
    sheet_life_m2: Positive = figure(0.5, "m2", "most area one fine sheet covers")
    fine_sheet_d50_um: Positive = figure(15.3, "um", "grain from which the area limit holds")
    fill_overfill_mm: NotNegative = figure(0.4, "mm", "least overfill")
    fill_overfill_share: Share = figure(0.20, "share", "overfill as a share of the depth")
    resin_density: Positive = figure(1.2, "g per cm3", "density of fill resin")
    resin_waste_factor: Factor = figure(2.0, "times", "resin mixed over resin used")
    catalyst_weighing_error: Fraction = figure(0.1, "share", "error allowed in weighing the catalyst")
    cure_cut_h: NotNegative = figure(24.0, "h", "fill cure at 20 C before the first cut")
    cure_finish_h: NotNegative = figure(72.0, "h", "fill cure at 20 C before the last level")
    cure_reference_c: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=60)] = figure(
        20.0, "C", "temperature the cure times stand for"
    )
    cure_doubling_c: Positive = figure(10.0, "C", "colder by this much, cure takes twice as long")
    cure_min_c: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=60)] = figure(
        18.0, "C", "no fill under this temperature"
    )
    read_min: NotNegative = figure(0.35, "min", "one film reading")

    removal_cv: Spread = figure(0.25, "of the middle", "how unevenly a finisher's step takes film")
    removal_cv_trainee: Spread = figure(0.40, "of the middle", "how unevenly a trainee's step takes film")
    minutes_cv: Spread = figure(0.45, "of the middle", "spread of the minutes before a test spot")
    minutes_cv_tested: Spread = figure(0.25, "of the middle", "spread of the minutes after a test spot")
    minutes_shared: Share = figure(0.5, "share", "share of that spread that one person has everywhere")
    thin_spot_m2: Positive = figure(0.01, "m2", "area that counts as one spot of its own thickness")
    gauge_least: Turn = figure(-1.0, "times", "least the gauge may be off, in its stated bias")
    gauge_most: Turn = figure(1.0, "times", "most the gauge may be off, in its stated bias")
    echo_chance: Share = figure(0.5, "share", "chance that a suspect reading is a surface echo")
    services_most: Annotated[int, Field(strict=True, ge=0, le=10)] = figure(
        3, "services", "most services that are ever said to be left (a restorer's account: 2 to 3 in 0.8 mm)",
    )

    near_face_class: Annotated[str, one_of(NEAR_FACE)] = figure(
        "low", "class", "how much air moves at the face: low, moderate or high", "published"
    )
    stay_min: Minutes = figure(60.0, "min", "how long a person stays where solvent or resin is used")
    air_changes_per_h: AirChanges = figure(
        1.0, "1/h", "air changes of a room without mechanical air", "published")
    air_changes_shut_per_h: AirChanges = figure(0.5, "1/h", "air changes of a room with its windows shut")
    wipe_ml_per_m2: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=500)] = figure(
        10.0, "ml per m2", "solvent that one wipe of a face takes, where a job types no ml (10: a wet film of 10 um)"
    )
    least_dry_min: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=1, le=240)] = figure(
        5.0, "min", "shortest time a wipe is taken to dry in"
    )
    styrene_percent: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=60)] = figure(
        40.0, "%", "styrene in polyester resin whose sheet is not at hand"
    )
    gel_min: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=1, le=1440)] = figure(
        30.0, "min", "time to gel of resin whose sheet is not at hand"
    )
    background_dba: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=40, le=100)] = figure(
        70.0, "dBA", "noise of the shop while no tool runs"
    )
    lid_thickness_mm: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=5, le=60)] = figure(
        22.0, "mm", "thickness of a lid"
    )
    safety_measured: Annotated[tuple[Name, ...], AfterValidator(safety_names)] = figure(
        (), "names", "which of these safety figures were measured here; the others count as assumed"
    )

    def keep_um(self, build: str, zone_kind: str) -> float:
        """Return the film in um that must stay in a zone of that kind and build."""
        rules = self.keep.pigmented if build == "pigmented through" else self.keep.other
        return float(getattr(rules, zone_kind))

    def weight_of(self, favour: str) -> float:
        """Return the film weight in force: the policy's own, else the favour's [min per um m2]."""
        return self.favours.weight(favour) if self.film_weight is None else self.film_weight

    def overcut_of(self, worker: str, narrow: bool) -> float:
        """Return the overcut as a share: by worker, more where ``narrow`` (edge, corner, curve)."""
        share = self.overcut_trainee if worker == "trainee" else self.overcut
        return share * (self.edge_overcut_factor if narrow else 1.0)


def policy_figures(policy: Policy) -> list[Sourced]:
    """Return every policy figure with unit and source kind; a changed one is the shop's own."""
    shipped = Policy()
    found = []
    for name, info in Policy.model_fields.items():
        extra = info.json_schema_extra
        unit, kind = (str(extra["unit"]), str(extra["kind"])) if isinstance(extra, dict) else ("", "assumed")
        value = getattr(policy, name)
        own = value != getattr(shipped, name)
        mine = "measured here" if name not in SAFETY_FIGURES or name in policy.safety_measured else "assumed"
        found.append(
            Sourced(
                name,
                plain(value),
                unit,
                mine if own else kind,
                "our shop's policy" if own else str(info.description),
            )
        )
    return found


def plain(value: Any) -> float | str:
    """Return a policy value as a number or as words."""
    if isinstance(value, Record):
        return str(value.model_dump(by_alias=True))
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return ", ".join(value) or "none"
    return "by favour" if value is None else float(value)
