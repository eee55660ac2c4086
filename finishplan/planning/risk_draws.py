"""Draws of what may come out when a plan is followed: film, depth, removal and minutes, as arrays.

Every array has one number a draw. Streams are keyed by seed, block, panel and zone, so that changing one
zone leaves the draws of all others as they were, and two plans of one job meet the same luck.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from finishplan.planning.removal import SLACK
from finishplan.planning.repairs import DISH
from finishplan.planning.risk_model import DepthRange, LocalModel, PanelModel, RiskFigures, RiskModel, ZoneModel
from finishplan.survey.film import METHODS
from finishplan.survey.quantiles import normal_quantiles

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
PERSONS = ("finisher", "trainee")
SHARED = (0, 0)
"""Key of what the whole job shares; panels count from 1, zones from 1, a panel's minutes are zone 0."""


@dataclass
class Draws:
    """A stream of ``size`` draws at a time that counts how many numbers of each kind it gave."""

    rng: np.random.Generator
    size: int
    given: Counter[str] = field(default_factory=Counter)

    def normal(self) -> Floats:
        """Return standard normal draws."""
        self.given["normal"] += self.size
        return self.rng.standard_normal(self.size)

    def exponential(self) -> Floats:
        """Return exponential draws of mean 1."""
        self.given["exponential"] += self.size
        return self.rng.standard_exponential(self.size)

    def uniform(self, low: float, high: float) -> Floats:
        """Return draws spread evenly from low to high."""
        self.given["uniform"] += self.size
        return low + (high - low) * self.rng.random(self.size)

    def chi_square(self, nu: float) -> Floats:
        """Return chi-square draws with ``nu`` degrees of freedom."""
        self.given["chi-square"] += self.size
        return self.rng.chisquare(nu, self.size)

    def factor(self, cv: float) -> Floats:
        """Return lognormal factors whose middle is 1 and whose standard deviation over mean is ``cv``."""
        return np.exp(log_sd(cv) * self.normal())

    def depth_um(self, depth: DepthRange) -> Floats:
        """Return depths [um] to take out, PERT between low and high with its top at likely."""
        span = depth.high_um - depth.low_um
        if span <= 0:
            return np.full(self.size, depth.share * depth.likely_um)
        self.given["beta"] += self.size
        rise, fall = (depth.likely_um - depth.low_um) / span, (depth.high_um - depth.likely_um) / span
        return depth.share * (depth.low_um + span * self.rng.beta(1.0 + 4.0 * rise, 1.0 + 4.0 * fall, self.size))


def stream(seed: int, block: int, key: tuple[int, int], size: int, given: Counter[str]) -> Draws:
    """Return the stream of one zone, or of what a panel or job shares, in one block of draws."""
    return Draws(np.random.default_rng([seed, block, *key]), size, given)


def log_sd(cv: float) -> float:
    """Return the standard deviation of the logarithm of a lognormal with coefficient of variation ``cv``.

    sqrt(ln(1 + cv^2)). Valid for cv >= 0. Source: the moments of the lognormal, any textbook.

    >>> round(log_sd(0.25), 5)
    0.24622
    """
    return math.sqrt(math.log1p(cv * cv))


def least_of_normals(exponential: Floats, n: float) -> Floats:
    """Return the least of ``n`` standard normals, one a draw, from exponential draws.

    The least of n has distribution 1 - (1 - Phi(x))^n, so with U uniform it is Phi^-1(1 - U^(1/n));
    -ln U is exponential, which keeps every digit where U^(1/n) is next to 1. Valid for n > 0, whole or
    not. Source: order statistics, any textbook; checked against the d2 of control charts.
    """
    return normal_quantiles(-np.expm1(-exponential / n))


@dataclass(frozen=True)
class SharedDraws:
    """What all zones of the job have in common in a draw."""

    gauge: dict[str, Floats]
    """How far each method reads too high, as a share of its stated bias."""
    person: dict[str, Floats]
    """Standard normal: how slow each person is, over all their work."""


def draw_shared(draws: Draws, figures: RiskFigures) -> SharedDraws:
    """Return the draws that the whole job shares.

    A gauge whose error is only known to lie within its stated bias is as likely off by any of it, both
    ways (JCGM 101:2008 6.4.2, a quantity known by its limits alone); one draw for all its readings.
    """
    gauge = {name: draws.uniform(figures.gauge_least, figures.gauge_most) for name in METHODS}
    return SharedDraws(gauge, {name: draws.normal() for name in PERSONS})


