"""What a printed page is built of: small blocks of plain data that ``sheets.typ`` lays out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from finishplan import wording
from finishplan.bench.columns import fitted
from finishplan.paper.theme import PAPER, mark_svg, svg

Block = dict[str, Any]
Cell = str | dict[str, Any]

TICK: Cell = {"is": "tick"}
"""An empty box to tick."""
BLANK: Cell = {"is": "blank"}
"""Room to write in."""

HEAD_COLUMNS = 58
"""Columns for job and panel in the head of a page."""


@dataclass(frozen=True)
class Section:
    """A part of the document with its own head and page count; it starts on a new page."""

    what: str
    """Kind of page, as in "Bench sheet"."""
    name: str
    """Job and panel."""
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Document:
    """A whole document: its title, the revision of the job that it shows, and its sections."""

    title: str
    revision: int | str | None
    sections: tuple[Section, ...]


def head_name(job: str, panel: str = "") -> str:
    """Return job and panel as the head of a page names them, each cut with "..." where too long.

    >>> head_name("Grand, lid", "lid top")
    'Grand, lid / lid top'
    """
    if not panel:
        return fitted(job, HEAD_COLUMNS)
    return f"{fitted(job, HEAD_COLUMNS // 2)} / {fitted(panel, HEAD_COLUMNS // 2 - 3)}"


def revision_words(revision: int | str | None) -> str:
    """Return the revision as the head of a page names it; a line to fill in where none is known.

    An empty text: there is nothing to say of one.

    >>> revision_words(7), revision_words(None), revision_words("")
    ('revision 7', 'revision ____', '')
    """
    if revision == "":
        return ""
    return "revision ____" if revision is None else f"revision {fitted(str(revision), 12)}"


def title(text: str, *lines: str) -> Block:
    """Return the title of a section with the lines under it."""
    return {"is": "title", "text": text, "lines": [line for line in lines if line]}


def heading(text: str) -> Block:
    """Return a heading."""
    return {"is": "heading", "text": text}


def head_line(text: str, lines: Iterable[str], fields: Iterable[tuple[str, float]]) -> Block:
    """Return the title of a sheet with fields to fill in beside it, and the lines under it."""
    return {"is": "head line", "text": text, "lines": list(lines), "fields": [list(field) for field in fields]}


def run_in(label: str, words: Iterable[str]) -> Block:
    """Return short sentences as one paragraph behind a label in bold."""
    return {"is": "run in", "label": label, "items": list(words)}


def numbered_line(label: str, words: Iterable[str]) -> Block:
    """Return a framed line with a label and its points by number."""
    return {"is": "numbered line", "label": label, "items": list(words)}


def fit(ways: Sequence[Sequence[Block]]) -> Block:
    """Return one section set in several ways, the roomiest first: the first that fits one page is printed.

    Where none does, the last is printed over as many pages as it takes.
    """
    return {"is": "fit", "ways": [list(way) for way in ways]}


def largest(blocks: Iterable[Block], sizes_pt: Sequence[float]) -> Block:
    """Return blocks in the first of ``sizes_pt``, the largest first, in which they fit one page; else in the last."""
    return {"is": "largest", "blocks": list(blocks), "sizes": list(sizes_pt)}


def text(words: str) -> Block:
    """Return a paragraph."""
    return {"is": "text", "text": words}


def strong(words: str) -> Block:
    """Return a paragraph in bold."""
    return {"is": "strong", "text": words}


def items(words: Iterable[str]) -> Block:
    """Return a list."""
    return {"is": "items", "items": list(words)}


def two_lists(first: tuple[str, Iterable[str]], second: tuple[str, Iterable[str]]) -> Block:
    """Return two lists with their headings, side by side."""
    return {"is": "two lists", "lists": [{"head": head, "items": list(words)} for head, words in (first, second)]}


def wall(words: Iterable[str]) -> Block:
    """Return a numbered list in print to be read from afar."""
    return {"is": "wall", "items": list(words)}


def group(blocks: Iterable[Block]) -> Block:
    """Return blocks that stay on one page; only for what a page can hold."""
    return {"is": "group", "blocks": list(blocks)}


def stops(head: str, words: Iterable[str]) -> Block:
    """Return the framed signs at which work stops."""
    return {"is": "stops", "text": head, "items": list(words)}


def notice(label: str, words: str) -> Block:
    """Return a framed sentence behind a label in bold."""
    return {"is": "notice", "label": label, "text": words}


def do_not_start(under: str) -> Block:
    """Return the large frame that bars a panel."""
    return {"is": "do not start", "text": "DO NOT START", "under": under}


def hold(words: str) -> Block:
    """Return a hold point with its box and a line to sign."""
    return {"is": "hold", "text": words}


def reading(zone: str, where: str, least_um: int, boxes: int = 3) -> dict[str, Any]:
    """Return one film reading: its zone, where it is read, the least figure, and boxes to write in."""
    return {"zone": zone, "at": where, "least": str(least_um), "boxes": boxes}


def readings(moment: str, cells: Sequence[Mapping[str, Any]]) -> Block:
    """Return the film readings of one moment."""
    return {"is": "readings", "moment": moment, "cells": [dict(cell) for cell in cells]}


def read_and_hold(read: Block, held: Block) -> Block:
    """Return one film reading and a hold point on one line."""
    return {"is": "read and hold", "moment": read["moment"], "cells": read["cells"], "text": held["text"]}


def gates(rows: Iterable[Block]) -> Block:
    """Return holds and readings one under the other, in one frame."""
    return {"is": "gates", "rows": list(rows)}


def step(number: str, name: str, facts: Iterable[str], how: str, done: str, stop: str, strip: str) -> Block:
    """Return one row of a table of steps; ``strip`` is what is counted in the line to fill in."""
    return {"is": "step", "number": number, "step": name, "facts": [fact for fact in facts if fact],
            "how": how, "done": done, "stop": stop, "strip": strip}


def wide_step(number: str, name: str, facts: Iterable[str], warning: str, how: str, done: str, stop: str,
              strip: str) -> Block:
    """Return one row of a table of steps whose words run over all its columns, ``warning`` first and in bold."""
    return {"is": "wide step", "number": number, "step": name, "facts": [fact for fact in facts if fact],
            "warning": warning, "how": how, "done": done, "stop": stop, "strip": strip}


def closer() -> Block:
    """Return that the lines of this way of setting stand closer."""
    return {"is": "closer"}


def note(words: str) -> Block:
    """Return a row of a table of steps that only says something."""
    return {"is": "note", "text": words}


def steps(rows: Iterable[Block], stop_head: str) -> Block:
    """Return a table of steps with readings, holds and notes between them."""
    return {"is": "steps", "rows": list(rows), "stop_head": stop_head}


def table(header: Sequence[str], widths: Sequence[float], rows: Iterable[Sequence[Cell]]) -> Block:
    """Return a table; widths are shares of the line, 0 as wide as the words need."""
    return {"is": "table", "header": list(header), "widths": list(widths), "rows": [list(row) for row in rows]}


def bold(words: str) -> Cell:
    """Return a cell in bold."""
    return {"is": "bold", "text": words}


def verdict_svg(verdict: str, last_service: bool = False) -> tuple[str, str]:
    """Return a verdict's shape as a drawing of its own, and its word."""
    mark = wording.mark_of(verdict, last_service)
    shape = mark_svg(mark.shape, mark.fill, 8, 8, 13, PAPER.ink, PAPER.ground)
    return svg(16, 16, mark.word, mark.word, [shape]), mark.word


