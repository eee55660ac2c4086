"""Parts bench sheets read back from paper: the front page, each panel's pages, and what each has to say."""

from __future__ import annotations

import re

from printed import plain

from finishplan import wording
from finishplan.bench.sheet import Sheet
from finishplan.bench.sheet_rules import four_stops_short


def in_sections(found: str, sheets: tuple[Sheet, ...]) -> list[str]:
    """The text of each panel's pages, then of the ten rules; the front page is taken off."""
    return front_and_parts(found, sheets)[1]


def front_and_parts(found: str, sheets: tuple[Sheet, ...]) -> tuple[str, list[str]]:
    """The text of the front page, empty where nothing is worked, and of each panel's pages and the ten rules."""
    pages, parts = [page for page in found.split("\f") if page], []
    for page in pages:
        if re.search(r"page 1 of \d+", page[:400]):
            parts.append(page)
        else:
            parts[-1] += " " + page
    front = parts.pop(0) if any(sheet.state == "go" for sheet in sheets) else ""
    assert not front or front.startswith("Front page")
    assert len(parts) == len(sheets) + 1, "one part a panel, and the ten rules"
    return front, parts


def told(sheet: Sheet) -> tuple[list[str], list[str]]:
    """What the front page has to say for a sheet, and what the sheet itself."""
    held = [sheet.panel, sheet.size, sheet.lies]
    if sheet.state != "go":
        return [], [*held, wording.counted(len(sheet.cautions_by_id) + len(sheet.cautions), "caution")]
    held += [c.id for c in sheet.cautions]
    held += [f"{len(sheet.cautions_by_id)} more in the safety list"] if sheet.cautions_by_id else []
    for row in sheet.rows:
        held += [row.step, row.done_when, row.direction, row.amount, f"about {wording.minutes_words(row.minutes)}",
                 row.stop_if.split("; or ")[-1], row.tape, *(tool for _, tool in row.by)]
        held += [{True: "WET", False: "DRY", None: ""}[row.wet], *row.takes_out]
    for work in sheet.local:
        held += [part for r in work.rows for part in (r.step, r.wait)] + [work.then]
        held += [f"LEAST {mark.least_um} um" for mark in work.marks]
    held += [hold.text.replace("_", "") for hold in sheet.holds]
    held += [f"LEAST {check.least_um} um" for check in sheet.checks]
    held += ["Done when you see", "Stop also if", *four_stops_short(sheet.build)]
    on_front = [*sheet.stops, *sheet.always, *(c.text for c in sheet.cautions), *(row.how for row in sheet.rows)]
    return on_front + [r.text.how for work in sheet.local for r in work.rows], held


def unbroken(words: str) -> str:
    """Words without the ends of lines at a hyphen, in small letters."""
    return plain(words).casefold().replace("- ", "-")
