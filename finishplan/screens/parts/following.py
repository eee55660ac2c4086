"""What follows along on the survey: the plan's first line, the film of the zone, what is missing, the next reading.

The page of an edit is written without them. Once it is there the browser looks back, and only then is the plan worked
out, and this part alone written again: nothing of it can hold up the page, or write over what is being typed.
"""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from finishplan.paper import survey_words
from finishplan.paper.survey_words import Standing
from finishplan.records.kept import Opened
from finishplan.screens.parts import guard, kept
from finishplan.screens.parts.box import box
from finishplan.screens.parts.look_again import look_again
from finishplan.screens.parts.markup import items, p, put
from finishplan.screens.parts.standing import Following, work
from finishplan.survey.job import Job

STANDING = "survey standing"
WAITING = "Working out which reading to take next."
PLANNING = "Working out what that changes."
FIRST = "Working out the plan."
OPEN_S, WAIT_S = 0.5, 0.0
"""How long a page waits for its plan: that of a job just opened a little, so that nothing moves under a thumb when it
comes; that of an edit not at all."""
SOON_MS, AGAIN_MS, REST_MS = 20, 250, 600
"""When the browser looks back: as soon as the page is written, while something is worked out, and when nothing was
typed for a while, for the next reading."""
LOOK_S = 0.2
"""How long a look waits for what is nearly ready; an edit made meanwhile waits as long."""


@dataclass(frozen=True)
class Places:
    """Where on the page it shows: at its head, under the zone, at its end; and the zone that is being surveyed."""

    head: DeltaGenerator
    film: DeltaGenerator
    odd: DeltaGenerator
    panel: str
    zone: str


def follow(held: Following, places: Places) -> None:
    """Write what follows along of a revision at ``places``.

    Call it outside of all containers: a fragment that is interrupted leaves the next page inside the container in
    which it was called.
    """
    st.fragment(_write)(held, places)


def asked(opened: Opened, job: Job) -> Following:
    """Return what is known of a job as it stands, or begin with it; wait a little for the plan of one just opened."""
    shop = kept.shop_now()
    key, held = (opened.id, opened.revision, shop.revision), st.session_state.get(STANDING)
    if not isinstance(held, Following) or held.key != key:
        before = held.last() if isinstance(held, Following) and held.key[0] == opened.id else None
        held = st.session_state[STANDING] = Following(key, job, shop.profile, before)
    wait_s = WAIT_S if held.before else WAIT_S or OPEN_S
    if wait_s and held.told is None:
        work(held, wait_s)
    return held


def _write(held: Following, places: Places) -> None:
    try:
        known = held.standing()
    except Exception as error:
        with places.head:
            guard.show(guard.said(error))
        return
    shown, old = known or held.before, "" if known else " quiet"
    with places.film, st.container(key="film_line"):
        if shown is not None:
            zone = next(z for x in held.job.panels for z in x.zones if (x.name, z.name) == (places.panel, places.zone))
            put("", p(survey_words.film_line(zone, shown.zone(places.panel, places.zone)), old.strip()))
    with places.odd, st.container(key="all_missing"):
        if shown is not None:
            _all_missing(shown)
    with places.head, st.container(key="follows", gap="small"):
        # Both lines have their room from the start: nothing may move under a thumb when they come.
        put("fp-standing", p(shown.first_line if shown else FIRST, f"first{old}"),
            p(survey_words.missing_line(shown.missing) if shown else "\u00a0", f"missing{old}"))
        _coming(held, known)


def _coming(held: Following, known: Standing | None) -> None:
    """Write the next reading, or that something is being worked out, and have the browser look again."""
    if held.next is not None and held.next.done():
        put("fp-standing fp-next", p(_said(held.next)))
        return
    put("fp-standing fp-next", p(WAITING if known else PLANNING if held.before else "", "quiet"))
    begun = held.told if known is None else held.next
    look_again("following_look", SOON_MS if held.told is None else AGAIN_MS if begun else REST_MS,
               guard.callback(partial(work, held, LOOK_S)))


def _said(told: Future[str]) -> str:
    error = None if told.cancelled() else told.exception()
    return guard.said(error) if isinstance(error, Exception) else "" if told.cancelled() else told.result()


def _all_missing(shown: Standing) -> None:
    """Write, closed, everything that is missing or odd, in walking order."""
    if len(shown.missing) > 1:
        box("All that is missing or odd", "missing_open",
            lambda: put("fp-notes", items(f"<li>{p(line)}</li>" for line in shown.missing)))
