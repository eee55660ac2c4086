"""The short list of what stands on the Plan page, each entry a link to its place."""

from __future__ import annotations

from html import escape

from finishplan.screens.parts.markup import h, put, to

PLACES = {
    "asked": "What is asked for",
    "limits": "The two limits that make this plan",
    "less": "What asking less would buy",
    "sure": "How sure this is",
    "time": "Time",
    "materials": "Materials",
    "cautions": "Cautions",
    "notes": "Notes",
    "numbers": "Where the numbers come from",
}
"""Headings of the page in their order, by the place that a link leads to; the panels stand before, by name."""


def head(place: str) -> str:
    """Return the heading of a place."""
    return h(2, PLACES[place], f"plan-{place}")


def contents() -> None:
    """Write the links to all places."""
    links = "".join(f"<li>{to(f'plan-{place}', words)}</li>" for place, words in PLACES.items())
    put("", f'<nav class="fp-contents" aria-label="{escape("On this page", quote=True)}"><ul>{links}</ul></nav>')


def to_numbers(words: str) -> str:
    """Return a link to where the numbers come from."""
    return f'<p class="fp-onward">{to("plan-numbers", words)}</p>'
