"""A bench sheet as plain text: at most 80 columns and 66 lines a page, in black, for any printer.

Blocks stay whole where a page can hold them; each page says which it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from finishplan import wording
from finishplan.bench.checks import BEFORE_ALL
from finishplan.bench.columns import WIDTH, fitted, padded, width_of, wrapped
from finishplan.bench.local_work import LocalMark, LocalRow, LocalWork
from finishplan.bench.places import NAME, Mark, ReadingSpot, names_words
from finishplan.bench.sheet import Answer, Row, Sheet, ZoneStop, sheets_of
from finishplan.bench.sheet_rules import named, ten_rules

PAGE_LINES = 66
PAGE_BREAK = "\f"
SHORT = 16
"""Columns for a zone's name in a box."""
NOTE = 40
"""Columns for what the surveyor wrote of a mark."""
LABEL = 9
"""Columns for the label of a line."""
BOXES = 4
"""Boxes for readings beside marks of one entry, at most."""
SIGN = "signed ______________ time ______"

Block = list[str]


def whole_text(answer: Answer) -> str:
    """Return all sheets of a job, one page a panel (more where a page is too short), then the ten rules."""
    return PAGE_BREAK.join([*(sheet_text(sheet) for sheet in sheets_of(answer)), rules_text()])


def sheet_text(sheet: Sheet) -> str:
    """Return one sheet as text; pages are parted by a form feed."""
    return PAGE_BREAK.join("\n".join(page) + "\n" for page in pages(sheet))


def rules_text() -> str:
    """Return the ten rules as a page for the wall."""
    lines = ["=" * WIDTH, "TEN RULES OF THE BENCH", "=" * WIDTH]
    for number, text in enumerate(ten_rules(), start=1):
        lines += wrapped(text, first=f"{number:2d}  ")
    return "\n".join(lines) + "\n"


def pages(sheet: Sheet) -> tuple[tuple[str, ...], ...]:
    """Return a sheet's pages as lines."""
    filled = fill_pages(blocks_of(sheet), PAGE_LINES - len(head(sheet, 1, 1)))
    return tuple((*head(sheet, at, len(filled)), *body) for at, body in enumerate(filled, start=1))


def fill_pages(blocks: Iterable[Block], room: int) -> list[Block]:
    """Return blocks laid on pages of ``room`` lines; a block is split only where no page can hold it."""
    found: list[Block] = [[]]
    for block in blocks:
        if len(block) <= room < len(found[-1]) + len(block):
            found.append([])
        if not found[-1] and block and not block[0]:
            block = block[1:]
        while len(found[-1]) + len(block) > room:
            free = room - len(found[-1])
            found[-1] += block[:free]
            block = block[free:]
            found.append([])
        found[-1] += block
    return [page for page in found if page] or [[]]


def head(sheet: Sheet, page: int, of: int) -> Block:
    """Return the head of a page."""
    right = f"page {page} of {of}"
    title = padded(f"BENCH SHEET: {sheet.title}", WIDTH - len(right) - 2) + "  " + right
    count = f"  (panel {sheet.number} of {sheet.of})"
    name = fitted(sheet.panel, WIDTH - len(count) - 9)
    return ["=" * WIDTH, title, f"{name}{count}", "=" * WIDTH]


def blocks_of(sheet: Sheet) -> list[Block]:
    """Return the blocks of a sheet in the order in which they are needed."""
    if sheet.state == "stop":
        return [*stop_blocks(sheet), drawing_block(sheet), id_block(sheet)]
    if sheet.state == "nothing":
        return [nothing_block(sheet), drawing_block(sheet), id_block(sheet)]
    blocks = [who_block(sheet), list_block("STOP at any of these four: tool down, fetch the finisher", sheet.stops)]
    blocks += [drawing_block(sheet), list_block("NOT ON THIS PART", sheet.not_here)]
    blocks += before_blocks(sheet)
    if sheet.always:
        blocks.append(list_block("IN EVERY STEP", sheet.always))
    for work in sheet.local:
        blocks += local_blocks(work, first=work is sheet.local[0])
    gates = [gate_blocks(sheet, done) for done in range(len(sheet.rows) + 1)]
    steps = [block for row in sheet.rows for block in (*gates[row.number - 1], row_block(sheet, row))]
    steps[0] = ["", "STEPS over the whole part, in this order", *steps[0]]
    return [*blocks, *steps, *gates[-1], *caution_blocks(sheet), id_block(sheet)]


