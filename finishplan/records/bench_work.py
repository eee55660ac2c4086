"""What is done at the bench on its way into the log: checked, asked about where odd, kept once."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from finishplan import wording
from finishplan.bench.course import Task
from finishplan.bench.line_words import what_words
from finishplan.bench.log import kept_values, read_line
from finishplan.bench.log_lines import LogLine, ReadingLine, StepLine
from finishplan.bench.new_line import OutOfOrder, WorkStopped, check_line, meant_um, questions, twice_words
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench, at_bench
from finishplan.records.bench_log import NewLine, find_line, put_line, put_mark, set_aside, write_line
from finishplan.records.bench_state import BENCH_STATE, put_state
from finishplan.records.kept import LogLine as Kept
from finishplan.records.store import Store

BESIDE = "another had logged the step; let it count if both worked"
"""Why minutes and sheets of a step that is logged already are set aside."""


class StillShut(FinishplanError):
    """Work that a stop caution keeps shut, for nobody has signed for it."""


@dataclass(frozen=True)
class Outcome:
    """What came of something at the bench: whether it is kept, what is asked before, what to tell."""

    kept: bool
    asked: tuple[str, ...] = ()
    """Sentences that ask whether it is so; nothing is kept until somebody says yes."""
    words: str = ""
    meant_um: float | None = None
    """The reading that may have been meant."""


def begin(store: Store, bench: AtBench, who: str, at: datetime) -> None:
    """Begin work: from now on the bench goes by this plan, whatever changes in the survey."""
    values = bench.leg.model_dump(mode="json")
    with store.writing() as connection:
        put_line(connection, bench.job_id, NewLine("work begun", values, key="work begun"), who, at)
        put_state(connection, bench.job_id, BENCH_STATE, who, at)


def add_line(
    store: Store, bench: AtBench, raw: Mapping[str, Any], who: str, at: datetime, key: str | None = None,
    sure: bool = False,
) -> Outcome:
    """Keep a line of the log, or return what is asked about it first; ``sure`` keeps it all the same.

    ``raw`` has kind, panel, zone, step and values. A line of the same ``key`` is kept once. Raises a
    FinishplanError of one line for what cannot be: bad values, a step out of order or stopped or shut.
    """
    line = checked_line(bench, raw, who, at)
    asked = () if sure else questions(bench.where, line)
    if asked:
        meant = meant_um(bench.where, line) if isinstance(line, ReadingLine) else None
        return Outcome(False, asked, meant_um=meant)
    made = write_line(store, bench.job_id, line.kind, kept_values(line), who, at, panel=line.panel, step=line.step,
                      key=key or secrets.token_hex(8))
    return kept_words(made, who, at)


def checked_line(bench: AtBench, raw: Mapping[str, Any], who: str, at: datetime) -> LogLine:
    """Return a line that may be kept; raises a FinishplanError of one line for one that may not."""
    line = typed_line(bench, raw, who, at)
    refuse_unbegun(bench)
    check_line(bench.where, line)
    refuse_shut(bench, line)
    return line


def kept_words(made: Kept, who: str, at: datetime) -> Outcome:
    """Return that a line is kept, and who had kept it before where somebody had."""
    if (made.who, made.at) != (who, at):
        return Outcome(True, words=f"{made.who} logged this at {made.at.astimezone(at.tzinfo):%H:%M}; it counts once")
    return Outcome(True)


def refuse_unbegun(bench: AtBench) -> None:
    """Refuse to log anything before work is begun; raises OutOfOrder."""
    if not bench.begun:
        raise OutOfOrder("work is not begun yet; press Begin first")


def typed_line(bench: AtBench, raw: Mapping[str, Any], who: str, at: datetime) -> LogLine:
    """Return a line that is about to be kept; what cannot be read is said without where it would have stood."""
    number = next_number(bench)
    try:
        return read_line({**raw, "number": number, "at": at, "who": who})
    except FinishplanError as error:
        said = str(error).removeprefix(f"log line {number}, {raw.get('kind')}: ").removeprefix("values: ")
        raise FinishplanError(said) from None


def next_number(bench: AtBench) -> int:
    """Return the number that the next line of the log gets, where nobody else writes one meanwhile."""
    return bench.lines[-1].number + 1 if bench.lines else 1


def line_of(task: Task) -> dict[str, Any]:
    """Return the line that says that a step, repair, pour or wash-down is done.

    >>> line_of(Task("step|lid|P800", "step", "lid", step="P800"))
    {'kind': 'step done', 'panel': 'lid', 'step': 'P800'}
    """
    if task.what == "wash":
        return {"kind": "wash-down", "panel": task.panel}
    if task.what in ("pour", "repair"):
        kind = "poured" if task.what == "pour" else "repair done"
        return {"kind": kind, "panel": task.panel, "zone": task.zones[0],
                "values": {"defect": task.defect, "repair": task.repair}}
    return {"kind": "step done", "panel": task.panel, "step": task.step}


def task_key(bench: AtBench, task: Task) -> str:
    """Return the key of the line that says that a task is done: once under each plan.

    A wrong line that was set aside makes room for another.
    """
    aside = len([line for line in bench.lines if line.set_aside])
    return f"{len(bench.legs)}|{aside}|{task.key}"


def finish_task(
    store: Store, bench: AtBench, task: Task, who: str, at: datetime, minutes: float | None = None,
    sheets: int = 0, started: datetime | None = None, sure: bool = False,
) -> Outcome:
    """Keep that a task is done, with its minutes and sheets where they are told; asked first where something is odd.

    Nothing of it is kept where any part of it is refused or asked about.
    """
    refuse_unbegun(bench)
    lines = [typed_line(bench, raw, who, at) for raw in (*used_up(task, minutes, sheets, started), line_of(task))]
    if task.key in bench.where.done:
        with store.writing() as connection:
            beside = put_beside(connection, bench, lines[:-1])
        return Outcome(False, words=done_before(bench, task, who, at) + beside)
    for line in lines:
        check_line(bench.where, line)
        refuse_shut(bench, line)
        asked = () if sure else questions(bench.where, line)
        if asked:
            return Outcome(False, asked)
    key = task_key(bench, task)
    with store.writing() as connection:  # minutes, sheets and the step: all of it is kept, or nothing
        said = find_line(connection, bench.job_id, key)
        if said is not None and said.who != who:
            return Outcome(True, words=kept_words(said, who, at).words + put_beside(connection, bench, lines[:-1]))
        for line in lines[:-1]:
            put_line(connection, bench.job_id, as_new(line, f"{key}|{line.kind}"), who, at)
        said = put_line(connection, bench.job_id, as_new(lines[-1], key), who, at)
    return kept_words(said, who, at)


def used_up(
    task: Task, minutes: float | None, sheets: int, started: datetime | None
) -> Iterator[dict[str, Any]]:
    """Yield the lines of the minutes and sheets of a step, where they are told."""
    place = {"panel": task.panel, "step": task.step}
    if task.what == "step" and minutes:
        values: dict[str, Any] = {"minutes": minutes, "started": started}
        yield {"kind": "minutes", **place, "values": {k: v for k, v in values.items() if v is not None}}
    if task.what == "step" and sheets:
        yield {"kind": "sheets", **place, "values": {"count": sheets}}


def as_new(line: LogLine, key: str) -> NewLine:
    """Return a line as it goes into the store."""
    return NewLine(line.kind, kept_values(line), line.panel, line.step, key)


def put_beside(connection: Connection, bench: AtBench, lines: Sequence[LogLine]) -> str:
    """Keep minutes and sheets of a step that another had logged, set aside until somebody says that they count.

    The same ones are kept once, however often they are sent. Return what to tell of it.
    """
    for line in lines:
        key = f"{len(bench.legs)}|beside|{line.who}|{line.panel}|{line.step}|{line.kind}|{kept_values(line)}"
        made = put_line(connection, bench.job_id, as_new(line, hashlib.sha256(key.encode()).hexdigest()), line.who,
                        line.at)
        if made.set_aside is None and made.at == line.at:
            put_mark(connection, bench.job_id, made.number, BESIDE, line.who, line.at)
    told = wording.listed([what_words(line) for line in lines])
    return f". {told} stand beside it in the log, set aside: let them count there if both worked" if lines else ""


def done_before(bench: AtBench, task: Task, who: str, at: datetime) -> str:
    """Return who has logged a task that is done already."""
    line = typed_line(bench, line_of(task), who, at)
    told = twice_words(bench.where, line) if isinstance(line, StepLine) else []
    return told[0] if told else f"{task.panel or 'whole job'}: this is logged already; it counts once"


def refuse_shut(bench: AtBench, line: LogLine) -> None:
    """Refuse that work is done which a stop keeps shut; raises StillShut."""
    for task in bench.course.tasks:
        same = {"kind": line.kind, "panel": line.panel, "step": line.step, "zone": line.zone}
        if task.key in bench.shut and task.hold is None and task.check is None:
            raw = line_of(task)
            if all(same[name] == raw.get(name, "") for name in same):
                raise StillShut(shut_words(bench, task))


def shut_words(bench: AtBench, task: Task) -> str:
    """Return which stops keep a task shut, and what opens it."""
    named = ", ".join(f"{c.id} {c.hazard}" for c in bench.shut[task.key])
    return f"{task.panel or 'wash-down'}: shut by {named}; a finisher signs for it on the Safety page first"


def leave_out(store: Store, bench: AtBench, number: int, reason: str, who: str, at: datetime) -> None:
    """Set a line aside by hand; raises WorkStopped for a reading that work is stopped by, which has two ways on."""
    stop = next((stop for stop in bench.where.stops if stop.line == number), None)
    if stop is not None:
        beside = "" if stop.settled else "read twice beside it, which sets it aside where it does not repeat, or "
        raise WorkStopped(f"line {number} is what work on {stop.panel} is stopped by: {beside}plan again")
    set_aside(store, bench.job_id, number, reason, who, at)


def settle_odd(store: Store, job_id: str, who: str, at: datetime) -> tuple[str, ...]:
    """Set aside the low readings that two beside them did not repeat; return what to tell."""
    bench = at_bench(store, job_id, at)
    told = []
    for line in bench.where.odd:
        set_aside(store, job_id, line.number, "two readings beside it are at or over LEAST", who, at)
        told.append(f"{line.panel}, {line.zone}: {line.values.um:g} um was an odd one and is set aside; two beside it "
                    "are at or over LEAST.")
    return tuple(told)
