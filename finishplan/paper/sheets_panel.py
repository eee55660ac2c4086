"""The bench sheet of one panel as printed: all that a trainee needs at the part, in the order of work."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan import wording
from finishplan.bench.checks import BEFORE_ALL, CheckReading
from finishplan.bench.columns import fitted, width_of
from finishplan.bench.local_work import LocalMark, LocalRow, LocalWork
from finishplan.bench.places import NAME, Mark, ReadingSpot, names_words
from finishplan.bench.sheet import Row, Sheet, ZoneStop
from finishplan.bench.sheet_rules import named
from finishplan.bench.sheet_text import by_words, runs, spots_words
from finishplan.paper import pdf_blocks as make
from finishplan.paper.lines import worth_drawing
from finishplan.paper.pdf_blocks import Block, Section, head_name
from finishplan.paper.sheets_drawing import Drawn, sheet_drawing
from finishplan.survey.job import Panel

HEIGHT_PT, LOW_PT = 170.0, 80.0
"""Most height of a drawing in points: with places on it, and without."""
BESIDE = 7
"""Marks that find room beside the drawing; more stand in a table under it."""
ZONE = 22
"""Columns for a zone's name beside a reading."""
NOTE = 60
"""Columns for what the surveyor wrote of a mark."""
FEW = 12
"""Marks that are named in a sentence; more are counted."""
BOXES = 3
MOST_BOXES = 4
"""Boxes for the readings beside marks of one entry, at most."""
STOPS_SAID = "any of the four stops"
STOP_HEAD = "Stop also if"
WAYS_WET = {True: "WET", False: "DRY", None: ""}


def panel_section(sheet: Sheet, panel: Panel) -> Section:
    """Return the pages of one panel: its sheet, or why it must not be started."""
    body = {"go": go_blocks, "stop": stop_blocks, "nothing": nothing_blocks}[sheet.state]
    blocks = [panel_title(sheet), *body(sheet, panel), *names_in_full(sheet, panel), *caution_blocks(sheet)]
    return Section("Bench sheet", head_name(sheet.title, sheet.panel), tuple(blocks))


def panel_title(sheet: Sheet) -> Block:
    """Return the panel's name, and how it lies, by whom and for how long it is worked."""
    what = [f"Panel {sheet.number} of {sheet.of}"]
    if sheet.state == "go":
        what.append(f"for the {sheet.worker}")
    what += [sheet.finish, sheet.build if sheet.build != "unknown" else "build not known", sheet.lies, sheet.size]
    if sheet.state == "go":
        what.append(f"about {wording.minutes_words(sheet.minutes)} at the part, waits not counted")
    cut = f" Job: {sheet.title}." if width_of(sheet.title) > make.HEAD_COLUMNS // 2 else ""
    return make.title(sheet.panel, f"{', '.join(what)}.{cut}")


def go_blocks(sheet: Sheet, panel: Panel) -> list[Block]:
    """Return the pages of a panel that may be worked."""
    blocks = [
        make.sign(("date", 1), ("who", 1.6), ("finisher", 1.6)),
        make.stops("STOP at any of these four: tool down, fetch the finisher", sheet.stops),
        *part_blocks(sheet, panel),
        make.two_lists(("Not on this part", sheet.not_here), ("In every step", sheet.always)),
        make.heading("Before you start (at every HOLD work waits for the finisher's signature)"),
        make.gates(first_gates(sheet)),
    ]
    for at, work in enumerate(sheet.local):
        blocks += local_blocks(work, first=at == 0)
    blocks += [make.heading("Steps over the whole part, in this order"),
               make.steps(step_rows(sheet), STOP_HEAD)]
    return blocks


