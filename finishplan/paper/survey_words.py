"""The survey in sentences: what stands, what is missing, which reading comes next, and a line an entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from finishplan import wording
from finishplan.office.labour import labour
from finishplan.office.terms import read_figures
from finishplan.paper import lines
from finishplan.planning.findings import findings
from finishplan.planning.plan import make_plan
from finishplan.planning.result import Plan, ZonePlan
from finishplan.shop.profile import Profile
from finishplan.survey.defects import KINDS
from finishplan.survey.job import Job, Panel, Zone
from finishplan.survey.typed_row import Odd


@dataclass(frozen=True)
class Standing:
    """What a survey amounts to so far: its plan, the plan's first line, what is missing or odd."""

    plan: Plan
    first_line: str
    missing: tuple[str, ...]

    def zone(self, panel: str, zone: str) -> ZonePlan | None:
        """Return one zone's plan, or None where the plan has none of that name."""
        return next((z for p in self.plan.panels if p.name == panel for z in p.zones if z.name == zone), None)


def standing(job: Job, profile: Profile) -> Standing:
    """Return what a survey amounts to: the choice alone, without reasons, runners-up and risk, so it is quick.

    Raises a FinishplanError for what cannot be planned.
    """
    plan = make_plan(job, profile)
    minutes = sum(line.minutes for line in labour(job, plan, read_figures(profile.file.office)))
    return Standing(plan, lines.first_line(plan, minutes), findings(job, plan, profile))


def next_reading_line(job: Job, profile: Profile, plan: Plan) -> str:
    """Return which reading to take next and what it buys, in one sentence."""
    from finishplan.planning.next_reading import reading_words
    from finishplan.planning.risk import audit

    # One draw: the value of readings is drawn by itself, and the risk is for the plan page.
    found = audit(job, profile, plan, draws=1).next_readings
    return reading_words(found[0]) if found else "No further reading would change anything in the plan."


def missing_line(missing: tuple[str, ...]) -> str:
    """Return the first thing that is missing or odd as a sentence, and how many more there are.

    >>> missing_line(("build: unknown", "lid: no reading"))
    'Build: unknown, and one thing more.'
    """
    if not missing:
        return "Nothing is missing."
    more = len(missing) - 1
    rest = f", and {wording.number_words(more)} {'thing' if more == 1 else 'things'} more" if more else ""
    return wording.sentence(missing[0] + rest)


def panel_tally(panel: Panel) -> str:
    """Return how far a panel is surveyed: its readings and defects, and zones that still want a reading."""
    readings, defects = (sum(len(getattr(zone, what)) for zone in panel.zones) for what in ("readings", "defects"))
    bare = [zone.name for zone in panel.zones if not zone.readings]
    parts = [f"{readings} {'reading' if readings == 1 else 'readings'}" if readings else "no reading yet",
             f"{defects} {'defect' if defects == 1 else 'defects'}" if defects else "no defect"]
    if readings and bare:
        parts.append(f"none at {wording.listed(bare)}")
    return ", ".join(parts)


def walk_words(place: int, panels: int) -> str:
    """Return where one is on the walk round the instrument; ``place`` counts from 0."""
    return f"Panel {place + 1} of {panels}"


def film_line(zone: Zone, planned: ZonePlan | None) -> str:
    """Return a zone's film as it is counted, or what is wanted first."""
    if planned is None:
        return ""
    if not zone.readings:
        return f"No reading yet: we count on {wording.film_words(planned.film_low_um)} um, a guess."
    return wording.sentence(lines.zone_line(planned))


def reading_cells(reading: Mapping[str, Any]) -> tuple[str, ...]:
    """Return a reading as the cells of a table: film, method, spot, place, note."""
    spot, at = reading.get("spot"), reading.get("at")
    return (f"{float(reading['um']):.6g}", str(reading.get("method", "ultrasonic")),
            wording.DASH if spot is None else str(spot), place_words(at), str(reading.get("note") or ""))


def place_words(at: Mapping[str, float] | None) -> str:
    """Return a place in percent of the drawing, as words; a dash where none is given.

    >>> place_words({"x": 0.31, "y": 0.62}), place_words(None)
    ('31 across, 62 up', '–')
    """
    return wording.DASH if not at else f"{100 * at['x']:.0f} across, {100 * at['y']:.0f} up"


def defect_line(defect: Mapping[str, Any]) -> str:
    """Return a defect as one line: count and kind, size, depth, where it shows from, wish, note."""
    count = defect.get("count") or 1
    size = [f"{defect[name]:g} {unit}" for name, unit in (
        ("length_mm", "mm long"), ("width_mm", "mm wide"), ("area_m2", "m2"), ("missing_ml", "ml missing"))
        if defect.get(name) is not None]
    parts = [wording.defect_words(defect["kind"], count), *size, depth_line(defect["kind"], defect.get("depth_um"))]
    if defect.get("seen_in"):
        parts.append(f"shows from {defect['seen_in']}")
    if defect.get("wish"):
        parts.append(f"wish: {defect['wish']}")
    photos = len(defect.get("photos") or ())
    parts += [f"{photos} {'photo' if photos == 1 else 'photos'}"] if photos else []
    parts += [] if defect.get("at") else ["no place"]
    return ", ".join([*parts, defect["note"]] if defect.get("note") else parts)


def depth_line(kind: str, depth_um: float | Mapping[str, float] | None) -> str:
    """Return a depth and where it comes from; a guess is told by its word.

    >>> depth_line("scratch", None), depth_line("nick", 230), depth_line("crack", None)
    ('depth guessed from kind: 8 to 60 um, likely 20', '230 um deep, measured', 'no depth for this kind')
    """
    if isinstance(depth_um, Mapping):
        return f"{depth_um['low']:g} to {depth_um['high']:g} um deep, likely {depth_um['likely']:g}"
    if depth_um is not None:
        return f"{depth_um:g} um deep, measured"
    known = KINDS[kind].depth_um
    if known is None:
        return "no depth for this kind"
    return f"depth guessed from kind: {known[0]:g} to {known[2]:g} um, likely {known[1]:g}"


def odd_words(odd: Odd) -> str:
    """Return the question about a reading that looks like a slip."""
    beside = (f"beside a usual {wording.film_words(odd.usual_um)} um" if odd.usual_um is not None
              else "is not what this finish has")
    asked = f"is it {odd.meant_um:g}?" if odd.meant_um is not None else "is it right?"
    return f"{odd.um:g} um {beside}: {asked}"


def spot_lines(spot: Mapping[str, Any]) -> tuple[str, ...]:
    """Return a test spot as lines: where it is, a line a step, film before and after."""
    steps = [f"{step['step']}, {step['minutes']:g} min: {'gone' if step.get('cleared') else 'still there'}"
             for step in spot["steps"]]
    read = [f"film {when}: {', '.join(f'{um:g}' for um in spot[when])} um" for when in ("before", "after")
            if spot.get(when)]
    return (f"{spot['panel']}, {spot['zone']}", *steps, *read)
