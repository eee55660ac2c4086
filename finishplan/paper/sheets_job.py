"""The whole-job sheet for the finisher: every panel grade by grade, who does what, readings, hold points."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from finishplan import wording
from finishplan.bench.checks import BEFORE_ALL, CheckReading
from finishplan.bench.columns import fitted
from finishplan.bench.local_work import LocalWork
from finishplan.bench.sheet import Row, Sheet, sheets_of
from finishplan.bench.sheet_text import runs
from finishplan.paper import pdf_blocks as make
from finishplan.paper.lines import first_line, panel_verdict, rests_on
from finishplan.paper.pdf_blocks import Block, Cell, Section, head_name
from finishplan.paper.sheets_marks import marks_words
from finishplan.planning.result import PanelPlan
from finishplan.workup import Answer

PANEL = 40
"""Columns for a panel's name in a table."""
COLD = "cold"
BEFORE_COMPOUND = "before compound"
LEVELLED = "levelled"


def job_section(answer: Answer, last: str = "") -> Section:
    """Return the whole-job sheet; ``last`` is said at its end."""
    sheets = sheets_of(answer)
    going = [sheet for sheet in sheets if sheet.state == "go"]
    blocks = [
        make.title(answer.job.title, first_line(answer.plan, answer.labour_minutes), rests_on(answer.job, answer.plan)),
        make.sign(("finisher", 1.5), ("from", 1), ("to", 1)),
        make.heading("Panels"), panels_table(answer),
        *stopped_blocks(answer),
        *([make.heading("Notes"), make.items(answer.notes)] if answer.notes else []),
    ]
    if going:
        blocks += [*before_blocks(going), *local_blocks(going), *step_blocks(answer, going), *end_blocks(going)]
    blocks += [make.heading("Around the panels"), around_table(answer),
               *([make.text(last)] if last else [])]
    return Section("Whole job", head_name(answer.job.title), tuple(blocks))


def panels_table(answer: Answer) -> Block:
    """Return all panels with verdict, worker and first step."""
    rows: list[list[Cell]] = []
    for number, panel in enumerate(answer.plan.panels, start=1):
        verdict = panel_verdict(panel)
        works = verdict == "go" and panel.minutes > 0
        last = any(zone.last_service for zone in panel.zones)
        starts = wording.step_short(panel.steps[0].step) if panel.steps else "no step"
        rows.append([
            str(number), make.bold(fitted(panel.name, PANEL)), make.verdict_cell(verdict, last),
            panel.worker if works else wording.DASH, starts if verdict == "go" else wording.DASH,
            lies(panel), wording.minutes_words(panel.minutes) if works else wording.DASH,
        ])
    return make.table(("", "Panel", "Verdict", "Who", "Starts with", "Lies", "About"),
                      (0, 1.6, 1.3, 0, 0, 1.5, 0), rows)


def lies(panel: PanelPlan) -> str:
    """Return how a panel lies."""
    return f"{'off' if panel.off else 'on the instrument'}, {'stands' if panel.position == 'upright' else 'flat'}"


def stopped_blocks(answer: Answer) -> list[Block]:
    """Return why panels must not be started, zone by zone."""
    said = []
    for panel in answer.plan.panels:
        for zone in panel.zones:
            if zone.verdict != "go":
                why = "; ".join(zone.reasons)
                fits = f" Would fit: {wording.listed(zone.would_fit, 'or')}." if zone.would_fit else ""
                said.append(f"{fitted(panel.name, PANEL)}, {fitted(zone.name, PANEL)}: "
                            f"{zone.verdict}{f', {why}' if why else ''}.{fits}")
    return [make.heading("Do not start"), make.items(said)] if said else []


def before_blocks(sheets: Sequence[Sheet]) -> list[Block]:
    """Return the hold points before any work, once, and the least readings of the whole job in one table."""
    holds = dict.fromkeys(hold.text for sheet in sheets for hold in sheet.holds if hold.after == BEFORE_ALL)
    return [
        make.heading("Before anything is worked"), make.gates(make.hold(text) for text in holds),
        make.heading("Least readings, um"),
        make.text("A reading under its figure: read twice more beside it, then stop and plan anew. The boxes to write "
                  "in stand on each panel's own sheet."),
        least_table(sheets),
    ]


def least_table(sheets: Sequence[Sheet]) -> Block:
    """Return the least readings of every zone at its three moments."""
    rows = []
    for sheet in sheets:
        zones = dict.fromkeys(check.zone for check in sheet.checks)
        for at, zone in enumerate(zones):
            here = {check.moment: check for check in sheet.checks if check.zone == zone}
            after = here.get("levelled")
            rows.append([
                make.bold(fitted(sheet.panel, PANEL)) if at == 0 else "", fitted(zone, PANEL), spots(here.values()),
                least_cell(here.get("before")), least_cell(after),
                "" if after is None else wording.step_short(sheet.rows[after.after - 1].step),
                least_cell(here.get("end")),
            ])
    return make.table(("Panel", "Zone", "At", "Before", "Levelled", "after", "End"), (1.5, 1, 1, 0, 0, 0.7, 0), rows)