def part_blocks(sheet: Sheet, panel: Panel) -> list[Block]:
    """Return the drawing with its reading spots, tape and marks; many marks stand in a table."""
    drawn = sheet_drawing(panel, sheet, height_pt=HEIGHT_PT if worth_drawing(panel) else LOW_PT)
    beside = len(sheet.marks) <= BESIDE
    lines = part_lines(sheet, drawn)
    if beside:
        lines += [(mark.letter, mark_words(sheet, mark)) for mark in sheet.marks]
    blocks = [make.heading("The part"), make.drawing(drawn.svg, drawn.alt, drawn.width_pt, lines, True)]
    if not beside:
        blocks.append(marks_table(sheet))
    return blocks


def part_lines(sheet: Sheet, drawn: Drawn) -> list[tuple[str, str]]:
    """Return what is said of the drawing, each with its label."""
    places = [spot.where for spot in sheet.spots] + [mark.where for mark in sheet.marks]
    lines = []
    if not drawn.to_scale:
        lines.append(("Drawing", "not to scale, the size is not given; mark places by hand"))
    if any(where.startswith("(") for where in places):
        lines.append(("Places", f"(right, up) in {sheet.place_unit} from corner 0"))
    if sheet.taped:
        lines.append(("Tape", f"hatched: {names_words(sheet.taped)}; on before the first sheet, off before the "
                              "first compound"))
    elif any("mm taped" in row.tape for row in sheet.rows):
        lines.append(("Tape", "hatched: the outer 15 to 20 mm, as each step says"))
    if sheet.spots:
        lines.append(("Read at", spots_words(sheet.spots)))
    if drawn.without_room:
        lines.append(("Crowded", f"no room for the letters of {few(drawn.without_room)}: find them by place"))
    if drawn.without_place and len(sheet.marks) > BESIDE:
        lines.append(("No place", f"given for {few(drawn.without_place)}: look for them"))
    return lines + [("Note", note) for note in sheet.notes]


def few(letters: Sequence[str]) -> str:
    """Return marks by letter, or their number where they are many.

    >>> few(["a", "c"]), few([str(n) for n in range(30)])
    ('marks a and c', '30 marks')
    """
    return named(letters) if len(letters) <= FEW else f"{len(letters)} marks"


def mark_words(sheet: Sheet, mark: Mark) -> str:
    """Return one mark in a sentence: what, where, what is done with it, and the surveyor's words."""
    where = "" if mark.where == "no place given" else f" at {mark.where}"
    said = f"{mark.words}, {fitted(mark.zone, NAME)}{where}"
    if sheet.state != "stop":
        said += f": {done_with(mark)}"
    return f'{said} ("{fitted(mark.note, NOTE)}")' if mark.note else said


def done_with(mark: Mark) -> str:
    """Return what is done with a mark; what keeps hands off it in capitals."""
    return mark.to_do.upper() if mark.repair in ("leave", "refer", "clean") else mark.to_do


def marks_table(sheet: Sheet) -> Block:
    """Return all marks as a table."""
    rows = [
        [make.bold(mark.letter), mark.words, fitted(mark.zone, NAME), mark.where,
         "" if sheet.state == "stop" else done_with(mark), fitted(mark.note, NOTE)]
        for mark in sheet.marks
    ]
    return make.table(("Mark", "What", "Zone", "Place", "What is done", "Note"), (0, 1.3, 1, 0.8, 1.3, 1.3), rows)


def readings_at(sheet: Sheet, done: int) -> Block | None:
    """Return the check readings when ``done`` steps are done, or None."""
    cells = [reading_cell(check) for check in sheet.checks if check.after == done]
    if not cells:
        return None
    moment = {0: "before the first stroke", len(sheet.rows): "at the end, cold and clean"}.get(done)
    return make.readings(moment or f"after {wording.step_short(sheet.rows[done - 1].step)}", cells)


def reading_cell(check: CheckReading) -> dict[str, object]:
    """Return one check reading."""
    where = f"at {runs(check.spots)}" if check.spots else "at 3 places"
    return make.reading(fitted(check.zone, ZONE), fitted(where, ZONE), check.least_um, BOXES)


