"""Photos of a job: taken in upright and without place data, listed at a defect or at the job."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from itertools import cycle
from typing import Any

import streamlit as st

from finishplan import wording
from finishplan.errors import FinishplanError
from finishplan.paper.tap_sheet import letters
from finishplan.records import photos
from finishplan.records.kept import Opened
from finishplan.screens.parts import doing, kept, telling
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.plain import plain
from finishplan.survey import edits_entries
from finishplan.survey.edits import ANY, Edit, zone_at
from finishplan.survey.job import Panel

PLACE = "photos"
WHOLE = "the whole job"
SHOWN = 12
At = tuple[str, str]


def section(opened: Opened, panel: Panel, at: At) -> None:
    """Show the box for photos, what they are of, and those that are kept."""
    zone, named = zone_at(opened.body, *at), letters(panel)
    put("", p("JPEG or PNG. Each is turned upright, made smaller, and freed of place and camera data.", "quiet"))
    of = {k: f"{named[at[1], k]}: {wording.defect_words(defect['kind'], defect.get('count') or 1)}"
          for k, defect in enumerate(zone.get("defects") or ())}
    st.selectbox("They show", [None, *of], key=f"photo of {at}", format_func=lambda k: WHOLE if k is None else of[k])
    box = held("photo box", None)
    st.file_uploader("Photos", accept_multiple_files=True, key=f"photos {box.key}",
                     on_change=telling.beside(PLACE)(_taken), args=(f"photos {box.key}", at))
    telling.show_trouble(PLACE)
    _kept(opened)


def _taken(key: str, at: At) -> None:
    job_id, index = str(st.session_state[kept.JOB]), st.session_state[f"photo of {at}"]
    refused = []
    for sent in st.session_state[key] or ():
        try:
            row = photos.add_photo(kept.store(), job_id, sent.getvalue(), sent.name, kept.who(), kept.now())
        except FinishplanError as error:
            refused.append(str(error))
            continue
        if index is not None:
            doing.do(partial(_listed, at=at, index=index, digest=row.digest))
    if refused:
        telling.tell(PLACE, "; ".join(refused))
    renew("photo box", "defect")
    st.session_state.pop("survey picked", None)


def _listed(body: Mapping[str, Any], at: At, index: int, digest: str) -> Edit:
    return edits_entries.add_photo(body, *at, index, ANY, digest)


def _kept(opened: Opened) -> None:
    rows = photos.photos_of(kept.store(), opened.id)
    newest = list(reversed(rows))[:SHOWN]
    for column, row in zip(cycle(st.columns(3)), newest, strict=False):
        with column:
            try:
                st.image(photos.picture(kept.store(), row.digest), caption=plain(row.name), width="stretch")
            except FinishplanError as error:
                put("", p(str(error), "quiet small"))
    if len(rows) > len(newest):
        put("", p(f"The newest {SHOWN} of {len(rows)}.", "quiet small"))
