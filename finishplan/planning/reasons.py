"""Why: the words beside every verdict, every repair and every panel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from finishplan import wording
from finishplan.planning.problem import Entry, PanelProblem, Problem, ZoneProblem
from finishplan.planning.result import DefectPlan, Plan, ZonePlan
from finishplan.planning.zone_table import fill_allowed
from finishplan.survey.film import GUESS_METHOD, gain_of_readings

if TYPE_CHECKING:
    from finishplan.planning.zone_cost import ZoneCost



@dataclass(frozen=True)
class Facts:
    """What decides a zone's verdict."""

    zone: ZoneProblem
    done: bool
    asked: bool
    untouched: bool
    referred: tuple[int, ...]
    film_refuses: bool
    readings_refuse: bool
    deepest_um: float
    identified: bool

    @property
    def refused(self) -> int:
        """How many things are refused here."""
        return len(self.referred) + self.untouched


def verdict_reasons(problem: Problem, facts: Facts, verdict: str) -> tuple[str, ...]:
    """Return the reasons of a verdict in plain words, the deciding one first."""
    zone = facts.zone
    if verdict == "identify first":
        return ("the finish is not shown to be polyester; test a hidden spot before any sheet or compound",)
    if verdict == "measure first":
        return measure_reasons(problem, facts)
    if verdict == "not enough film":
        names = ", ".join(entry_words(zone.entries[i]) for i in facts.referred)
        what = names or "the last steps over this zone"
        return (f"{spare_words(zone)}; too little for {what}",)
    if verdict == "refer":
        if zone.barred:
            barring = next(e for e in zone.entries if e.kind.bars_work)
            return (f"{entry_words(barring)} bars work over it: {barring.kind.note or barring.kind.meaning}",)
        names = ", ".join(entry_words(zone.entries[i]) for i in facts.referred)
        return (f"not dealt with here: {names or 'this zone'}",)
    if not facts.done and not facts.asked:
        return ("nothing is asked here and nothing is done",)
    if not facts.done:
        return ("nothing is sanded or buffed here",)
    return (f"{spare_words(zone)}; enough",)


def measure_reasons(problem: Problem, facts: Facts) -> tuple[str, ...]:
    """Return what must be measured and why."""
    zone, policy = facts.zone, problem.policy
    real = sum(r.method != GUESS_METHOD for r in zone.zone.readings)
    found = []
    if zone.suspect:
        values = ", ".join(f"{zone.zone.readings[i].um:g}" for i in zone.suspect)
        found.append(f"reading {values} um may be a surface echo: read again beside it")
    if real == 0:
        found.append("no reading yet: the film is guessed")
    elif facts.done and real < policy.min_readings and facts.deepest_um > policy.unmeasured_um:
        lack = policy.min_readings - real
        found.append(
            f"{wording.counted(real, 'reading')}, and up to {wording.removal_words(facts.deepest_um)} um goes here: "
            f"take {wording.counted(lack, 'more reading')} at least"
        )
    if facts.readings_refuse:
        found.append(
            f"more readings may free film: up to {wording.film_words(zone.film.perfect_um)} um could be counted"
        )
    bought = readings_worth(problem, zone)
    if bought:
        found.append(bought)
    return tuple(found)


def readings_worth(problem: Problem, zone: ZoneProblem, more: int = 8) -> str:
    """Return what more readings would buy if they come out like those so far, or nothing."""
    policy = problem.policy
    gain = gain_of_readings(
        zone.film,
        more,
        coverage=policy.coverage,
        confidence=policy.confidence,
        prior_share=policy.prior_share,
        prior_worth=policy.prior_worth,
    )
    if zone.film_from != "readings" or gain < 1.0:
        return ""
    minutes = wording.minutes_words(more * policy.read_min)
    return f"{more} more readings, {minutes}: about +{wording.film_words(gain)} um to count on"


def spare_words(zone: ZoneProblem) -> str:
    """Return the film sum of a zone in words."""
    film = zone.film
    return (
        f"film we count on {wording.film_words(film.low_um)} um, leave at least {wording.least_words(zone.keep_um)}, "
        f"so {wording.film_words(max(0.0, zone.spare_um))} to spend"
    )


def entry_words(entry: Entry) -> str:
    """Return an entry as it is named in a sentence."""
    name = "scratches of the last step" if entry.index is None else wording.defect_words(entry.kind.name, entry.count)
    if entry.full_depth_um is None:
        return name
    source = wording.DEPTH_FROM.get(entry.depth_from, entry.depth_from)
    return f"{name} ({wording.removal_words(entry.full_depth_um)} um, {source})"


def fits_words(entry: Entry, how: str, soften_share: float) -> str:
    """Return one way that would fit, in words; ``soften_share`` is what softening takes of the depth."""
    name = wording.defect_words(entry.kind.name, entry.count)
    if how == "leave":
        return f"leave the {name}, if the customer agrees"
    depth = entry.full_depth_um
    deep = "" if depth is None else (
        f": {wording.removal_words(soften_share * depth)} um deep instead of {wording.removal_words(depth)}")
    return f"soften the {name} instead of removing{deep}"