def too_high_um(bias_um: Mapping[str, float], shared: SharedDraws, size: int) -> Floats:
    """Return by how much [um] the mean of readings is too high, by the bias of each method in it."""
    total = np.zeros(size)
    for method, bias in bias_um.items():
        total += bias * shared.gauge[method]
    return total


def reading_um(film_um: Floats, method: str, shared: SharedDraws) -> Floats:
    """Return what a gauge of ``method`` shows [um] over film, without its repeat error."""
    gauge = METHODS[method]
    return film_um + (gauge.bias_um + gauge.bias_share * film_um) * shared.gauge[method]


@dataclass(frozen=True)
class Place:
    """Film before work at one kind of place, and what is taken there: as written, and with stops."""

    film_um: Floats
    taken_um: Floats
    stopped_um: Floats


@dataclass(frozen=True)
class ZoneDraws:
    """What came out in one zone: its true level and spread, the thinnest spot, spots and fills."""

    level_um: Floats
    spread_um: Floats
    thinnest: Place
    others: tuple[Place, ...]
    first_share: Floats
    """What the first step had to take, as a share of the plan's."""
    deeper: Bools
    """Whether a defect taken with the zone, or at a spot, was deeper than planned."""
    local_min: tuple[Floats | float, ...]
    """Minutes of each spot and fill at its real depth, at the planned pace."""

    def least_left_um(self, stops: bool) -> Floats:
        """Return the least film [um] left anywhere in the zone."""
        left: Floats | None = None
        for place in (self.thinnest, *self.others):
            here = place.film_um - (place.stopped_um if stops else place.taken_um)
            left = here if left is None else np.minimum(left, here)
        assert left is not None
        return left

    def sanded_through(self, stops: bool) -> Bools:
        """Tell in which draws the film reaches nothing where there was some.

        The spread left open by few readings gives a few draws a film under nothing; the survey would have
        seen that as bare wood, so it is no harm done by the work.
        """
        found = np.zeros(len(self.level_um), dtype=bool)
        for place in (self.thinnest, *self.others):
            taken = place.stopped_um if stops else place.taken_um
            found |= (place.film_um > SLACK) & (place.film_um - taken <= SLACK)
        return found


def draw_zone(model: RiskModel, panel: PanelModel, zone: ZoneModel, shared: SharedDraws, draws: Draws) -> ZoneDraws:
    """Return what comes out in one zone when the plan is followed as written with the real depths.

    Level and spread are those that readings and usual spread leave open (variance s^2 nu / chi-square,
    mean normal with variance over n), less the shared gauge bias. The thinnest of area/``thin_spot_m2``
    spots decides. With the levelling first cut the first grade stays on until the real depth is gone, so
    it takes max(depth, least); lean takes what the plan says and may leave the rest in. Each step then
    takes that times its own factor. ``stopped_um``: the gauge on the marked spot is read as the first
    grade comes down, and the hand stops at the least reading; the later steps still go over it; under
    the least starting reading nothing is begun.
    """
    # exponential and normals first: their streams do not shift when nu or a depth changes
    least = least_of_normals(draws.exponential(), max(1.0, zone.area_m2 / model.figures.thin_spot_m2))
    level_z, marked_z = draws.normal(), draws.normal()
    cv = model.removal_cv(panel.worker)
    factors = [draws.factor(cv) for _ in zone.removals_um]
    at_local = [(least_of_normals(draws.exponential(), local.count), draws.factor(cv)) for local in zone.locals]
    spread = zone.spread_um * np.sqrt(zone.nu / draws.chi_square(zone.nu))
    level = zone.mean_um + spread / math.sqrt(zone.n) * level_z - too_high_um(zone.bias_um, shared, draws.size)
    film = level + spread * least
    if not zone.worked:
        none = np.zeros(draws.size)
        return ZoneDraws(level, spread, Place(film, none, none), (), none, none > 0, ())
    depths = [draws.depth_um(depth) for depth in zone.depths]
    spots = [None if local.depth is None else draws.depth_um(local.depth) for local in zone.locals]
    need = first_need_um(model, zone, depths, draws.size)
    later = np.zeros(draws.size)
    for removal, factor in zip(zone.removals_um[1:], factors[1:], strict=True):
        later += removal * factor
    room, begun = room_um(zone, level, spread, marked_z, shared)
    first = need * factors[0]
    stopped = np.minimum(first, room)
    others = []
    for local, real, (local_least, factor) in zip(zone.locals, spots, at_local, strict=True):
        beside = factor * (local.local_um + (0.0 if real is None else real)) + later
        layer = local.last_layer_um * factors[0]
        others.append(Place(level + spread * local_least, beside + np.maximum(first, layer),
                            begun * (beside + np.maximum(stopped, layer))))
    return ZoneDraws(
        level, spread, Place(film, first + later, begun * (stopped + later)), tuple(others),
        need / zone.removals_um[0], deeper_than_planned(zone, depths, spots, draws.size),
        tuple(local_minutes(model, local, real) for local, real in zip(zone.locals, spots, strict=True)),
    )