def line(label: str, text: str) -> Block:
    """Return a labelled line, wrapped under its label."""
    return wrapped(text, first=padded(label, LABEL) + " ")


def who_block(sheet: Sheet) -> Block:
    """Return who works on what, and how long it takes about."""
    what = f"for the {sheet.worker}; {sheet.finish}; {sheet.build}; {sheet.lies}"
    about = f"about {wording.minutes_words(sheet.minutes)} at the part, waits not counted"
    return [*wrapped(f"{what}. {about}."), "date ____________  revision ______  who ______________________"]


def list_block(title: str, texts: Iterable[str]) -> Block:
    """Return a titled list."""
    lines = ["", title]
    for text in texts:
        lines += wrapped(text, first=" -  ")
    return lines


def drawing_block(sheet: Sheet) -> Block:
    """Return the drawing in words: size, tape, reading spots, marks."""
    places = [spot.where for spot in sheet.spots] + [mark.where for mark in sheet.marks]
    placed = any(where.startswith("(") for where in places)
    corner = f"; (right, up) in {sheet.place_unit} from its lower left corner" if placed else ""
    lines = ["", *wrapped(f"THE PART {sheet.size}{corner}")]
    if sheet.taped:
        lines += line("Tape", f"{names_words(sheet.taped)}: on before the first sheet, off before the first compound")
    if sheet.spots:
        lines += line("Read at", spots_words(sheet.spots))
    for mark in sheet.marks:
        lines += mark_lines(mark, to_do=sheet.state != "stop")
    for note in sheet.notes:
        lines += line("Note", note)
    return lines


def spots_words(spots: Sequence[ReadingSpot]) -> str:
    """Return the reading spots, zone by zone: those with a place, then the numbers of those without."""
    parts = []
    for zone in dict.fromkeys(spot.zone for spot in spots):
        here = [spot for spot in spots if spot.zone == zone]
        placed = [f"{spot.number} at {spot.where}" for spot in here if spot.where]
        loose = [spot.number for spot in here if not spot.where]
        if loose:
            placed.append(f"{runs(loose)} without a place")
        parts.append(f"{fitted(zone, SHORT)}: {', '.join(placed)}")
    return "; ".join(parts)


def mark_lines(mark: Mark, to_do: bool) -> Block:
    """Return one mark: letter, what, where, and what is done with it."""
    text = f"{mark.words}; {fitted(mark.zone, SHORT)}; {mark.where}"
    if to_do:
        text += f": {mark.to_do.upper() if mark.repair in ('leave', 'refer', 'clean') else mark.to_do}"
    if mark.note:
        text += f' ("{fitted(mark.note, NOTE)}")'
    return line(f"Mark {mark.letter}", text)


def before_blocks(sheet: Sheet) -> list[Block]:
    """Return what is signed and read before the first stroke."""
    found = [hold_lines(hold.text) for hold in sheet.holds if hold.after == BEFORE_ALL]
    found[0] = ["", "BEFORE YOU START (at every HOLD work waits for the finisher's signature)", *found[0]]
    return [*found, read_lines(sheet, 0)]


def gate_blocks(sheet: Sheet, done: int) -> list[Block]:
    """Return the check readings and hold points when ``done`` steps are done."""
    found = [read_lines(sheet, done)] if done else []
    return [block for block in (*found, *(hold_lines(h.text) for h in sheet.holds if h.after == done)) if block]