def verdict_cell(verdict: str, last_service: bool = False) -> Cell:
    """Return a cell with a verdict as shape, fill and word."""
    drawn, word = verdict_svg(verdict, last_service)
    return {"is": "verdict", "svg": drawn, "text": word}


def verdict_heading(verdict: str, words: str) -> Block:
    """Return a heading with a verdict's shape before its words."""
    return {"is": "verdict", "svg": verdict_svg(verdict)[0], "text": words}


def large(words: str) -> Cell:
    """Return a cell in large print."""
    return {"is": "large", "text": words}


def accept_line() -> Block:
    """Return the line on which a panel is accepted or not, to tick and sign."""
    return {"is": "accept"}


def drawing(picture: str, alt: str, width_pt: float, lines: Iterable[tuple[str, str]], beside: bool) -> Block:
    """Return a drawing with lines of a label and its words, beside it or under it."""
    return {"is": "drawing", "svg": picture, "alt": alt, "width": width_pt, "beside": beside,
            "lines": [list(line) for line in lines]}


def sign(*fields: tuple[str, float]) -> Block:
    """Return a line of fields to fill in by hand, each with its share of the width."""
    return {"is": "sign", "fields": [list(field) for field in fields]}


def boxes(words: str, count: int) -> Block:
    """Return a line of words with boxes to write readings in."""
    return {"is": "boxes", "text": words, "count": count}


def room(words: str, height_mm: float) -> Block:
    """Return a framed space to write in."""
    return {"is": "room", "text": words, "mm": height_mm}


def cautions(found: Iterable[Mapping[str, str]]) -> Block:
    """Return cautions in full: id, severity, text."""
    return {"is": "cautions", "items": [dict(caution) for caution in found]}
