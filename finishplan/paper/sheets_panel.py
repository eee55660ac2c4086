"""The bench sheet of one panel as printed: one page with all that a trainee needs at the part, in the order of work.

What is the same for every panel (the four stops, the ways of working and the cautions in full) stands on the
front page. A sheet is set in several ways, roomy to tight, and the first that fits one page is printed; where none
does, the marks stand in a table that goes on over the next pages, and the sheet says so.
"""

from __future__ import annotations

from collections.abc import Sequence

from finishplan import wording
from finishplan.bench.columns import fitted, width_of
from finishplan.bench.places import NAME, Mark, ReadingSpot, names_words
from finishplan.bench.sheet import Sheet
from finishplan.bench.sheet_rules import four_stops_short, named
from finishplan.bench.sheet_text import runs, spots_words
from finishplan.paper import pdf_blocks as make
from finishplan.paper.lines import worth_drawing
from finishplan.paper.pdf_blocks import Block, Section, head_name
from finishplan.paper.sheets_drawing import Drawn, sheet_drawing
from finishplan.paper.sheets_stopped import nothing_blocks, stop_blocks
from finishplan.paper.sheets_work import ZONE, work_table
from finishplan.survey.job import Panel

HEIGHTS_PT = (170.0, 120.0, 88.0)
"""Heights of a drawing in points, roomy to tight."""
WIDTHS_PT = (270.0, 230.0, 190.0)
"""Widths of a drawing in points, with each height."""
LOW_PT = 70.0
"""Height of a drawing without places on it."""
BESIDE = 14
"""Marks that find room beside the drawing; more stand in a table of their own."""
NOTE = 60
"""Columns for what the surveyor wrote of a mark."""
FEW = 12
"""Marks that are named in a sentence; more are counted."""
SHORT_TITLE = 30
"""Columns of a title that leaves room for fields beside it."""
TIGHT = 2
"""The way of setting a sheet in which cautions stand by number only, and lines closer."""
MOST_TIGHT_PT = 145.0
"""Most height of a drawing in points in the tightest way, beside many marks."""
LINE_PT = 13.0
"""Height of a line of text beside a drawing, about."""
FIELDS = (("date", 1.0), ("who", 1.3), ("finisher", 1.3))
STOP_LABEL = "STOP, tool down, fetch the finisher:"

Common = frozenset[str]
"""What stands on the front page for all panels, and so not on each."""


def panel_section(sheet: Sheet, panel: Panel, common: Common = frozenset()) -> Section:
    """Return one panel's sheet, or why it must not be started; ``common`` is what the front page already says."""
    if sheet.state == "go":
        blocks = [make.fit(go_ways(sheet, panel, common))]
    else:
        body = stop_blocks(sheet) if sheet.state == "stop" else nothing_blocks(sheet)
        blocks = [panel_title(sheet), *body, *part_blocks(sheet, panel, 0), *names_in_full(panel),
                  *other_cautions(sheet)]
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
    line = f"{', '.join(what)}.{cut}"
    return make.head_line(sheet.panel, [line], FIELDS) if sheet.state == "go" else make.title(sheet.panel, line)


def go_ways(sheet: Sheet, panel: Panel, common: Common) -> list[list[Block]]:
    """Return the sheet of a panel that may be worked, set in several ways, roomy to tight."""
    if len(sheet.marks) > BESIDE:
        return [go_blocks(sheet, panel, common, 2, how=False)]
    return [go_blocks(sheet, panel, common, size, how) for size, how in ((0, True), (1, False), (2, False))]


def go_blocks(sheet: Sheet, panel: Panel, common: Common, size: int, how: bool) -> list[Block]:
    """Return one way of setting a sheet: how large the drawing is, and whether each row says how it is done."""
    not_here = [line for line in sheet.not_here if line not in common]
    many = len(sheet.marks) > BESIDE
    return [
        *([make.closer()] if size >= TIGHT else []),
        panel_title(sheet),
        make.numbered_line(STOP_LABEL, four_stops_short(sheet.build)),
        *part_blocks(sheet, panel, size),
        *([make.run_in("Not on this part", not_here)] if not_here else []),
        work_table(sheet, how),
        *caution_lines(sheet, named=size < TIGHT),
        *names_in_full(panel),
        *([make.heading(f"All {len(sheet.marks)} marks"), marks_table(sheet)] if many else []),
    ]


