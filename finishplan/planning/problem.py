"""The job as the planner sees it: each zone's film, limits and tools, each defect's depth and repairs.

Everything here is looked up or worked out once; nothing is chosen.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from finishplan.errors import BadValue
from finishplan.planning.gloss import check_gloss_target
from finishplan.planning.repairs import feather_radius_m, spot_footprint_m2, spot_volume_cm3
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile
from finishplan.shop.steps import Step, Tool
from finishplan.survey.choices import NARROW_KINDS, THIN_KINDS
from finishplan.survey.defects import KINDS, Kind, counted_view, is_seen, pert_quantile_um
from finishplan.survey.evidence import narrowed_depth
from finishplan.survey.film import GUESS_METHOD, Film, film_from, suspects
from finishplan.survey.job import Defect, Depth, Job, Panel, Zone

PREVIOUS = Kind("previous step", "scratches of the step last done", None, ("buff", "sand"), False, False, "", "assumed")


@dataclass(frozen=True)
class Entry:
    """One defect as the planner takes it; depths in um, None where the kind has none."""

    index: int | None
    kind: Kind
    count: int
    depth_um: float | None
    full_depth_um: float | None
    depth_from: str
    asked: str
    may_leave: bool
    only_zone: bool
    radius_m: float
    spot_volume_cm3: float
    footprint_m2: float
    edge_m: float | None
    length_mm: float | None
    width_mm: float | None
    missing_ml: float | None
    barred: tuple[str, ...] = ()
    """Repairs taken away to see what a decision costs: zone, spot, fill, leave."""

    @property
    def with_zone(self) -> bool:
        """Whether the zone's own steps can take it out."""
        return self.depth_um is not None and bool({"buff", "sand"} & set(self.kind.repairs))

    @property
    def needs_sheet(self) -> bool:
        """Whether it goes only where the zone starts with a sheet."""
        return "sand" in self.kind.repairs and "buff" not in self.kind.repairs and not self.only_zone


@dataclass(frozen=True)
class ZoneProblem:
    """One zone: film to spend, tools and speeds, entries."""

    zone: Zone
    film: Film
    film_from: str
    suspect: tuple[int, ...]
    keep_um: float
    spare_um: float
    overcut: float
    edge_overcut: float
    sheet_way: str
    compound_way: str
    compound_tool: Tool
    sheet_speed: float
    compound_speed: float
    sheets_allowed: bool
    previous: Step | None
    entries: tuple[Entry, ...]

    @property
    def barred(self) -> bool:
        """Whether a defect here bars all work over it."""
        return any(entry.kind.bars_work for entry in self.entries)

    @property
    def narrow(self) -> bool:
        """Edge, corner or curve."""
        return self.zone.kind in NARROW_KINDS


@dataclass(frozen=True)
class PanelProblem:
    """One panel and its zones."""

    panel: Panel
    worker: str
    sheets_by: str
    compounds_by: str
    finish: str
    last_sheet: str | None
    zones: tuple[ZoneProblem, ...]


@dataclass(frozen=True)
class Problem:
    """The whole job, ready to be chosen over."""

    job: Job
    profile: Profile
    favour: str
    film_weight: float
    lean: bool
    clear_build: bool
    panels: tuple[PanelProblem, ...]
    only: tuple[str, ...] | None = None

    @property
    def policy(self) -> Policy:
        """The shop's policy."""
        return self.profile.policy

    def with_endless_film(self) -> Problem:
        """Return the same problem with no limit on film anywhere."""
        return self.with_spare(lambda zone: math.inf)

    def with_perfect_readings(self) -> Problem:
        """Return the same problem as endless readings without bias would leave it."""
        return self.with_spare(lambda zone: max(0.0, zone.film.perfect_um) - zone.keep_um)

    def with_spare(self, spare_of: Callable[[ZoneProblem], float]) -> Problem:
        """Return the same problem with each zone's film to spend replaced."""
        panels = tuple(
            replace(panel, zones=tuple(replace(zone, spare_um=spare_of(zone)) for zone in panel.zones))
            for panel in self.panels
        )
        return replace(self, panels=panels)


def build_problem(
    job: Job, profile: Profile, favour: str | None = None, only: tuple[str, ...] | None = None
) -> Problem:
    """Return the problem of a job in a shop.

    ``favour`` beats the job's own; the policy's film weight beats both. ``only`` names one sequence.
    Raises UnknownName where the job names a step that the shop does not have.
    """
    policy = profile.policy
    check_test_order(job, profile)
    chosen = favour or job.crew.favour
    panels = tuple(panel_problem(job, profile, panel) for panel in job.panels)
    return Problem(
        job, profile, chosen, policy.weight_of(chosen), job.crew.first_cut == "lean",
        job.build in ("clear over colour", "clear over veneer"), panels, only,
    )


