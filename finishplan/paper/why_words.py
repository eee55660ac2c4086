"""Why this plan and no other, in words: runners-up, close calls, asking less, your own sequence, the test spot.

Every price is the difference of two exact plans of the whole job; nothing is reckoned here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from finishplan import wording
from finishplan.planning.result import AskingLess, CloseCall, LimitMove, PanelPlan, Plan, RunnerUp
from finishplan.survey.choices import FAVOURS
from finishplan.survey.job import Job
from finishplan.workup import Beside

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


def spot_words(plan: Plan, before: Beside) -> tuple[str, ...]:
    """Return what the test spot changed: the whole job, then each panel whose sequence is another."""
    said = difference_words(before.minutes, before.film_um_m2, before.refers)
    lines = [f"This plan against the one before the test spot: {said}."]
    changed = changed_panels(plan.panels, before)
    lines += [f"{name}: before {there}, now {here}." for name, there, here in changed]
    return tuple(lines if changed else [*lines, "The steps are the same on every panel."])