def hold_lines(text: str) -> Block:
    """Return a hold point with its box, and where to sign."""
    lines = wrapped(text, first="[ ] HOLD  ", rest=" " * 10)
    if width_of(lines[-1]) + len(SIGN) + 1 <= WIDTH:
        return [*lines[:-1], padded(lines[-1], WIDTH - len(SIGN), keep=True) + SIGN]
    return [*lines, f"{SIGN:>{WIDTH}}"]


def read_lines(sheet: Sheet, done: int) -> Block:
    """Return the check readings when ``done`` steps are done: a line a zone, least figure and boxes."""
    moment = {0: "before", len(sheet.rows): "at the end"}.get(done, "")
    if done and not moment:
        moment = f"after {wording.step_short(sheet.rows[done - 1].step)}"
    lines = []
    for check in sheet.checks:
        if check.after == done:
            at = f"at {runs(check.spots)}" if check.spots else "3 places"
            lines.append(f"[ ] READ  {padded(moment, 15)} {padded(check.zone, 13)} LEAST{check.least_um:5d} um "
                         f"{padded(at, 11)} ____ ____ ____")
    return lines


def runs(spots: Sequence[str]) -> str:
    """Return spot numbers, those that follow each other drawn together.

    >>> runs(["1", "2", "3", "7", "9", "10"])
    '1-3 7 9 10'
    """
    found: list[list[str]] = []
    for spot in spots:
        if found and spot.isdecimal() and found[-1][-1].isdecimal() and int(spot) == int(found[-1][-1]) + 1:
            found[-1].append(spot)
        else:
            found.append([spot])
    return " ".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else " ".join(run) for run in found)


def local_blocks(work: LocalWork, first: bool) -> list[Block]:
    """Return one piece of local work: its marks, then a row a thing to do."""
    title = {"fill": "FILLS", "spot": "SPOTS"}[work.repair]
    lines = ["", f"{f'{title} FIRST' if first else f'THEN {title}'}, {fitted(work.zone, NAME)}, "
                 f"about {wording.minutes_words(work.minutes)}, waits not counted"]
    if work.warning:
        lines += wrapped(work.warning, first=" !! ")
    for mark in work.marks:
        lines += line(f"Mark {mark.letter}", local_mark_words(mark))
    found = []
    for number, row in enumerate(work.rows, start=1):
        same = [n for n, r in enumerate(work.rows[:number - 1], start=1) if r.text == row.text]
        found.append(local_row(title[0], number, row, same[0] if same else None))
    found[-1] += line(" After", work.then)
    found[-1].append(strip("sheets"))
    return [lines + found[0], *found[1:]]


def local_mark_words(mark: LocalMark) -> str:
    """Return one mark of local work with its ring and least reading."""
    text, each = f"{mark.words}; {mark.where}", "it" if mark.count == 1 else "each"
    if mark.ring_mm is not None:
        text += f"; ring: {mark.ring_mm} mm round {each} on every side"
    text += f"; read beside {each}, LEAST {mark.least_um} um{' ____' * min(mark.count, BOXES)}"
    return f"{text}; {mark.note}" if mark.note else text


def local_row(letter: str, number: int, row: LocalRow, same: int | None) -> Block:
    """Return one thing to do inside the rings; ``same`` is the number of an earlier row with the same words."""
    facts = [row.step, {True: "WET", False: "DRY", None: ""}[row.wet], row.text.direction, row.wait.upper()]
    lines = wrapped(" | ".join(fact for fact in facts if fact), first=padded(f"{letter}{number}", 4))
    if same is not None:
        return [*lines, *line(" How", f"as {letter}{same}, done and stop too")]
    lines += line(" How", row.text.how)
    if row.text.done_when:
        lines += line(" Done", row.text.done_when)
    if row.text.stop_if:
        lines += line(" Stop if", row.text.stop_if)
    return lines


