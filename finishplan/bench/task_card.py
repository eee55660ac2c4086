"""One task of the bench as a card to be read at arm's length: words, no formula; least readings alone as figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from finishplan import wording
from finishplan.bench.course import Course, Task, least_um
from finishplan.bench.local_work import LocalRow, LocalWork
from finishplan.bench.log_lines import (
    HoldLine,
    LogLine,
    PouredLine,
    ReadingLine,
    RepairLine,
    StepLine,
    WashLine,
)
from finishplan.bench.log_sums import in_force
from finishplan.bench.progress import Progress, film_step, readings_after
from finishplan.bench.sheet import Answer, Row, Sheet, sheet_of
from finishplan.bench.step_texts import text_of

KINDS_OF_TASK = {
    "hold": "Hold point",
    "check": "Read the film",
    "pour": "Pour the fill",
    "repair": "Inside the rings",
    "step": "Step",
    "wash": "Wash down",
}
"""Each task's kind as its card names it."""
WASH_HOW = ("Wash every part, the bench, the floor and your hands of sanding slurry. Change water, cloths and clothes; "
            "put every sheet away.")
WASH_DONE = "A clean white cloth wiped over parts and bench stays white"
WASH_WHY = "One grain of a sheet under a pad scratches everything that comes after."
HOLD_BIG = "A finisher looks and signs"
HOLD_HOW = "Work waits here until a finisher has looked and signed."
CHECK_HOW = "Wipe the spot dry, let it cool, read at the numbered places."
WHEN = "When"
"""Label of the moment a check is for."""
FIRST_CUT = "prepare", "dam", "pour", "second pour", "ring"


@dataclass(frozen=True)
class LocalLine:
    """One thing done inside the rings."""

    name: str
    how: str
    done_when: str
    stop_if: str


@dataclass(frozen=True)
class TaskCard:
    """What one task says; empty where there is nothing to say."""

    kind: str
    panel: str
    big: str
    """What stands in large print: the grade, the compound, or what waits."""
    least: tuple[tuple[str, int], ...] = ()
    """Zones with their least readings after this task, or at this check."""
    facts: tuple[tuple[str, str], ...] = ()
    how: str = ""
    done_when: str = ""
    stop_if: str = ""
    why: str = ""
    lines: tuple[LocalLine, ...] = ()


def card_of(answer: Answer, course: Course, task: Task) -> TaskCard:
    """Return the card of a task; raises UnknownName for one that is not of the course."""
    found = course.task(task.key)
    base = TaskCard(KINDS_OF_TASK[found.what], found.panel or "all parts", "")
    if found.hold is not None:
        return replace(base, big=HOLD_BIG, how=HOLD_HOW, done_when=found.hold.text)
    if found.what == "wash":
        return replace(base, big="Wash down", how=WASH_HOW, done_when=WASH_DONE, why=WASH_WHY)
    if found.check is not None:
        return check_card(base, found)
    sheet = sheet_for(answer, found.panel)
    return step_card(base, found, sheet, course) if found.what == "step" else local_card(base, found, sheet)


def sheet_for(answer: Answer, panel: str) -> Sheet:
    """Return the sheet of one panel, without its cautions."""
    at = next(k for k, plan in enumerate(answer.plan.panels) if plan.name == panel)
    return sheet_of(answer, at, set())


def check_card(base: TaskCard, task: Task) -> TaskCard:
    """Return the card of a check reading."""
    assert task.check is not None
    when = f"after {task.step}" if task.step else "before the first stroke"
    spots = wording.listed(task.check.spots) if task.check.spots else "any three places well apart"
    facts = ((WHEN, when), ("Spots", spots), ("At least", wording.counted(task.readings, "reading")))
    return replace(base, big=f"Read {task.zones[0]}", least=((task.zones[0], task.check.least_um),), facts=facts,
                   how=CHECK_HOW)


def step_card(base: TaskCard, task: Task, sheet: Sheet, course: Course) -> TaskCard:
    """Return the card of a step."""
    row = next(r for r in sheet.rows if r.step == task.step)
    plan, notes = course.panel(task.panel), tuple(("Mind", note) for note in sheet.notes)
    least = [(zone, least_um(plan, zone, task.step)) for zone in task.zones]
    return replace(
        base, big=row.step, least=tuple((zone, um) for zone, um in least if um is not None),
        facts=(*step_facts(row), *notes), how=row.how, done_when=row.done_when, stop_if=row.stop_if,
        why=text_of("step", row.key).reason)


def step_facts(row: Row) -> tuple[tuple[str, str], ...]:
    """Return what a step is worked with, and how, as labels and words."""
    same = {tool for _, tool in row.by}
    tool = row.by[0][1] if len(same) == 1 else "; ".join(f"{zone}: {tool}" for zone, tool in row.by)
    wet = "" if row.wet is None else "wet" if row.wet else "dry"
    given = (("Tool", tool), ("Wet or dry", wet), ("Direction", row.direction), ("Tape", row.tape),
             ("Uses", row.amount), ("About", wording.minutes_words(row.minutes)),
             ("Joins now", wording.listed(row.joins)),
             ("Takes out", marks_words(row.takes_out)), ("Softens", marks_words(row.softens)))
    return tuple((label, words) for label, words in given if words)


