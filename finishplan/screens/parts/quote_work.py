"""The quote of the open job, worked out once a revision, day and shop; how far it is shows when it takes over 1 s."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.office.quote import Quote
from finishplan.office.quote_work import is_long, without_past_due, work_up_quote
from finishplan.records.files import demo_shop_path, read_shop_bytes
from finishplan.records.kept import Opened
from finishplan.screens.parts import kept
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job

MADE, SHOP, STOPPED = "quote made", "quote shop", "quote stopped"
STOPPED_WORDS = "Stopped: this quote is not worked out. All that was typed is kept."
Key = tuple[str, int, int, date]


@dataclass(frozen=True)
class Made:
    """A quote as the page shows it, and what it was made of: job, revision of job and shop, and the day."""

    key: Key
    quote: Quote
    all_go: bool

    def numbered(self, number: str, revision: int) -> Quote:
        """Return the same quote under a number."""
        return replace(self.quote, number=number, revision=revision)


def today() -> date:
    """Return the day at this machine."""
    return kept.now().astimezone().date()


def is_demo(body: Mapping[str, Any]) -> bool:
    """Tell whether a job is the demo, which is quoted with the demo shop's invented prices where ours says nothing."""
    return (body.get("instrument") or {}).get("id") == kept.DEMO_ID


def profile_for(body: Mapping[str, Any]) -> Profile:
    """Return the shop that a job is quoted in."""
    ours = kept.shop_now()
    if not is_demo(body):
        return ours.profile
    held = st.session_state.get(SHOP)
    if held is None or held[0] != ours.revision:
        under = read_shop_bytes(demo_shop_path().read_bytes(), demo_shop_path().name)
        over = {name: value for name, value in kept.store().shop(kept.who(), kept.now()).body.items() if value}
        held = (ours.revision, apply_shop(default_profile(), {**under, **over}))
        st.session_state[SHOP] = held
    profile: Profile = held[1]
    return profile


def made_of(opened: Opened, job: Job, place: Any) -> tuple[Made | None, str]:
    """Return the quote of the open job, or None, and what is wrong with due date or terms; shows the work in ``place``.

    A due date that is past does not keep a quote from being made. Work that was stopped is not taken up by itself.
    """
    job, late = without_past_due(job, today())
    key = (opened.id, opened.revision, kept.shop_now().revision, today())
    found = st.session_state.get(MADE)
    if found is None or found.key != key:
        if st.session_state.get(STOPPED) == key:
            return None, STOPPED_WORDS
        try:
            found = Made(key, *work_up_quote(job, profile_for(opened.body), today(), told=Telling(key, place).told))
        except FinishplanError as error:
            return None, str(error)
        finally:
            place.empty()
        st.session_state[MADE] = found
    return found, late


@dataclass
class Telling:
    """Shows how far the work is, with a button that stops it, once it goes on for long."""

    key: Key
    place: Any
    begun_s: float = field(default_factory=time.monotonic)
    bar: Any = None

    def told(self, share: float, what: str) -> None:
        """Show the share done; writing it is also where a press of Stop is taken notice of."""
        if not is_long(self.begun_s, time.monotonic()):
            return
        if self.bar is None:
            with self.place.container():
                self.bar = st.empty()
                st.button("Stop", key="quote_stop", on_click=_stop, args=(self.key,))
        self.bar.progress(share, f"{share:.0%} done: {what}")


def _stop(key: Key) -> None:
    st.session_state[STOPPED] = key


def go_on() -> None:
    """Take up the work that was stopped."""
    st.session_state.pop(STOPPED, None)
