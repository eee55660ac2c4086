"""Why this plan and no other, in words: runners-up, close calls, asking less, your own sequence, the test spot.

Every price is the difference of two exact plans of the whole job; nothing is reckoned here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from finishplan import wording
from finishplan.planning.result import AskingLess, CloseCall, LimitMove, PanelPlan, Plan, RunnerUp
from finishplan.survey.choices import FAVOURS
from finishplan.survey.job import Job
from finishplan.workup import Beside

if TYPE_CHECKING:
    from finishplan.bench.spot_change import Depth, SpotChange

FILM_JOB_UNIT = "cm3"
RUNNER_HEADS = ("instead", "time", "film, um", "not dealt with")
RUNNERS_CAPTION = "The whole job planned again each time; + is more than in this plan. Film is a mean over the panel."
LESS_HEADS = ("ask less of", "wish", "time", "film, cm3", "not dealt with")
LESS_CAPTION = "The whole job planned again with the softer wish; - is saved. Dearest first. 1 cm3 is 1 um over 1 m2."
NO_CLOSE_CALL = "No limit is met within a tenth here."


def refers_words(refers: int) -> str:
    """Return how many more or fewer defects are not dealt with; a blank for as many.

    >>> refers_words(1), refers_words(-2), refers_words(0)
    ('one more', 'two fewer', '')
    """
    return f"{wording.number_words(abs(refers))} {'more' if refers > 0 else 'fewer'}" if refers else ""


def difference_words(minutes: float, film_um_m2: float, refers: int) -> str:
    """Return a plan beside another in one sentence: time, film over the job, what is not dealt with.

    >>> difference_words(14.2, -3.04, 1)
    '+14 min, -3.0 cm3 of film, one more defect not dealt with'
    >>> difference_words(0.0, 0.0, 0)
    'the same time and film'
    """
    if wording.signed(minutes) == "0" and wording.signed(film_um_m2, 1) == "0" and not refers:
        return "the same time and film"
    said = [wording.signed_minutes(minutes), f"{wording.signed(film_um_m2, 1)} {FILM_JOB_UNIT} of film"]
    if refers:
        more = "more" if refers > 0 else "fewer"
        noun = "defect" if abs(refers) == 1 else "defects"
        said.append(f"{wording.number_words(abs(refers))} {more} {noun} not dealt with")
    return ", ".join(said)


def favour_words(plan: Plan, favour: str) -> str:
    """Return what a favour means and costs: the plan in force by itself, another by its difference from it."""
    point = next((p for p in plan.film_against_time if favour in p.name.split(", ")), None)
    meaning = FAVOURS[favour]
    if favour == plan.favour:
        taken = f"{wording.removal_words(plan.film_um_m2)} {FILM_JOB_UNIT} of film"
        return f"In force: {meaning}; {wording.minutes_words(plan.minutes)} at the panels, {taken}"
    if point is None:
        return meaning
    return f"{meaning}; {difference_words(point.minutes - plan.minutes, point.film_um_m2 - plan.film_um_m2, 0)}"


def runner_row(runner: RunnerUp) -> tuple[str, str, str, str]:
    """Return one other way as a row: what, time, film, what is then not dealt with."""
    blank = refers_words(runner.refers)
    if runner.untouched:
        left = f"{refers_words(runner.untouched)} untouched"
        blank = f"{blank}, {left}" if blank else left
    return (wording.sentence(runner.instead).removesuffix("."), wording.signed_minutes(runner.minutes),
            wording.signed(runner.film_um, 1), blank)


def close_words(call: CloseCall) -> str:
    """Return one close call as a sentence: where, by how much, and what changes when it moves."""
    if call.margin_um is None:
        by = call.by
    elif call.margin_um < 0:
        by = f"{wording.least_words(-call.margin_um)} um short"
    else:
        by = f"met with {wording.film_words(call.margin_um)} um in hand"
    return wording.sentence(f"{call.where}, {by}; {call.changes}")


def limit_words(moves: Iterable[LimitMove]) -> tuple[str, ...]:
    """Return the moves as sentences, one a limit.

    >>> limit_words([LimitMove("jump", "1.8", "2", 0.0, 0.0, 0, "at 2, nothing changes")])
    ('jump, now 1.8; at 2, nothing changes',)
    """
    by_limit: dict[str, list[LimitMove]] = {}
    for move in moves:
        by_limit.setdefault(f"{move.limit}, now {move.now}", []).append(move)
    return tuple("; ".join([head, *(m.changes for m in own)]) for head, own in by_limit.items())


def less_row(less: AskingLess) -> tuple[str, str, str, str, str]:
    """Return one softer wish as a row: of what, the wish, and what it changes (saved is minus)."""
    return (less.what, less.wish, wording.signed_minutes(-less.minutes), wording.signed(-less.film_um_m2, 1),
            refers_words(-less.refers))


def sequence_words(sequence: Sequence[str]) -> str:
    """Return a sequence step by step, short.

    >>> sequence_words(("P800", "cutting compound")), sequence_words(())
    ('P800, cutting', 'nothing')
    """
    return ", ".join(wording.step_short(step) for step in sequence) or "nothing"


def changed_panels(panels: Sequence[PanelPlan], other: Beside) -> tuple[tuple[str, str, str], ...]:
    """Return the panels whose sequence is another there: name, sequence there, sequence here."""
    there = dict(other.sequences)
    return tuple((panel.name, sequence_words(there[panel.name]), sequence_words(panel.sequence))
                 for panel in panels if there[panel.name] != panel.sequence)


def own_sequence_words(plan: Plan, sequence: Sequence[str], optimum: Beside) -> tuple[str, ...]:
    """Return what your own sequence costs beside the best plan, and where the best plan goes otherwise."""
    said = difference_words(optimum.minutes, optimum.film_um_m2, optimum.refers)
    lines = [f"Your sequence {sequence_words(sequence)} against the best plan: {said}."]
    changed = changed_panels(plan.panels, optimum)
    lines += [f"{name}: the best plan goes {there}; yours {here}." for name, there, here in changed]
    return tuple(lines if changed else [*lines, "The best plan takes the same steps on every panel."])


def spot_place_words(job: Job) -> str:
    """Return where a job's test spot was made, and on what; empty without one."""
    spot = job.test_spot
    if spot is None:
        return ""
    zone = next(z for p in job.panels if p.name == spot.panel for z in p.zones if z.name == spot.zone)
    defect = zone.defects[spot.defect]
    return f"{spot.panel}, {spot.zone}: {wording.defect_words(defect.kind, defect.count)}"