def marks_words(letters: tuple[str, ...]) -> str:
    """Return marks by their letters.

    >>> marks_words(("a", "c")), marks_words(())
    ('marks a and c', '')
    """
    return f"{'mark' if len(letters) == 1 else 'marks'} {wording.listed(letters)}" if letters else ""


def local_card(base: TaskCard, task: Task, sheet: Sheet) -> TaskCard:
    """Return the card of a pour, or of the work inside the rings of one mark."""
    work, letter = local_of(task, sheet)
    mark = next(m for m in work.marks if m.letter == letter)
    pour = task.what == "pour"
    rows = [row for row in work.rows if (row.step.split(", ")[-1] in FIRST_CUT) == pour or task.repair == "spot"]
    ring = f"ring {mark.ring_mm} mm round it" if mark.ring_mm else ""
    facts = (("Mark", f"{mark.letter}: {mark.words}"), ("Where", f"{task.zones[0]} {mark.where}"), ("Ring", ring),
             ("Then", work.then), ("Mind", work.warning), ("Note", mark.note))
    return replace(
        base, big=f"{'Fill' if task.repair == 'fill' else 'Spot'} {letter}", least=((task.zones[0], mark.least_um),),
        facts=tuple((label, words) for label, words in facts if words), lines=tuple(local_line(row) for row in rows))


def local_of(task: Task, sheet: Sheet) -> tuple[LocalWork, str]:
    """Return the piece of local work that a task is of, and its mark's letter."""
    here = [mark for mark in sheet.marks if mark.zone == task.zones[0]]
    letter = here[task.defect or 0].letter
    return next(w for w in sheet.local if letter in {m.letter for m in w.marks}), letter


def local_line(row: LocalRow) -> LocalLine:
    """Return one row of local work as a line."""
    wet = "" if row.wet is None else ", wet" if row.wet else ", dry"
    waits = f" ({row.wait})" if row.wait else ""
    return LocalLine(f"{row.step}{wet}{waits}", row.text.how, row.text.done_when, row.text.stop_if)


def where_words(done: int, of: int) -> str:
    """Return how far the course is.

    >>> where_words(14, 53)
    '14 of 53 done'
    """
    return f"{done} of {of} done"


def logged_words(lines: Sequence[LogLine], task: Task) -> str:
    """Return who logged a task as done and when; the last of several readings is told."""
    kinds: dict[str, type[LogLine]] = {"hold": HoldLine, "check": ReadingLine, "pour": PouredLine,
                                       "repair": RepairLine, "step": StepLine, "wash": WashLine}
    same = [line for line in in_force(lines) if isinstance(line, kinds[task.what])
            and line.panel == task.panel and line.step in ("", task.step)
            and (not line.zone or line.zone in task.zones)
            and (task.hold is None or (isinstance(line, HoldLine) and line.values.hold == task.hold.key))]
    did = {"hold": "signed", "check": "read"}.get(task.what, "logged")
    return f"{same[-1].who} {did} this at {same[-1].at.astimezone():%H:%M}." if same else "This is done already."


def read_so_far(progress: Progress, panel: str, zone: str, step: str) -> tuple[ReadingLine, ...]:
    """Return a zone's readings after ``step`` that count, those since the last minutes logged on it."""
    return tuple(readings_after(in_force(progress.lines), panel, zone, step))


def as_it_is_now(card: TaskCard, task: Task, progress: Progress) -> TaskCard:
    """Return the card of a check with the least of the film as it is now, where work has gone on since."""
    if task.check is None or read_after(task, progress) == task.step:
        return card
    step = read_after(task, progress)
    least = least_um(progress.course.panel(task.panel), task.zones[0], step)
    facts = tuple((label, f"after {step}" if label == WHEN else words) for label, words in card.facts)
    return replace(card, facts=facts, least=((task.zones[0], least or task.check.least_um),))


def read_after(task: Task, progress: Progress) -> str:
    """Return the step after which a check's film is read now: its own, or the last one since."""
    return film_step(in_force(progress.lines), task)


def next_spots(task: Task, progress: Progress, count: int) -> list[int | None]:
    """Return the numbered spots of the next ``count`` readings of a check: those not read yet, then none."""
    assert task.check is not None
    step = read_after(task, progress)
    read = {line.values.spot for line in read_so_far(progress, task.panel, task.zones[0], step)}
    left: list[int | None] = [int(spot) for spot in task.check.spots if spot.isdigit() and int(spot) not in read]
    return [*left, *([None] * count)][:count]


def check_words(task: Task, progress: Progress) -> str:
    """Return what a check has so far: how many of how many, and which; and where work has gone on, after what."""
    step = read_after(task, progress)
    read = read_so_far(progress, task.panel, task.zones[0], step)
    told = f": {', '.join(f'{line.values.um:g}' for line in read)} um" if read else ""
    since = "" if step == task.step else f". {step} has gone over it since: read it as it is now"
    return f"{len(read)} of {task.readings} read{told}{since}"
