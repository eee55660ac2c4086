"""The table of work on a panel's sheet: holds and readings, one row per kind of repair, one row a step."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan import wording
from finishplan.bench.checks import BEFORE_ALL, CheckReading
from finishplan.bench.columns import fitted
from finishplan.bench.local_work import LocalMark, LocalRow, LocalWork
from finishplan.bench.sheet import Row, Sheet
from finishplan.bench.sheet_text import runs
from finishplan.bench.step_texts import text_of
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf_blocks import Block
from finishplan.paper.sheets_marks import letter_runs

ZONE = 22
"""Columns for a zone's name beside a reading."""
BOXES = 3
MOST_BOXES = 4
"""Boxes for the readings beside marks of one entry, at most."""
STOPS_SAID = "any of the four stops"
STOP_HEAD = "Stop also if"
WAYS_WET = {True: "WET", False: "DRY", None: ""}
REPAIR = {"fill": ("F", "Fill"), "spot": ("S", "Spot")}
"""The letter and the name of each kind of local work."""
RING = "ring"
HOW_NAMES = {
    "first_sheet": "First sheet", "first_sheet_lean": "First sheet, stop early", "only_sheet": "Only sheet",
    "next_sheet": "Next sheets", "last_sheet": "Last sheet", "satin_sheet": "Satin sheet",
    "cutting compound": "Cutting compound", "polishing compound": "Polishing compound",
    "finishing compound": "Finishing compound",
}
"""Kinds of step as the front page heads their way of working."""


def work_table(sheet: Sheet, how: bool) -> Block:
    """Return all the work of a panel in its order; ``how``: with the way of working of each step in its row."""
    rows = [*holds(sheet, BEFORE_ALL), *readings_before(sheet)]
    for at, work in enumerate(sheet.local):
        rows.append(local_row(work, first=at == 0))
    rows += holds(sheet, 0)
    for row in sheet.rows:
        rows += [step_row(sheet, row, how), *gates(sheet, row.number)]
    return make.steps(rows, STOP_HEAD)


def holds(sheet: Sheet, done: int) -> list[Block]:
    """Return the hold points when ``done`` steps are done."""
    return [make.hold(hold.text) for hold in sheet.holds if hold.after == done]


def gates(sheet: Sheet, done: int) -> list[Block]:
    """Return the readings and hold points when ``done`` steps are done; one reading and one hold share a line."""
    read, held = readings_at(sheet, done), holds(sheet, done)
    if read and held and len(read[0]["cells"]) == 1:
        return [make.read_and_hold(read[0], held[0]), *held[1:]]
    return [*read, *held]


def readings_before(sheet: Sheet) -> list[Block]:
    """Return the readings before any work: the zones', then beside each mark that is filled or spotted."""
    cells = [reading_cell(check) for check in sheet.checks if check.after == 0]
    cells += [local_reading(mark) for work in sheet.local for mark in work.marks]
    return [make.readings("before all", cells)] if cells else []


def readings_at(sheet: Sheet, done: int) -> list[Block]:
    """Return the check readings when ``done`` steps are done."""
    cells = [reading_cell(check) for check in sheet.checks if check.after == done]
    last = done == len(sheet.rows)
    moment = "at end, cold" if last else f"after {wording.step_short(sheet.rows[done - 1].step)}"
    return [make.readings(moment, cells)] if cells else []


def reading_cell(check: CheckReading) -> dict[str, object]:
    """Return one check reading."""
    where = f"at {runs(check.spots)}" if check.spots else "at 3 places"
    return make.reading(fitted(check.zone, ZONE), fitted(where, ZONE), check.least_um, BOXES)