def spots(checks: Iterable[CheckReading]) -> str:
    """Return where a zone is read."""
    return runs(next(iter(checks)).spots) or "3 places"


def least_cell(check: CheckReading | None) -> Cell:
    """Return a least reading in large print, or a dash where nothing is read at that moment."""
    return wording.DASH if check is None else make.large(str(check.least_um))


def local_blocks(sheets: Sequence[Sheet]) -> list[Block]:
    """Return fills and spots of all panels: fills first, for they have to stand."""
    blocks = []
    for repair, head in (("fill", "Fills first: they have to stand"), ("spot", "Spots")):
        rows = [local_row(sheet, work) for sheet in sheets for work in sheet.local if work.repair == repair]
        if rows:
            blocks += [make.heading(head), make.table(
                ("", "Panel", "Who", "Marks", "With", "Waits", "About"), (0, 1.3, 0, 1.4, 1.2, 1.2, 0), rows)]
    return blocks


def local_row(sheet: Sheet, work: LocalWork) -> list[Cell]:
    """Return one piece of local work of one panel."""
    marks = marks_words((mark.letter, mark.words) for mark in work.marks)
    waits = wording.listed(dict.fromkeys(f"{row.step} {row.wait}" for row in work.rows if row.wait))
    sheets = [row.step for row in work.rows if row.wet is not None]
    return [make.TICK, make.bold(fitted(sheet.panel, PANEL)), sheet.worker, f"{fitted(work.zone, PANEL)}: {marks}",
            ", ".join(sheets), waits or wording.DASH, wording.minutes_words(work.minutes)]


def step_blocks(answer: Answer, sheets: Sequence[Sheet]) -> list[Block]:
    """Return every grade and compound over all panels, coarse to fine, with the wash-down between."""
    blocks: list[Block] = []
    washed = False
    for step in answer.profile.steps:
        rows = [(sheet, row) for sheet in sheets for row in sheet.rows if row.step == step.name]
        if not rows:
            continue
        if not step.is_sheet and not washed:
            washed = True
            blocks += wash_down(sheets)
        wet = f", {'wet' if step.wet else 'dry'}" if step.is_sheet else ""
        minutes = wording.minutes_words(sum(row.minutes for _, row in rows) + step.change_min)
        name = f"{step.name[:1].upper()}{step.name[1:]}{wet}"
        blocks += [make.heading(f"{name}: about {minutes} over all panels, change included"),
                   make.table(("", "Panel", "Who", "How", "About", "Then", "Signed"), (0, 1.2, 0, 1.8, 0, 1.6, 0.8),
                              [step_row(sheet, row) for sheet, row in rows])]
    return blocks


def wash_down(sheets: Sequence[Sheet]) -> list[Block]:
    """Return the hold point between the last sheet and the first compound of the job, once."""
    texts = dict.fromkeys(h.text for sheet in sheets for h in sheet.holds if h.key == BEFORE_COMPOUND)
    return [make.heading("Before the first compound"), make.gates(make.hold(text) for text in texts)] if texts else []


def step_row(sheet: Sheet, row: Row) -> list[Cell]:
    """Return one step of one panel, with what is read and signed after it."""
    then = [f"read {fitted(c.zone, PANEL)}" for c in sheet.checks if c.after == row.number]
    held = any(h.after == row.number and h.key == LEVELLED for h in sheet.holds)
    how = f"{tool_words(row)}; {row.direction}" + (f"; {row.tape}" if row.tape else "")
    signed: Cell = make.BLANK if held else wording.DASH
    return [make.TICK, make.bold(fitted(sheet.panel, PANEL)), sheet.worker, how, wording.minutes_words(row.minutes),
            "; ".join([*then, *(["HOLD, finisher signs"] if held else [])]) or wording.DASH, signed]


def tool_words(row: Row) -> str:
    """Return the tools of a step with the zones that each is used on."""
    zones: dict[str, list[str]] = {}
    for zone, tool in row.by:
        zones.setdefault(tool, []).append(fitted(zone, PANEL))
    return "; ".join(f"{tool}: {wording.listed(names)}" for tool, names in zones.items())


def end_blocks(sheets: Sequence[Sheet]) -> list[Block]:
    """Return the hold point of the next day, once."""
    texts = dict.fromkeys(h.text for sheet in sheets for h in sheet.holds if h.key == COLD)
    return [make.heading("Next day"), make.gates(make.hold(text) for text in texts)]


def around_table(answer: Answer) -> Block:
    """Return the work that is not at one panel: allowances, hardware, supervision, with who and how long."""
    rows: list[list[Any]] = [
        [make.TICK, line.what, f"{line.role}, {line.people} people" if line.people > 1 else line.role,
         wording.minutes_words(line.minutes)]
        for line in answer.labour if line.group != "plan"
    ]
    return make.table(("", "What", "Who", "About, person-minutes"), (0, 2, 1, 1), rows)