def first_gates(sheet: Sheet) -> list[Block]:
    """Return the hold points and readings before any work."""
    before = readings_at(sheet, 0)
    holds = [make.hold(hold.text) for hold in sheet.holds if hold.after == BEFORE_ALL]
    return [*holds, *([before] if before else [])]


def step_rows(sheet: Sheet) -> list[Block]:
    """Return the steps with the readings and hold points between them."""
    rows = gates(sheet, 0)
    for row in sheet.rows:
        rows += [step_row(sheet, row), *gates(sheet, row.number)]
    return rows


def gates(sheet: Sheet, done: int) -> list[Block]:
    """Return the readings and hold points when ``done`` steps are done; those before any work stand earlier."""
    read = readings_at(sheet, done) if done else None
    return [*([read] if read else []), *(make.hold(hold.text) for hold in sheet.holds if hold.after == done)]


def step_row(sheet: Sheet, row: Row) -> Block:
    """Return one step."""
    tools = list(dict.fromkeys(tool for _, tool in row.by))
    whole = len(tools) == 1 and len(row.by) == sheet.zone_count
    facts = [way_words(row.wet, row.direction), tools[0] if whole else "", "" if row.wet is not None else row.amount,
             f"about {wording.minutes_words(row.minutes)}", row.tape]
    gone = f"{named(row.takes_out)} gone; " if row.takes_out else ""
    soft = f"{named(row.softens)} softened only; " if row.softens else ""
    same = next((r.number for r in sheet.rows[:row.number - 1] if r.how == row.how), None)
    how = f"As step {same}." if same is not None else row.how
    return make.step(str(row.number), row.step, facts, "" if whole else wording.sentence(by_words(row)), how,
                     wording.sentence(gone + soft + row.done_when), stop_words(row.stop_if),
                     f"of {row.amount} used" if row.wet is not None else "pads")


def way_words(wet: bool | None, direction: str) -> str:
    """Return wet or dry and the way of the strokes.

    >>> way_words(True, "across"), way_words(None, "crossing passes")
    ('WET, across', 'crossing passes')
    """
    return ", ".join(word for word in (WAYS_WET[wet], direction) if word)


def stop_words(stop_if: str) -> str:
    """Return what stops a step beside the four stops, which stand in the head of the column.

    >>> stop_words("any of the four stops; or a haze that grows"), stop_words("any of the four stops")
    ('A haze that grows.', 'The four stops.')
    """
    rest = stop_if.removeprefix(STOPS_SAID).removeprefix("; or ").strip()
    return wording.sentence(rest) if rest else "The four stops." if stop_if else ""


def local_blocks(work: LocalWork, first: bool) -> list[Block]:
    """Return one piece of local work: its marks with their least readings, then a row a thing to do."""
    what = {"fill": "Fills", "spot": "Spots"}[work.repair]
    head = f"{what} first" if first else f"Then {what.lower()}"
    blocks = [make.heading(f"{head}: {fitted(work.zone, NAME)}, about {wording.minutes_words(work.minutes)}, "
                           "waits not counted")]
    if work.warning:
        blocks.append(make.strong(wording.sentence(work.warning)))
    beside = [local_reading(mark) for mark in work.marks]
    blocks.append(make.readings("beside each mark, before it is touched", beside))
    blocks += [make.text(f"Mark {mark.letter}: {mark.note}") for mark in work.marks if mark.note]
    rows = [local_row(what[0], number, row, work.rows) for number, row in enumerate(work.rows, start=1)]
    rows[-1]["strip"] = "sheets"
    return [*blocks, make.steps([*rows, make.note(f"After: {work.then}.")], STOP_HEAD)]


def local_reading(mark: LocalMark) -> dict[str, object]:
    """Return the reading beside one mark of local work."""
    where = "" if mark.where == "no place given" else f" at {mark.where}"
    ring = "" if mark.ring_mm is None else f", ring {mark.ring_mm} mm round {'it' if mark.count == 1 else 'each'}"
    return make.reading(f"mark {mark.letter}", f"{mark.words}{where}{ring}", mark.least_um,
                        min(max(1, mark.count), MOST_BOXES))


