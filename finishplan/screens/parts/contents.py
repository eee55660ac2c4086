"""The short list of what stands on the Plan page, each entry a link to its place."""

from __future__ import annotations

from finishplan.screens.parts.markup import h, to

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


def contents() -> str:
    """Return the links to all places."""
    links = "".join(to(f"plan-{place}", words) for place, words in PLACES.items())
    return f'<nav class="fp-contents" aria-label="On this page">{links}</nav>'