def spot_steps_words(job: Job) -> str:
    """Return what was done at the test spot, step by step, and what the readings said."""
    spot = job.test_spot
    if spot is None:
        return ""
    steps = [f"{wording.step_short(s.step)} {wording.minutes_words(s.minutes)} "
             f"({'gone' if s.cleared else 'still there'})" for s in spot.steps]
    said = [wording.listed(steps, "then")]
    if spot.before and spot.after:
        before, after = (", ".join(f"{um:g}" for um in found) for found in (spot.before, spot.after))
        said.append(f"film {before} um before, {after} um after")
    return wording.sentence("; ".join(said))


def spot_words(plan: Plan, before: Beside, change: SpotChange | None = None) -> tuple[str, ...]:
    """Return what the test spot changed: depth, start, rate, spread; the whole job; panels whose steps are others."""
    said = difference_words(before.minutes, before.film_um_m2, before.refers)
    lines = [*(() if change is None else change_words(change)),
             f"This plan against the one before the test spot: {said}."]
    changed = changed_panels(plan.panels, before)
    lines += [f"{name}: before {there}, now {here}." for name, there, here in changed]
    return tuple(lines if changed else [*lines, "The steps are the same on every panel."])


def change_words(change: SpotChange) -> tuple[str, ...]:
    """Return a test spot's before and after: depth, start, rate, spread of the minutes, safe time and cost."""
    lines = [f"Depth before {span_words(change.before)}, now {span_words(change.after)}."]
    if change.starts_before != change.starts_after:
        there, here = (wording.step_short(step) if step else "no step" for step in
                       (change.starts_before, change.starts_after))
        lines.append(f"{change.panel}, {change.zone} began with {there}, now with {here}.")
    if change.rate is not None:
        seen = "tells no rate" if change.rate.seen is None else f"took {change.rate.seen:.2g} cm3/min"
        lines.append(f"{wording.step_short(change.rate.step)} {seen}, the plan goes by {change.rate.in_use:.2g}: "
                     f"{change.rate.why}.")
    lines.append(f"The minutes of such jobs spread by {100 * change.minutes_cv_before:.0f} % of the middle before, by "
                 f"{100 * change.minutes_cv_after:.0f} % now (assumed).")
    return (*lines, *safe_words(change))


def safe_words(change: SpotChange) -> tuple[str, ...]:
    """Return the time and cost that 4 in 5 jobs stay under, before and after; nothing where none was drawn."""
    if change.safe_minutes_before is None or change.safe_minutes_after is None:
        return ()
    there, here = (wording.minutes_words(m) for m in (change.safe_minutes_before, change.safe_minutes_after))
    cost = ""
    if change.safe_cost_before is not None and change.safe_cost_after is not None:
        cost = (f"; labour under {wording.least_words(change.safe_cost_before)} before, "
                f"{wording.least_words(change.safe_cost_after)} now")
    return (f"4 in 5 such jobs stayed under {there} before, under {here} now{cost}.",)


def span_words(depth: Depth | None) -> str:
    """Return a depth with its range.

    >>> span_words(None)
    'no depth for this kind'
    """
    if depth is None:
        return "no depth for this kind"
    planned = wording.depth_words(depth.planning_um, depth.source)
    if depth.low_um == depth.high_um:
        return f"{planned} um"
    return f"{wording.removal_words(depth.low_um)} to {wording.removal_words(depth.high_um)} um, planned with {planned}"