def with_wish(problem: Problem, at: tuple[int, int], index: int, wish: str) -> Problem:
    """Return the problem with the wish of one defect changed, other zones the very same.

    ``at`` is (panel, zone), ``index`` the defect's place.
    """
    panels = list(problem.job.panels)
    zones = list(panels[at[0]].zones)
    defects = list(zones[at[1]].defects)
    defects[index] = defects[index].model_copy(update={"wish": wish})
    zones[at[1]] = zones[at[1]].model_copy(update={"defects": tuple(defects)})
    panels[at[0]] = panels[at[0]].model_copy(update={"zones": tuple(zones)})
    job = problem.job.model_copy(update={"panels": tuple(panels)})
    changed = replace(problem.panels[at[0]], panel=panels[at[0]])
    own = list(changed.zones)
    own[at[1]] = zone_problem(job, problem.profile, changed, zones[at[1]])
    places = list(problem.panels)
    places[at[0]] = replace(changed, zones=tuple(own))
    return replace(problem, job=job, panels=tuple(places))


def check_test_order(job: Job, profile: Profile) -> None:
    """Refuse a test spot that was not worked gentlest step first: what it took then says nothing of the depth."""
    if job.test_spot is None:
        return
    steps = [profile.step(s.step, "test_spot") for s in job.test_spot.steps]
    for before, step in pairwise(steps):
        if step.order >= before.order:
            raise BadValue(
                "step",
                step.name,
                f"a test spot goes gentlest first; after {before.name} only a coarser step says more",
                "test_spot",
            )


SHEETS_BY_FACE = {"flat": "machine", "curved": "hand block", "moulded": "hand"}
COMPOUNDS_BY_FACE = {"flat": "rotary", "curved": "rotary", "moulded": "hand"}


def panel_problem(job: Job, profile: Profile, panel: Panel) -> PanelProblem:
    """Return one panel's problem."""
    worker = panel.worker or job.crew.worker
    sheets_by = panel.sheets_by or SHEETS_BY_FACE[panel.face]
    compounds_by = panel.compounds_by or COMPOUNDS_BY_FACE[panel.face]
    satin = panel.target.finish == "satin"
    check_gloss_target(panel.target.gloss_gu, f"panel {panel.name!r}, target")
    if satin and panel.target.last_sheet is not None:
        step = profile.step(panel.target.last_sheet, f"panel {panel.name!r}, target, last_sheet")
        if not step.is_sheet:
            raise BadValue("last_sheet", step.name, "satin ends at a sheet; name one", f"panel {panel.name!r}, target")
    half_done = PanelProblem(panel, worker, sheets_by, compounds_by, panel.target.finish, panel.target.last_sheet, ())
    zones = tuple(zone_problem(job, profile, half_done, zone) for zone in panel.zones)
    return replace(half_done, zones=zones)


def zone_problem(job: Job, profile: Profile, of: PanelProblem, zone: Zone) -> ZoneProblem:
    """Return one zone's problem."""
    policy, panel = profile.policy, of.panel
    narrow = zone.kind in NARROW_KINDS
    satin = of.finish == "satin"
    film, film_source = zone_film(panel, zone, policy)
    keep = policy.keep_um(job.build, zone.kind)
    sheet_way = "hand" if narrow else of.sheets_by
    compound_way = "hand" if narrow else of.compounds_by
    position = policy.position_upright_factor if panel.position == "upright" and not panel.off else 1.0
    person = policy.trainee_factor if of.worker == "trainee" else 1.0
    sheet_tool, compound_tool = profile.tool(sheet_way, "sheet"), profile.tool(compound_way, "compound")
    where = f"panel {panel.name!r}, zone {zone.name!r}, previous_step"
    # Whoever broke off may have used a sheet that this shop does not keep: any grade of the tables will do.
    done = zone.previous_step
    previous = profile.with_steps([done], where).step(done) if done else None
    allowed = zone.sheets_allowed if zone.sheets_allowed is not None else (satin or not narrow)
    entries = [entry_of(job, profile, of, zone, i) for i in range(len(zone.defects))]
    if previous is not None:
        entries.append(previous_entry(previous, policy))
    return ZoneProblem(
        zone=zone, film=film, film_from=film_source,
        suspect=suspects([r.um for r in zone.readings], echo_share=policy.echo_share,
                         echo_under_um=policy.echo_under_um, echo_over_um=policy.echo_over_um),
        keep_um=keep, spare_um=film.low_um - keep, overcut=policy.overcut_of(of.worker, narrow),
        edge_overcut=policy.overcut_of(of.worker, True), sheet_way=sheet_way, compound_way=compound_way,
        compound_tool=compound_tool, sheet_speed=sheet_tool.speed_factor * position * person,
        compound_speed=compound_tool.speed_factor * position * person, sheets_allowed=allowed,
        previous=previous, entries=tuple(entries),
    )


