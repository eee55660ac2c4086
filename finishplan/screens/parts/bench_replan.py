"""Planning again from the bench: what is new, what changes and why, what stays, and the finisher's consent."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.replan import Replan
from finishplan.bench.replan_words import Change
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_signed import agree, plan_again, take_up_survey
from finishplan.records.bench_work import Outcome
from finishplan.screens.parts import bench_now, bench_seen, bench_sign, guard, kept
from finishplan.screens.parts.markup import h, items, p, put

WHY = "bench why"
NOTHING = "Nothing is new since the plan was made: planned again, it comes out the same."
SURVEYED = ("The survey was changed since this plan was made, and nothing is worked yet. A finisher may put the plan "
            "of the changed survey in force.")


def show(bench: AtBench) -> None:
    """Show the next plan beside the one in force, and how it is agreed to."""
    if bench.surveyed_since and not bench.touched:
        put("fp-panel", h(2, "The survey was changed"), p(SURVEYED))
        bench_sign.form(bench, "Go by the changed survey", _take_up)
        return
    try:
        found = plan_again(bench)
    except FinishplanError as error:
        guard.show(str(error))
        bench_seen.show(bench)
        return
    if not found.news:
        put("fp-panel", p(NOTHING))
        bench_seen.show(bench)
        return
    write(found)
    st.text_input("Why, in a few words", key=WHY, max_chars=200, placeholder="thin at spot 13")
    bench_sign.form(bench, "Agree to the new plan", _agree)
    bench_seen.show(bench)


def write(found: Replan) -> None:
    """Write what a new plan changes and why, and what stays."""
    changes = [f"<li>{''.join(p(f'{place(c.panel, c.zone)}: {c.what}') for c in same)}"
               f"{p(f'Because: {why}', 'quiet')}</li>" for why, same in by_reason(found.changes).items()]
    rest = items(changes) if changes else p("The rest of the plan stays as it was.")
    put("fp-change fp-panel", h(2, "The new plan"), rest, listed("Be careful", found.warnings),
        listed("What is new", found.reasons), listed("What is done stays done", found.kept))


def by_reason(changes: tuple[Change, ...]) -> dict[str, list[Change]]:
    """Return changes by what they come of, so that a reason is said once."""
    found: dict[str, list[Change]] = {}
    for change in changes:
        found.setdefault(change.why, []).append(change)
    return found


def place(panel: str, zone: str) -> str:
    """Return panel and zone as they are named together."""
    return f"{panel}, {zone}" if zone else panel


def listed(head: str, lines: tuple[str, ...]) -> str:
    """Return lines under a heading; nothing where there are none."""
    said = items(f"<li>{p(line)}</li>" for line in lines)
    return f"{h(3, head)}{said}" if lines else ""


def _agree(who: str, pin: str, sure: bool) -> Outcome:
    bench = bench_now.stands()
    why = str(st.session_state.get(WHY) or "").strip() or reason(bench)
    return agree(kept.store(), bench, plan_again(bench), who, pin, why, bench_now.now())


def reason(bench: AtBench) -> str:
    """Return the reason of a new plan where none is typed."""
    stop = next(iter(bench.where.stops), None)
    if stop is None:
        return "planned again from what was read"
    return f"{stop.reading_um:g} um in {stop.panel}, {stop.zone} is under LEAST {stop.least_um}"


def _take_up(who: str, pin: str, sure: bool) -> Outcome:
    return take_up_survey(kept.store(), bench_now.stands(), who, pin, bench_now.now())