def row_block(sheet: Sheet, row: Row) -> Block:
    """Return one step: what, how, done when, stop if, and the strip to fill in."""
    tools = dict.fromkeys(tool for _, tool in row.by)
    whole = len(tools) == 1 and len(row.by) == sheet.zone_count
    facts = [row.step, next(iter(tools)) if whole else "", {True: "WET", False: "DRY", None: ""}[row.wet],
             row.direction, row.amount, f"about {wording.minutes_words(row.minutes)}", row.tape]
    lines = wrapped(" | ".join(fact for fact in facts if fact), first=padded(str(row.number), 4))
    if not whole:
        lines += line(" By", by_words(row))
    same = [r.number for r in sheet.rows[:row.number - 1] if r.how == row.how]
    lines += line(" How", f"as step {same[0]}" if same else row.how)
    gone = f"{named(row.takes_out)} gone; " if row.takes_out else ""
    soft = f"{named(row.softens)} softened only; " if row.softens else ""
    lines += line(" Done", gone + soft + row.done_when)
    lines += line(" Stop if", row.stop_if)
    return [*lines, strip("sheets" if row.wet is not None else "pads")]


def by_words(row: Row) -> str:
    """Return tools and zones of a step."""
    tools: dict[str, list[str]] = {}
    for zone, tool in row.by:
        tools.setdefault(tool, []).append(fitted(zone, SHORT))
    text = "; ".join(f"{tool}: {wording.listed(zones)}" for tool, zones in tools.items())
    return f"{text}. From here on also: {wording.listed(fitted(z, SHORT) for z in row.joins)}" if row.joins else text


def strip(used: str) -> str:
    """Return the strip that is filled in by hand."""
    return f"{'':{LABEL + 1}}start ______  stop ______  {used} ____  who ____________"


def stop_blocks(sheet: Sheet) -> list[Block]:
    """Return DO NOT START, why, and what to do first."""
    first = ["", "  ####  DO NOT START  ####", "",
             *wrapped("No step of this part is printed, and nothing is sanded, buffed or filled on it.")]
    return [first, *(zone_block(zone) for zone in sheet.zones)]


def zone_block(zone: ZoneStop) -> Block:
    """Return one zone's verdict, reasons and what to do first."""
    lines = ["", f"{fitted(zone.zone, NAME)}: {zone.verdict.upper()}"]
    for reason in zone.reasons:
        lines += line(" Why", reason)
    lines += line(" First", zone.first)
    if zone.would_fit:
        lines += line(" Fits", f"the finisher may ask: {wording.listed(zone.would_fit, 'or')}")
    if zone.verdict == "measure first":
        spots = f"at {' '.join(zone.spots)} and new places" if zone.spots else "at new places, mark them"
        lines += line(" Read", f"{fitted(spots, NAME)}: {'______  ' * 5}".rstrip())
    return [*lines, f"{'':{LABEL + 1}}done by ________________  seen by finisher ________________"]


def nothing_block(sheet: Sheet) -> Block:
    """Return that nothing is done on a panel."""
    lines = ["", "NOTHING TO DO ON THIS PART", ""]
    clean = any(mark.repair == "clean" for mark in sheet.marks)
    lines += wrapped("No sheet, no compound, no fill. Keep dust, water and compound of the other parts off it.")
    if clean:
        lines += wrapped("Clean only: see the marks below; then show the finisher what is under it.")
    return lines


def caution_blocks(sheet: Sheet) -> list[Block]:
    """Return the cautions in full, one a block."""
    if not sheet.cautions:
        return []
    found = [wrapped(c.text, first=padded(f"{c.id} {c.severity.upper()}", LABEL) + " ") for c in sheet.cautions]
    found[0] = ["", "CAUTIONS  data sheets, local rules and qualified people come first", *found[0]]
    return found


def id_block(sheet: Sheet) -> Block:
    """Return the ids of the job's other cautions."""
    if not sheet.cautions_by_id:
        return []
    return ["", *wrapped(f"Also on this job, in the safety list: {', '.join(sheet.cautions_by_id)}")]