def local_row(letter: str, number: int, row: LocalRow, rows: Sequence[LocalRow]) -> Block:
    """Return one thing to do inside the rings; the same words stand once."""
    facts = [way_words(row.wet, row.text.direction), row.wait.upper()]
    same = next((n for n, other in enumerate(rows[:number - 1], start=1) if other.text == row.text), None)
    if same is not None:
        return make.step(f"{letter}{number}", row.step, facts, "", f"As {letter}{same}, done and stop too.", "", "")
    return make.step(f"{letter}{number}", row.step, facts, "", row.text.how,
                     wording.sentence(row.text.done_when), wording.sentence(row.text.stop_if))


def stop_blocks(sheet: Sheet, panel: Panel) -> list[Block]:
    """Return DO NOT START, why, and what has to be done first."""
    blocks = [make.do_not_start("No step of this part is printed, and nothing is sanded, buffed or filled on it.")]
    for zone in sheet.zones:
        blocks += zone_blocks(zone)
    return [*blocks, *part_blocks(sheet, panel)]


def zone_blocks(zone: ZoneStop) -> list[Block]:
    """Return one zone's verdict, reasons and what to do first."""
    blocks = [make.verdict_heading(zone.verdict, f"{fitted(zone.zone, NAME)}: {zone.verdict.upper()}"),
              *(make.text(f"Why: {reason}") for reason in zone.reasons),
              make.text(f"First: {zone.first}")]
    if zone.would_fit:
        blocks.append(make.text(f"The finisher may ask for: {wording.listed(zone.would_fit, 'or')}."))
    if zone.verdict == "measure first":
        where = f"at {runs(zone.spots)} and at new places" if zone.spots else "at new places, and mark them"
        blocks.append(make.boxes(f"Read {where}, um:", 6))
    return [*blocks, make.sign(("done by", 1), ("seen by finisher", 1))]


def nothing_blocks(sheet: Sheet, panel: Panel) -> list[Block]:
    """Return that nothing is done on a panel."""
    blocks = [make.strong("Nothing to do on this part."),
              make.text("No sheet, no compound, no fill. Keep dust, water and compound of the other parts off it.")]
    if any(mark.repair == "clean" for mark in sheet.marks):
        blocks.append(make.text("Clean only: see the marks below; then show the finisher what is under it."))
    return [*blocks, *part_blocks(sheet, panel)]


def caution_blocks(sheet: Sheet) -> list[Block]:
    """Return the cautions in full where work goes on, and how many more the job's safety list has."""
    full = sheet.cautions if sheet.state == "go" else ()
    count = len(sheet.cautions) + len(sheet.cautions_by_id) - len(full)
    rest = wording.counted(count, "more caution" if full else "caution")
    if not full:
        return [make.text(f"The safety list of this job has {rest}.")] if count else []
    found = [{"id": c.id, "severity": c.severity.upper(), "text": c.text} for c in full]
    more = f" {wording.sentence(rest)[:-1]} in the job's safety list." if count else ""
    return [make.heading("Cautions"),
            make.strong(f"Data sheets, local rules and qualified people come first.{more}"), make.cautions(found)]


def names_in_full(sheet: Sheet, panel: Panel) -> list[Block]:
    """Return the names of zones that are cut above, in full."""
    long = [zone.name for zone in panel.zones if width_of(zone.name) > ZONE]
    if not long:
        return []
    return [make.text(f"Names cut above, in full: {'; '.join(long)}.")]


def spots_of(spots: Sequence[ReadingSpot], zone: str) -> str:
    """Return the reading spots of one zone by number, or that there are none yet."""
    return runs([spot.number for spot in spots if spot.zone == zone]) or "new places"
