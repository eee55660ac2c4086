"""Small pieces of HTML whose words are always escaped."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Sequence
from html import escape

import streamlit as st

from finishplan.paper.theme import SCREEN, mark_svg, style
from finishplan.wording import Mark


def put(kind: str, *pieces: str) -> None:
    """Write one block of HTML; ``kind`` is its class in the look."""
    st.html(f'<div class="fp {kind}">{"".join(pieces)}</div>')


def p(words: str, kind: str = "") -> str:
    """Return a paragraph; ``kind`` is its class."""
    return f'<p class="{kind}">{escape(words)}</p>' if words else ""


def literal(words: str) -> str:
    """Return words for a label that would else be read as markup: they show as they are typed."""
    return "".join(f"\\{letter}" if letter in "\\`*_{}[]()#+-.!|<>$~:" else letter for letter in words)


def h(level: int, words: str, place: str = "") -> str:
    """Return a heading; ``place`` is the name that ``to`` leads to."""
    held = f' id="{escape(place, quote=True)}"' if place else ""
    return f"<h{level}{held}>{escape(words)}</h{level}>"


def to(place: str, words: str) -> str:
    """Return a link to a heading of the same page."""
    return f'<a href="#{escape(place, quote=True)}">{escape(words)}</a>'


def more(head: str, *pieces: str) -> str:
    """Return pieces of HTML that stand closed under ``head`` until they are wanted."""
    return f"<details><summary>{head}</summary>{''.join(pieces)}</details>"


def items(entries: Iterable[str], tag: str = "ul") -> str:
    """Return a list of entries that are HTML already."""
    return f"<{tag}>{''.join(entries)}</{tag}>"


def mark(shown: Mark) -> str:
    """Return a verdict's shape; the word stands beside it, so the shape is silent."""
    shape = mark_svg(shown.shape, shown.fill, 10, 10, 15, SCREEN.ink, SCREEN.ground)
    drawn = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20">{style(SCREEN)}{shape}</svg>'
    return picture(drawn, "", "mark")


def picture(svg: str, says: str, kind: str = "figure") -> str:
    """Return a drawing as an image inside the page; ``says`` is what a screen reader reads out.

    The page's own sanitiser drops inline SVG, so it travels as a data address: still no request.
    """
    held = b64encode(svg.encode()).decode()
    return f'<img class="{kind}" alt="{escape(says, quote=True)}" src="data:image/svg+xml;base64,{held}">'


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = (),
          total: Sequence[str] | None = None) -> str:
    """Return a table of words; columns in ``numbers`` stand at the right, ``total`` closes it."""

    def cells(tag: str, row: Sequence[str]) -> str:
        return "".join(
            f'<{tag}{" class=num" if k in numbers else ""}{" scope=col" if tag == "th" else ""}>'
            f"{escape(word)}</{tag}>"
            for k, word in enumerate(row)
        )

    body = "".join(f"<tr>{cells('td', row)}</tr>" for row in rows)
    foot = f'<tr class="sum">{cells("td", total)}</tr>' if total else ""
    return (f"<table><caption>{escape(caption)}</caption><thead><tr>{cells('th', heads)}</tr></thead>"
            f"<tbody>{body}{foot}</tbody></table>")
