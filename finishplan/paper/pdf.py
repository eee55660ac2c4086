"""Documents to PDF: tagged (PDF/UA-1), with fonts carried, and the same bytes for the same document.

Text goes to the typesetter as data, never as its markup; the layouts stand beside this file.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from finishplan.errors import FinishplanError, UnknownName
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf_blocks import Block, Document
from finishplan.paper.pdf_fonts import FAMILIES, MissingLetter, Printer, font_folders

if TYPE_CHECKING:
    from typst import Fonts

PAPERS = {"A4": "a4", "Letter": "us-letter"}
"""Papers by name, as the typesetter calls them."""
SHEETS = "sheets.typ"
"""The layout of the bench's pages."""
STANDARD: Literal["ua-1"] = "ua-1"
"""PDF/UA-1 (ISO 14289-1): tagged, with a title, a language and words for every drawing."""
NOT_SHOWN = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
TRIES = 8
"""How often a page is set anew because a letter that a font has could not be shown where it stands."""
Printed = TypeVar("Printed")
RAW = ("is", "svg")
"""Keys of a block whose text is not printed as such."""


class PaperError(FinishplanError):
    """A page that could not be set."""


def pdf_of(document: Document, paper: str = "A4", layout: str = SHEETS) -> bytes:
    """Return a document as PDF on ``paper``; ``layout`` is the file that lays its blocks out.

    Raises UnknownName for a paper that is not listed and PaperError where the page cannot be set.
    """
    return tried(document, paper, lambda data: set_pages(data, layout))


def pages_svg(document: Document, paper: str = "A4", layout: str = SHEETS) -> tuple[str, ...]:
    """Return the pages of a document as drawings, as ``pdf_of`` prints them; raises what it raises."""
    return tried(document, paper, lambda data: drawn_pages(data, layout))


def tried(document: Document, paper: str, press: Callable[[dict[str, Any]], Printed]) -> Printed:
    """Return what ``press`` makes of a document, letters that cannot be shown in their place set as codes."""
    if paper not in PAPERS:
        raise UnknownName("paper", paper, PAPERS)
    lost: set[str] = set()
    for _ in range(TRIES):
        try:
            return press(page_data(document, paper, lost)[0])
        except NotShown as error:
            if not set(str(error)) - lost:
                break
            lost |= set(str(error))
    raise PaperError(f"the page cannot be set: letters {''.join(sorted(lost))!r} cannot be shown; type that text anew")


class NotShown(Exception):
    """Letters that the typesetter could not show in their place; the text is the letters."""


def missing_in(document: Document) -> tuple[MissingLetter, ...]:
    """Return the letters of a document that no font here has, each once."""
    return page_data(document, "A4", set())[1]


def page_data(document: Document, paper: str, lost: set[str]) -> tuple[dict[str, Any], tuple[MissingLetter, ...]]:
    """Return a document as the layout reads it, and the letters that are printed as codes."""
    missing: dict[str, MissingLetter] = {}
    sections = []
    for section in document.sections:
        printer = Printer(lost)
        blocks = printable(section.blocks, printer)  # before the head, where names are cut
        found = printable(asdict(section) | {"blocks": []}, printer) | {"blocks": blocks}
        if printer.missing:
            found["blocks"] += [printable(block, Printer()) for block in told(printer)]
            missing = {**printer.missing, **missing}
        sections.append(found | {"revision": make.revision_words(document.revision)})
    data = {"title": Printer(lost).text(document.title), "fonts": list(FAMILIES), "paper": PAPERS[paper],
            "sections": sections}
    return data, tuple(missing.values())


def told(printer: Printer) -> list[Block]:
    """Return the note on letters that are printed as codes."""
    names = ", ".join(letter.named for letter in printer.missing.values())
    return [make.text(f"Letters that no font here has are printed as their codes: {names}.")]


def printable(value: Any, printer: Printer) -> Any:
    """Return plain data with every text made printable, drawings and names of blocks excepted."""
    if isinstance(value, str):
        return printer.text(value)
    if isinstance(value, dict):
        return {key: part if key in RAW else printable(part, printer) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [printable(part, printer) for part in value]
    return value


def set_pages(data: dict[str, Any], layout: str = SHEETS) -> bytes:
    """Return the pages as PDF. Raises NotShown for letters without a shape, PaperError for anything else."""
    found = pressed(data, layout, format="pdf", pdf_standards=[STANDARD])
    assert isinstance(found, bytes)
    return found


def drawn_pages(data: dict[str, Any], layout: str) -> tuple[str, ...]:
    """Return the pages as SVG text, a drawing a page; raises as ``set_pages``."""
    found = pressed(data, layout, format="svg")
    return tuple(page.decode() for page in (found if isinstance(found, list) else [found]))


def pressed(data: dict[str, Any], layout: str, **kind: Any) -> Any:
    """Return what the typesetter makes of the pages. Raises NotShown and PaperError."""
    import typst

    compiler = typst.Compiler(font_paths=fonts(), ignore_system_fonts=True)
    try:
        return compiler.compile(layout_of(layout), sys_inputs={"doc": json.dumps(data, ensure_ascii=False)}, **kind)
    except typst.TypstError as error:
        shown = NOT_SHOWN.search(error.message)
        if shown:
            raise NotShown("".join(c for c in shown[1] if not c.isascii())) from None
        raise PaperError(f"the page cannot be set ({error.message}); please report this") from None


@cache
def fonts() -> Fonts:
    """Return the fonts, read once."""
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False,
                       font_paths=[str(folder) for folder in font_folders()])


@cache
def layout_of(name: str) -> bytes:
    """Return a layout of pages by its file name."""
    return (Path(__file__).parent / name).read_bytes()
