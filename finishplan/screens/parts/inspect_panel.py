"""The inspection of one panel: what was agreed, gloss and image beside the neighbour, what stays, photos, signature."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import streamlit as st

from finishplan.bench.inspection import ANGLES_DEG, IMAGE_RATINGS, Agreed, Found, inspect
from finishplan.errors import BadValue, FinishplanError
from finishplan.records import photos
from finishplan.screens.parts import inspect_both, inspect_kept, kept, telling
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import h, items, p, put

PLACE = "inspection"
READ = "read of "
"""Before a box's key: the number of the entry that the box was filled from."""
OTHER = "somebody else"
AGREED_WORDS = {True: "yes, as agreed", False: "no"}


def panel(job_id: str, of: Agreed, fields: inspect_kept.Fields, found: Found) -> None:
    """Show one panel: what was agreed, the boxes, the verdict, photos, and who signs."""
    asked = f"; {of.target_gu:.0f} GU asked for" if of.target_gu is not None else ""
    stays = items(f"<li>{p(words)}</li>" for words in of.leftovers) if of.leftovers else p("Nothing is agreed to stay.")
    put("fp-panel", h(3, of.panel), p(f"Agreed: {of.seen_from}, from {of.distance_m:g} m: {of.light}{asked}."),
        p("Stays by agreement, or is not dealt with:", "quiet") if of.leftovers else "", stays)
    boxes(job_id, of.panel, fields)
    inspect_both.both(job_id, of.panel, fields)
    verdict = inspect(found, of)
    put("fp-first", p(f"{verdict.state}: {'; '.join(verdict.messages)}"))
    pictures(job_id, of, found)
    signing(job_id, of.panel, found)


def boxes(job_id: str, name: str, fields: inspect_kept.Fields) -> None:
    """Show the boxes of a panel; each keeps itself."""
    left, middle, right = st.columns(3)
    left.segmented_control("Angle, degrees", list(ANGLES_DEG), format_func=lambda a: f"{a:.0f}",
                           **box(job_id, name, "angle_deg", fields))
    figure("This part, GU", middle, **box(job_id, name, "face_gu", fields))
    figure("Untouched neighbour, GU", right, **box(job_id, name, "neighbour_gu", fields))
    st.radio("Image of a straight grid in the face", list(IMAGE_RATINGS), index=None,
             format_func=lambda n: f"{n}: {IMAGE_RATINGS[n]}", **box(job_id, name, "image_rating", fields))
    st.segmented_control("What stays is as agreed", list(AGREED_WORDS), format_func=AGREED_WORDS.__getitem__,
                         **box(job_id, name, "leftovers_as_agreed", fields))
    st.text_area("Note", max_chars=1000, **box(job_id, name, "note", fields))


def box(job_id: str, name: str, field: str, fields: inspect_kept.Fields) -> dict[str, Any]:
    """Return what every box is given: its key, and that it keeps itself; filled anew where another typed since."""
    key, held = f"inspect {job_id} {name} {field}", fields.get(field)
    stands, number = (held.stands.value, held.stands.number) if held else (None, 0)
    if key not in st.session_state or st.session_state.get(f"{READ}{key}") != number:
        st.session_state[key], st.session_state[f"{READ}{key}"] = stands, number
    return {"key": key, "on_change": telling.beside(PLACE, again=True)(_keep), "args": (job_id, name, field, key)}


def _keep(job_id: str, name: str, field: str, key: str) -> None:
    held = inspect_kept.keep(job_id, name, field, st.session_state[key], st.session_state[f"{READ}{key}"])
    if not held.beside:
        st.session_state[f"{READ}{key}"] = held.stands.number  # else it is filled anew


def pictures(job_id: str, of: Agreed, found: Found) -> None:
    """Show photos before and after side by side, and the box for those after."""
    before, after = st.columns(2)
    with before:
        put("", p("Before", "name") if of.photos_before else p("No photo before: the survey lists them at a defect.",
                                                               "quiet"))
        _show(of.photos_before)
    with after:
        put("", p("After", "name"))
        _show(found.photos_after)
        sent = held("inspection photos", None)
        st.file_uploader("Photos after", accept_multiple_files=True, key=f"after {sent.key}",
                         on_change=telling.beside(PLACE)(_taken), args=(job_id, of.panel, f"after {sent.key}"))


def _show(digests: Iterable[str]) -> None:
    for digest in digests:
        try:
            st.image(photos.picture(kept.store(), digest), width="stretch")
        except FinishplanError as error:
            put("", p(str(error), "quiet small"))


def _taken(job_id: str, name: str, key: str) -> None:
    new, refused = [], []
    for sent in st.session_state[key] or ():
        try:
            row = photos.add_photo(kept.store(), job_id, sent.getvalue(), sent.name, kept.who(), kept.now())
            new.append(row.digest)
        except FinishplanError as error:
            refused.append(str(error))
    if new:
        inspect_kept.keep(job_id, name, "photos_after", new)
    renew("inspection photos")
    if refused:
        telling.tell(PLACE, "; ".join(refused))


def signing(job_id: str, name: str, found: Found) -> None:
    """Show who signed a panel, whether something was typed since, and who signs."""
    last = inspect_kept.signed(job_id).get(name)
    if last is not None:
        since = " Something was changed since: sign again." if inspect_kept.changed_since(last, found) else ""
        put("", p(f"Signed: {last.who}, {last.at.date().isoformat()}, at revision {last.revision}.{since}", "name"))
    people = {one.id: one for one in kept.shop_now().profile.file.people}
    left, right = st.columns(2)
    left.selectbox("Who signs", [*people, OTHER], key="inspect who", format_func=lambda one: (
        f"{one}, {people[one].name}" if one in people and people[one].name else str(one)))
    right.text_input(f"Name, for {OTHER}", key="inspect name", autocomplete="off", max_chars=120)
    st.button("Sign this panel", key="inspect_sign", type="primary", on_click=telling.beside(PLACE)(_sign),
              args=(job_id, name, found))


def _sign(job_id: str, name: str, found: Found) -> None:
    chosen, said = str(st.session_state["inspect who"]), str(st.session_state["inspect name"] or "").strip()
    if chosen != OTHER and said:
        raise BadValue("name", said, f"choose {OTHER} beside it, or leave the name empty")
    if chosen == OTHER and not said:
        raise BadValue("name", said, "write who signs")
    inspect_kept.sign_panel(job_id, name, said if chosen == OTHER else chosen, found)