def deeper_than_planned(zone: ZoneModel, depths: list[Floats], spots: list[Floats | None], size: int) -> Bools:
    """Tell in which draws a defect is deeper than the plan takes out."""
    found = np.zeros(size, dtype=bool)
    for real in depths:
        found |= real > zone.to_take_out_um + SLACK
    for local, at_spot in zip(zone.locals, spots, strict=True):
        if local.depth is not None and at_spot is not None:
            found |= at_spot > local.depth.planned_um + SLACK
    return found


def first_need_um(model: RiskModel, zone: ZoneModel, depths: list[Floats], size: int) -> Floats:
    """Return what the first step has to take [um] with the real depths, before its own spread."""
    if model.lean:
        return np.full(size, zone.removals_um[0])
    need = np.full(size, zone.least_first_um)
    for real in depths:
        need = np.maximum(need, real)
    return need


def room_um(
    zone: ZoneModel, level_um: Floats, spread_um: Floats, marked_z: Floats, shared: SharedDraws
) -> tuple[Floats, Floats]:
    """Return how much the first step may take before the gauge says stop [um], and 1 where work begins.

    On a zone that was read the marked spot is its least reading, taken again: bias cancels, only the
    repeat error counts. On one that was not, it is any spot, read for the first time.
    """
    gauge = METHODS[zone.marked_method]
    if zone.marked_um is None:
        before = reading_um(level_um + spread_um * marked_z, zone.marked_method, shared)
    else:
        before = zone.marked_um * (1.0 + gauge.repeat_share * marked_z)
    begun = np.asarray(before >= zone.least_start_um - SLACK, dtype=np.float64)
    return np.maximum(0.0, before - zone.least_after_first_um), begun


def local_minutes(model: RiskModel, local: LocalModel, depth_um: Floats | None) -> Floats | float:
    """Return the minutes of a spot at its real depths: its volume grows with depth and feather radius."""
    if local.depth is None or depth_um is None or local.depth.planned_um <= 0:
        return local.minutes
    share = volume_shape(model, depth_um, local.length_m) / volume_shape(
        model, np.array([local.depth.planned_um]), local.length_m)
    return local.handling_min + (local.minutes - local.handling_min) * share


def volume_shape(model: RiskModel, depth_um: Floats, length_m: float) -> Floats:
    """Return depth x (radius x length + dish x radius^2) of spots, with the feather radius of each depth."""
    depth_m = depth_um / 1e6
    slope, power = model.feather_slope_mrad / 1000.0, model.feather_power_per_m
    radius = np.maximum(math.pi * depth_m / (2.0 * slope), math.pi * np.sqrt(depth_m / power))
    return np.asarray(depth_um * (radius * length_m + DISH * radius**2))


def minutes_sd(figures: RiskFigures, tested: bool) -> tuple[float, float]:
    """Return the standard deviations of log minutes: the person's part, and each piece of work's own."""
    whole = log_sd(figures.minutes_cv_tested if tested else figures.minutes_cv)
    return math.sqrt(figures.minutes_shared) * whole, math.sqrt(1.0 - figures.minutes_shared) * whole


def draw_panel_minutes(model: RiskModel, panel: PanelModel, zones: list[ZoneDraws], draws: Draws) -> Floats:
    """Return one panel's minutes before the person's own pace: each step and repair with its spread."""
    _, own = minutes_sd(model.figures, model.tested)
    total = np.zeros(draws.size)
    for k, look in enumerate(panel.look_min):
        work = np.full(draws.size, look)
        for zone, drawn in zip(panel.zones, zones, strict=True):
            at = k - zone.first_step
            if zone.worked and 0 <= at < len(zone.minutes):
                work += zone.minutes[at] * (drawn.first_share if at == 0 else 1.0)
        total += work * np.exp(own * draws.normal())
    for drawn in zones:
        for minutes in drawn.local_min:
            total += minutes * np.exp(own * draws.normal())
    return total