def step_row(sheet: Sheet, row: Row, how: bool) -> Block:
    """Return one step; without ``how`` it names the line of the front page that says it."""
    tools = list(dict.fromkeys(tool for _, tool in row.by))
    whole = len(tools) == 1 and len(row.by) == sheet.zone_count
    by = tools[0] if whole else tools_words(row)
    facts = [way_words(row.wet, row.direction), by, row.tape, row.amount]
    said = wording.sentence("; ".join(fact for fact in facts if fact))
    if how:
        same = next((r.number for r in sheet.rows[:row.number - 1] if r.how == row.how), None)
        said += f" As step {same}." if same is not None else f" {row.how}"
    elif row.wet is not None:
        said += f" How: {HOW_NAMES[row.key]}."
    gone = f"{wording.listed(row.takes_out)} gone; " if row.takes_out else ""
    soft = f"{wording.listed(row.softens)} softened only; " if row.softens else ""
    done = f"{gone}{soft}{row.done_when}." if gone or soft else wording.sentence(row.done_when)
    return make.step(str(row.number), row.step, [f"about {wording.minutes_words(row.minutes)}"], said, done,
                     stop_words(row.stop_if), "sheets" if row.wet is not None else "pads")


def tools_words(row: Row) -> str:
    """Return the tools of a step, each with its zones; a zone that takes no earlier step joins here."""
    zones: dict[str, list[str]] = {}
    for zone, tool in row.by:
        name = fitted(zone, ZONE)
        zones.setdefault(tool, []).append(f"{name} (joins)" if zone in row.joins else name)
    return "; ".join(f"{tool}: {wording.listed(names)}" for tool, names in zones.items())


def way_words(wet: bool | None, direction: str) -> str:
    """Return wet or dry and the way of the strokes.

    >>> way_words(True, "across"), way_words(None, "crossing passes")
    ('WET, across', 'crossing passes')
    """
    return ", ".join(word for word in (WAYS_WET[wet], direction) if word)


def stop_words(stop_if: str) -> str:
    """Return what stops a step beside the four stops, which stand at the head of the sheet.

    >>> stop_words("any of the four stops; or a haze that grows"), stop_words("any of the four stops")
    ('A haze that grows.', 'The four stops.')
    """
    rest = stop_if.removeprefix(STOPS_SAID).removeprefix("; or ").strip()
    return wording.sentence(rest) if rest else "The four stops." if stop_if else ""


def local_row(work: LocalWork, first: bool) -> Block:
    """Return one piece of local work in one row."""
    letter, name = REPAIR[work.repair]
    text = text_of("local", work.repair)
    said = [wording.sentence(f"Mark {mark.letter}: {mark.note}") for mark in work.marks if mark.note]
    rings = "".join(f"ring round {letters}, {mm} mm on every side; " for letters, mm in rings_of(work))
    order = "First" if first else "Then"
    things = "; ".join(local_words(run) for run in runs_of(work.rows) if run[0].step != RING)
    said.append(f"{order}: {rings}{things}. After: {work.then}.")
    letters = wording.listed(letter_runs([mark.letter for mark in work.marks]))
    facts = [letters, f"about {wording.minutes_words(work.minutes)}"]
    return make.wide_step(letter, name, facts, wording.sentence(work.warning), " ".join(said), text.done_when,
                          text.stop_if, "sheets")


def rings_of(work: LocalWork) -> list[tuple[str, int]]:
    """Return the rings round spots: letters, those in a row of the same width drawn together, and the width in mm."""
    wide: dict[int, list[str]] = {}
    for mark in work.marks:
        if mark.ring_mm is not None:
            wide.setdefault(mark.ring_mm, []).append(mark.letter)
    return [(letters, mm) for mm, found in wide.items() for letters in letter_runs(found)]


def local_reading(mark: LocalMark) -> dict[str, object]:
    """Return the reading beside one mark of local work."""
    return make.reading(f"mark {mark.letter}", "", mark.least_um, min(max(1, mark.count), MOST_BOXES))


def runs_of(rows: Sequence[LocalRow]) -> list[list[LocalRow]]:
    """Return local rows with those drawn together that follow each other by the same words."""
    found: list[list[LocalRow]] = []
    for row in rows:
        joins = found and not row.wait and row.wet is not None and found[-1][-1].text.how == row.text.how
        if joins:
            found[-1].append(row)
        else:
            found.append([row])
    return found


def local_words(run: Sequence[LocalRow]) -> str:
    """Return things to do inside the rings that go the same way: the wait first, then the names, wet or dry."""
    first = run[0]
    steps = ", ".join(row.step for row in run)
    way = way_words(first.wet, first.text.direction)
    return " ".join(word for word in (f"{first.wait.upper()}:" if first.wait else "", steps, f"({way})" if way else "")
                    if word)