def why_repair(problem: Problem, cost: ZoneCost, removal_um: float, entry: Entry, plan: DefectPlan) -> str:
    """Return why an entry takes its repair."""
    soft = " (softened, not removed)" if plan.asked == "soften" else ""
    if plan.repair in ("sand", "buff"):
        return f"goes with the zone, which takes {wording.removal_words(removal_um)} um anyway{soft}"
    if plan.repair == "spot":
        return (
            f"cheaper there than over the whole zone; feathered over {wording.removal_words(plan.feather_mm or 0)} mm, "
            f"takes up to {wording.removal_words(plan.film_needed_um or 0)} um there{soft}"
        )
    if plan.repair == "fill":
        narrow = entry.width_mm is None and bool({"buff", "sand"} & set(entry.kind.repairs))
        opened = (entry.full_depth_um or 0.0) > problem.policy.fill_opened_over_um
        what = "opened to sound film" if opened and narrow else "material is missing"
        if narrow and not opened:
            what = f"width not typed, taken as {problem.policy.fill_min_width_mm:g} mm or more: measure it"
        return f"{what}; filled proud and levelled by hand{soft}"
    if plan.repair == "leave":
        index = entry.index
        wish = None if index is None else cost.ways.zone.zone.defects[index].wish
        return "left, as wished" if wish == "leave" else "not seen from where it counts"
    if plan.repair == "clean":
        return "clean it off, then survey again; it is not in the film"
    return why_referred(problem, cost, entry)


def why_referred(problem: Problem, cost: ZoneCost, entry: Entry) -> str:
    """Return why an entry is not dealt with."""
    zone, ways = cost.ways.zone, cost.ways
    if entry.kind.bars_work:
        return f"no work over it: {entry.kind.note or entry.kind.meaning}"
    if zone.barred:
        return "the zone may not be worked"
    if set(entry.kind.repairs) <= {"refer"}:
        return f"sanding does not reach it: {entry.kind.note}" if entry.kind.note else "sanding does not reach it"
    if (
        "fill" in entry.kind.repairs
        and not {"buff", "sand"} & set(entry.kind.repairs)
        and not fill_allowed(ways, entry)
    ):
        return f"narrower than {problem.policy.fill_min_width_mm:g} mm and too shallow to open: resin does not flow in"
    if not zone.sheets_allowed and entry.with_zone:
        return "sheets are not allowed here, compounds do not reach it, and nothing else does"
    if zone.previous is not None and not ways.by_tools.any():
        return f"no sequence to this finish goes on from {zone.previous.name}"
    return f"{spare_words(zone)}: no allowed repair fits"


def limited_by(zones: tuple[ZonePlan, ...], panel: PanelProblem) -> str:
    """Return what limits a panel: its tightest zone and the reading that makes it so."""
    stopped = [z for z in zones if z.verdict in ("measure first", "not enough film")]
    worked = stopped or [z for z in zones if z.removal_um > 0] or list(zones)
    tight = min(worked, key=lambda z: z.spare_um - (1.0 + z.overcut) * z.removal_um)
    problem = next(z for z in panel.zones if z.zone.name == tight.name)
    readings = problem.zone.readings
    if not readings:
        return f"{tight.name}: no reading, film guessed at {wording.film_words(tight.film_mean_um)} um"
    least = min(readings, key=lambda r: r.um)
    where = f", spot {least.spot}" if least.spot is not None else ""
    return f"{tight.name}: least reading {least.um:g} um ({least.method}{where})"


def plan_notes(plan: Plan, problem: Problem) -> tuple[str, ...]:
    """Return what is said aloud about the whole plan."""
    notes = []
    if not plan.identified:
        notes.append(
            "The finish is not shown to be polyester: this plan is worked out as if it were, and none of it is a go."
        )
    if plan.build != "pigmented through":
        notes.append(
            "Build is not pigmented through: colour in the slurry means stop, and more film must stay "
            f"({problem.policy.keep_um(plan.build, 'field'):g} um on a face)."
        )
    else:
        notes.append("Pigmented through: no colour warns of thin film, only the gauge does.")
    guessed = sum(
        d.depth_from == "guessed from kind" and d.repair not in ("leave", "clean", "refer")
        for p in plan.panels
        for z in p.zones
        for d in z.defects
    )
    if guessed:
        notes.append(
            f"Depth guessed from kind for {wording.counted(guessed, 'entry', 'entries')}: a test spot settles it."
        )
    notes += zone_notes(plan, problem)
    if problem.only is None and any(panel.sequence for panel in plan.panels):
        notes.append(
            "Two limits make this plan what it is: the jump between sheets "
            f"({problem.policy.max_step_ratio:g}) and the coarsest sheet before a compound. Both are assumed; "
            "what changes when they move is said beside the other ways, and the shop file moves them."
        )
    return tuple(notes)


def zone_notes(plan: Plan, problem: Problem) -> list[str]:
    """Return what is said aloud zone by zone."""
    notes = []
    for panel in plan.panels:
        for zone in panel.zones:
            at = f"{panel.name}, {zone.name}"
            spots = sum(d.footprint_m2 for d in zone.defects if d.repair == "spot")
            if spots > problem.policy.spot_max_share * zone.area_m2:
                notes.append(
                    f"{at}: spots cover over {100 * problem.policy.spot_max_share:g} % of it; dishes may show as waves."
                )
            if zone.untouched:
                notes.append(f"{at}: stays untouched beside worked zones, so the gloss will not match here.")
            if zone.last_service:
                notes.append(f"{at}: last service; under {problem.policy.leave_for_next_um:g} um stay for another.")
            backs = [
                wording.defect_words(d.kind) for d in zone.defects if d.may_come_back and d.repair in ("sand", "buff")
            ]
            if backs:
                notes.append(f"{at}: {wording.listed(backs)} may come back as the wood moves.")
    return notes
