"""One task of the bench, filling the screen: what, with what, done when, stop if, and how it is logged."""

from __future__ import annotations

from html import escape

import streamlit as st

from finishplan.bench.course import Task
from finishplan.bench.new_line import task_words
from finishplan.bench.task_card import HOLD_BIG, TaskCard, as_it_is_now, card_of
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_work import shut_words
from finishplan.screens.parts import bench_done, bench_now, bench_read, bench_sign, going, kept
from finishplan.screens.parts.markup import items, p, put

WHO_FIRST = "Say above who works here: nobody signs for their own work, so the log has to carry the name."


def show(bench: AtBench) -> None:
    """Show the task that was opened, else the next one."""
    task = chosen(bench)
    if task is None:
        waiting(bench)
        return
    write(as_it_is_now(card_of(bench.answer, bench.course, task), task, bench.where))
    if task.key in bench.shut:
        put("fp-halt", p("Shut", "word"), p(shut_words(bench, task), "why"))
        if st.button("To the Safety page", key="to_safety"):
            going.go("Safety")
    elif task.key in bench.where.done:
        bench_done.done_already(bench, task)
    elif task.hold is not None:
        bench_sign.holds(bench, task)
    elif task.check is not None:
        bench_read.check(bench, task)
    elif bench.people and kept.who() not in {person.id for person in bench.people}:
        put("fp-asked", p(WHO_FIRST))
    else:
        bench_done.work(bench, task)
    others(bench, task)


def chosen(bench: AtBench) -> Task | None:
    """Return the task to show: the one that was opened, as long as it is on the course; else what comes next.

    What came next stays before a person when another has logged it meanwhile, until they go on.
    """
    of = f"{bench.job_id} {len(bench.legs)} "
    shown = str(st.session_state.get(bench_now.SHOWN) or "").removeprefix(of)
    by_key = {task.key: task for task in bench.course.tasks}
    here = by_key.get(str(st.session_state.get(bench_now.CHOSEN))) or (
        by_key.get(shown) if shown in bench.where.done else None)
    if here is None and bench.where.next is not None:
        st.session_state[bench_now.SHOWN] = f"{of}{bench.where.next.key}"
    return here or bench.where.next


def write(card: TaskCard) -> None:
    """Write a card."""
    least = "".join(f'<p class="least">LEAST {um} <span>um, {escape(zone)}</span></p>' for zone, um in card.least)
    facts = "".join(f"<dt>{escape(label)}</dt><dd>{escape(words)}</dd>" for label, words in card.facts)
    done = "Look at" if card.big == HOLD_BIG else "Done when"
    ends = "".join(f'<div class="{kind}">{p(name, "name")}{p(words)}</div>' for kind, name, words in (
        ("done", done, card.done_when), ("stop", "Stop if", card.stop_if)) if words)
    rows = [f"<li>{p(line.name, 'name')}{p(line.how)}{p(line.done_when and f'Done when: {line.done_when}')}"
            f"{p(line.stop_if and f'Stop if: {line.stop_if}')}</li>" for line in card.lines]
    put("fp-card", '<div class="fp-head2"><div>', p(f"{card.panel}: {card.kind.lower()}", "where"),
        p(card.big, "big"), "</div><div>", least, "</div></div>", f"<dl>{facts}</dl>" if facts else "",
        p(card.how, "how"), f'<div class="fp-lines">{items(rows)}</div>' if rows else "",
        f'<div class="fp-ends">{ends}</div>' if ends else "",
        p(card.why and f"Why: {card.why}", "quiet why"))


def waiting(bench: AtBench) -> None:
    """Say that everything left waits, and until when."""
    for wait in bench.where.waiting[:1]:
        put("fp-card", p("Everything left waits", "big"),
            p(f"{wait.task.panel}: {wait.why}. Not before {wait.not_before.astimezone():%d %b, %H:%M}.", "how"))
    others(bench, None)


def others(bench: AtBench, task: Task | None) -> None:
    """Show the way to any other task that is still open."""
    left = {one.key: f"{one.panel}: {task_words(one)}" if one.panel else task_words(one)
            for one in bench.course.tasks if one.key not in bench.where.done}
    here = task.key if task is not None and task.key in left else None
    names = list(left) if here else [None, *left]
    st.session_state["bench other"] = here
    st.selectbox("Other task", names, key="bench other", on_change=_other,
                 format_func=lambda key: left.get(str(key), "choose"))
    if task is not None and bench.where.next is not None and task.key != bench.where.next.key:
        st.button("Back to what comes next", key="bench_next", on_click=bench_now.open_next)


def _other() -> None:
    st.session_state[bench_now.CHOSEN] = st.session_state["bench other"]
