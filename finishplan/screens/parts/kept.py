"""Which store, which person, which job: what every page that keeps things asks first."""

from __future__ import annotations

import platform
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlsplit

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import where
from finishplan.records.faults import MAY_PASS
from finishplan.records.files import demo_job_path, read_job_bytes
from finishplan.records.kept import Opened
from finishplan.records.store import Store, open_store
from finishplan.shop.profile import Profile, apply_shop, default_profile

JOB = "kept job"
"""The open job of this session; the address carries it too, so that a reload finds it again."""
ADDRESS = "kept address"
"""The page and job that the address named last."""
READ = "kept read"
"""The revision that the page shows: what an edit made on it hands back."""
WHO = "kept who"
SHOP = "kept shop"
NOBODY = "finisher"
"""Who stands in the history until somebody says a name."""
DEMO_ID = "demo"
"""The instrument number of the job that comes along."""


@st.cache_resource(show_spinner=False)
def _store_at(folder: str, url: str | None) -> Store:
    return open_store(where.find(folder, url, {}), now())


def store() -> Store:
    """Return the store of this program, opened once; raises a StoreError of one sentence."""
    found = where.find()
    return _store_at(str(found.folder), found.url)


def now() -> datetime:
    """Return the moment, with its zone."""
    return datetime.now(UTC)


def who() -> str:
    """Return who works at this machine: as said in this session, else as said here last."""
    if WHO not in st.session_state:
        st.session_state[WHO] = store().setting(_seat()) or NOBODY
    return str(st.session_state[WHO])


def say_who(name: str) -> None:
    """Remember who works at this machine from now on."""
    named = name.strip() or NOBODY
    st.session_state[WHO] = named
    store().remember(_seat(), named)


def _seat() -> str:
    return f"who at {platform.node() or 'this machine'}"


def open_job(job_id: str) -> None:
    """Make a job the open one of this session."""
    st.session_state[JOB] = job_id
    st.session_state.pop(ADDRESS, None)
    for name in [name for name in st.session_state if str(name).startswith(("held ", "survey "))]:
        del st.session_state[name]


def close_job() -> None:
    """Leave the open job; it stays kept."""
    st.session_state.pop(JOB, None)
    st.query_params.pop("job", None)


def current() -> Opened | None:
    """Return the open job as it stands now, or None; what is returned is what edits of this page start from."""
    job_id = asked_for()
    if not job_id:
        return None
    try:
        opened = store().open(job_id)
    except FinishplanError as error:
        if not isinstance(error, MAY_PASS):
            close_job()
        raise
    if st.session_state.get(JOB) != opened.id:
        open_job(opened.id)
    st.session_state[READ] = opened.revision
    st.session_state[ADDRESS] = (urlsplit(st.context.url or "").path, opened.id)
    return opened


def asked_for() -> str:
    """Return the job that the address names, if a person went there; else the one this session has open."""
    session, address = st.session_state.get(JOB), st.query_params.get("job")
    said = st.session_state.get(ADDRESS)
    went = address and (not session or (said is not None and said[1] == session != address))
    return str((address if went else session) or "")


def start(body: dict[str, Any], wording: str = "") -> Opened:
    """Keep a new job and make it the open one."""
    made = store().start(body, who(), now(), wording)
    open_job(made.id)
    return made


def start_demo() -> Opened:
    """Open the demo job; it is kept once, on the first click, and found again after."""
    body = read_job_bytes(demo_job_path().read_bytes(), demo_job_path().name)
    for row in store().jobs(body["title"]).rows:
        if row.title == body["title"]:
            open_job(row.id)
            return store().open(row.id)
    return start(body, "started from the demo, which is invented")


@dataclass(frozen=True)
class ShopNow:
    """Our shop as it stands: its revision, and the profile that plans are made with."""

    revision: int
    profile: Profile


def shop_now() -> ShopNow:
    """Return our shop as it stands; worked out again only when it was changed."""
    opened = store().shop(who(), now())
    held = st.session_state.get(SHOP)
    if not isinstance(held, ShopNow) or held.revision != opened.revision:
        held = ShopNow(opened.revision, apply_shop(default_profile(), opened.body))
        st.session_state[SHOP] = held
    return held