def zone_film(panel: Panel, zone: Zone, policy: Policy) -> tuple[Film, str]:
    """Return a zone's film and where it comes from: readings, estimate or default."""
    if zone.readings:
        values, methods = [r.um for r in zone.readings], [r.method for r in zone.readings]
        source = "readings" if any(method != GUESS_METHOD for method in methods) else "estimate"
    elif zone.film_estimate_um is not None:
        values, methods, source = [zone.film_estimate_um], ["estimate"], "estimate"
    else:
        values, methods, source = [default_film_um(panel, zone, policy)], ["estimate"], "default"
    film = film_from(
        values, methods, coverage=policy.coverage, confidence=policy.confidence,
        prior_share=policy.prior_share, prior_worth=policy.prior_worth,
    )
    return film, source


def default_film_um(panel: Panel, zone: Zone, policy: Policy) -> float:
    """Return the film [um] an unread zone is taken to have; a curve counts as a field."""
    if zone.kind not in THIN_KINDS:
        return policy.default_film_um
    read = [r.um for z in panel.zones if z.kind not in THIN_KINDS for r in z.readings]
    mean = sum(read) / len(read) if read else policy.default_film_um
    return policy.edge_film_share * mean


def entry_of(job: Job, profile: Profile, of: PanelProblem, zone: Zone, index: int) -> Entry:
    """Return one defect as the planner takes it."""
    policy, defect = profile.policy, zone.defects[index]
    kind = offered(KINDS[defect.kind], profile.barred_repairs)
    view = counted_view(of.panel.exposure, of.panel.seen_from or job.seen_from)
    seen = is_seen(defect.seen_in, view)
    asked = defect.wish or ("remove" if seen else "leave")
    full, source = planning_depth_um(job, profile, of.panel, zone, index)
    depth = None if full is None else full * (policy.soften_share if asked == "soften" else 1.0)
    radius = feather_radius_m(depth or 0.0, policy.feather_slope_mrad, policy.feather_power_per_m)
    return Entry(
        index=index, kind=kind, count=defect.count, depth_um=depth, full_depth_um=full, depth_from=source,
        asked=asked, may_leave=asked == "leave" and not kind.bars_work, only_zone=False, radius_m=radius,
        spot_volume_cm3=defect.count * spot_volume_cm3(depth or 0.0, radius, defect.length_mm),
        footprint_m2=defect.count * spot_footprint_m2(radius, defect.length_mm),
        edge_m=edge_distance_m(of.panel, defect), length_mm=defect.length_mm, width_mm=defect.width_mm,
        missing_ml=defect.missing_ml,
    )


def offered(kind: Kind, barred: tuple[str, ...]) -> Kind:
    """Return a kind of damage with the repairs that are offered; what has no other is referred."""
    if not barred:
        return kind
    return replace(kind, repairs=tuple(name for name in kind.repairs if name not in barred) or ("refer",))


def previous_entry(previous: Step, policy: Policy) -> Entry:
    """Return the scratches of a broken-off step as an entry that only the zone can take."""
    depth = policy.clearing * previous.scratch_depth_um
    return Entry(None, PREVIOUS, 1, depth, depth, "previous step", "remove", False, True, 0.0, 0.0, 0.0, None,
                 None, None, None)


def planning_depth_um(
    job: Job, profile: Profile, panel: Panel, zone: Zone, index: int
) -> tuple[float | None, str]:
    """Return the planning depth [um] of a defect before softening, and where it comes from."""
    span, source = depth_span_um(job, profile, panel, zone, index)
    return (None, source) if span is None else (pert_quantile_um(*span, profile.policy.depth_quantile), source)


def depth_span_um(
    job: Job, profile: Profile, panel: Panel, zone: Zone, index: int
) -> tuple[tuple[float, float, float] | None, str]:
    """Return low, likely, high [um] of a defect before softening, None where it has none, and the source.

    A typed number is exact; without one the kind gives the range; a test spot narrows it.
    """
    typed, kind = zone.defects[index].depth_um, KINDS[zone.defects[index].kind]
    if isinstance(typed, Depth):
        span, source = (typed.low, typed.likely, typed.high), "range"
    elif typed is not None:
        span, source = (typed, typed, typed), "measured"
    elif kind.depth_um is not None:
        span, source = kind.depth_um, "guessed from kind"
    else:
        return None, "none"
    spot = job.test_spot
    if spot and (spot.panel, spot.zone, spot.defect) == (panel.name, zone.name, index):
        rates = [profile.step(s.step, "test_spot").removal_rate_cm3_per_min for s in spot.steps]
        span, source = narrowed_depth(span, spot, rates), "test spot"
    return span, source


def edge_distance_m(panel: Panel, defect: Defect) -> float | None:
    """Return the distance [m] of a defect's middle to the panel's nearest edge, or None if not known."""
    if panel.size_m is None or defect.at is None:
        return None
    x, y = defect.at.x, defect.at.y
    return min(min(x, 1.0 - x) * panel.size_m.width, min(y, 1.0 - y) * panel.size_m.height)