def part_blocks(sheet: Sheet, panel: Panel, size: int) -> list[Block]:
    """Return the drawing with its reading spots, tape and marks; many marks of a stopped panel in a table."""
    height = HEIGHTS_PT[size] if worth_drawing(panel) else LOW_PT
    beside = len(sheet.marks) <= BESIDE
    if size == TIGHT and beside:
        height = max(height, min(MOST_TIGHT_PT, LINE_PT * (len(sheet.marks) + 3)))
    drawn = sheet_drawing(panel, sheet, WIDTHS_PT[size], height)
    lines = part_lines(sheet, drawn, size)
    if beside:
        lines += [(mark.letter, mark_words(sheet, mark)) for mark in sheet.marks]
    elif sheet.state == "go":
        lines.append(("Marks", f"{len(sheet.marks)}: too many for one page, all in the table after the work, "
                               "which goes on over the next pages"))
    blocks = [make.drawing(drawn.svg, drawn.alt, drawn.width_pt, lines, True)]
    if not beside and sheet.state != "go":
        blocks.append(marks_table(sheet))
    return blocks


def part_lines(sheet: Sheet, drawn: Drawn, size: int) -> list[tuple[str, str]]:
    """Return what is said of the drawing, each with its label."""
    places = [spot.where for spot in sheet.spots] + [mark.where for mark in sheet.marks]
    lines = []
    if not drawn.to_scale:
        lines.append(("Drawing", "not to scale, the size is not given; mark places by hand"))
    if sheet.taped:
        lines.append(("Tape", f"hatched: {names_words(sheet.taped)}; on before the first sheet, off before the "
                              "first compound"))
    elif any("mm taped" in row.tape for row in sheet.rows):
        lines.append(("Tape", "hatched: the outer 15 to 20 mm, as each step says"))
    if sheet.spots:
        lines.append(("Read at", spots_drawn(sheet.spots) if size == TIGHT else spots_words(sheet.spots)))
    if any(where.startswith("(") for where in places):
        lines.append(("Places", f"(right, up) in {sheet.place_unit} from corner 0"))
    if drawn.without_room:
        lines.append(("Crowded", f"no room for the letters of {few(drawn.without_room)}: find them by place"))
    if drawn.without_place and len(sheet.marks) > BESIDE:
        lines.append(("No place", f"given for {few(drawn.without_place)}: look for them"))
    return lines + [("Note", note) for note in sheet.notes]


def spots_drawn(spots: Sequence[ReadingSpot]) -> str:
    """Return the reading spots by number, zone by zone: those with a place stand in the drawing."""
    parts = []
    for zone in dict.fromkeys(spot.zone for spot in spots):
        for words, here in (("as drawn", True), ("without a place", False)):
            numbers = [spot.number for spot in spots if spot.zone == zone and bool(spot.where) == here]
            if numbers:
                parts.append(f"{fitted(zone, ZONE)}: {runs(numbers)} {words}")
    return "; ".join(parts)


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


def caution_lines(sheet: Sheet, named: bool) -> list[Block]:
    """Return the cautions of a panel by id, ``named``: with the hazard; the front page has them in full."""
    said = []
    for severity in dict.fromkeys(caution.severity for caution in sheet.cautions):
        here = ", ".join(f"{c.id} {c.hazard}" if named else c.id for c in sheet.cautions if c.severity == severity)
        said.append(f"{severity.upper()} {here}")
    if sheet.cautions_by_id:
        said.append(f"{len(sheet.cautions_by_id)} more in the safety list")
    return [make.run_in("Cautions (see front page)", ["; ".join(said)])] if said else []


def other_cautions(sheet: Sheet) -> list[Block]:
    """Return how many cautions the job's safety list has, where this panel is not worked."""
    count = len(sheet.cautions) + len(sheet.cautions_by_id)
    return [make.text(f"The safety list of this job has {wording.counted(count, 'caution')}.")] if count else []


def names_in_full(panel: Panel) -> list[Block]:
    """Return the names of zones that are cut above, in full."""
    long = [zone.name for zone in panel.zones if width_of(zone.name) > ZONE]
    return [make.text(f"Names cut above, in full: {'; '.join(long)}.")] if long else []
