"""The sheet of a panel that must not be started, or on which nothing is done."""

from __future__ import annotations

from finishplan import wording
from finishplan.bench.columns import fitted
from finishplan.bench.places import NAME
from finishplan.bench.sheet import Sheet, ZoneStop
from finishplan.bench.sheet_text import runs
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf_blocks import Block


def stop_blocks(sheet: Sheet) -> list[Block]:
    """Return DO NOT START, why, and what has to be done first."""
    blocks = [make.do_not_start("No step of this part is printed, and nothing is sanded, buffed or filled on it.")]
    for zone in sheet.zones:
        blocks += zone_blocks(zone)
    return blocks


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


def nothing_blocks(sheet: Sheet) -> list[Block]:
    """Return that nothing is done on a panel."""
    blocks = [make.strong("Nothing to do on this part."),
              make.text("No sheet, no compound, no fill. Keep dust, water and compound of the other parts off it.")]
    if any(mark.repair == "clean" for mark in sheet.marks):
        blocks.append(make.text("Clean only: see the marks below; then show the finisher what is under it."))
    return blocks
