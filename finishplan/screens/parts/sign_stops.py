"""Signing for a stop on the Safety page: who, and what was done about it; kept with the job's revision.

What the caution rested on is kept with the signature, so that a later change of it is seen.
"""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from finishplan.errors import BadValue
from finishplan.records.signatures import sign, signatures_of
from finishplan.safety.cautions import Caution
from finishplan.safety.sign_off import STOP, SignOff, changed_ground, counts, ground_of, last_for
from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import items, p, put
from finishplan.shop.shop_file import Person

OTHER = "somebody else"
GROUND = "ground"
NOT_KEPT = ("This job is only looked at: keep it from the Jobs page to sign here, or sign on the printed list.")


def signed_for(job_id: str) -> tuple[SignOff, ...]:
    """Return what was signed for the stops of a job, oldest first, each with the ground it was given on."""
    return tuple(SignOff(one.what, one.who, one.at.date().isoformat(), one.reason, one.revision,
                         str(one.body.get(GROUND, "")))
                 for one in signatures_of(kept.store(), job_id, STOP))


def sign_line(caution: Caution, job_id: str, signed: Sequence[SignOff]) -> None:
    """Show whether a stop is signed for, and the form to sign in a closed box."""
    last = last_for(caution, signed)
    stands = last is not None and counts(last, caution)
    if last is not None:
        put("fp-signed", *signed_words(last, caution, stands))
    box(f"{caution.id}: sign again" if stands else f"{caution.id}: sign for it", f"sign_{caution.id}",
        lambda: form(caution, job_id))
    telling.show_trouble(place(caution.id))


def signed_words(last: SignOff, caution: Caution, stands: bool) -> list[str]:
    """Return a signature in words, and why it counts no longer where it does not."""
    said = f"{last.name}, {last.date}, at revision {last.revision}: {last.reason}"
    if stands:
        return [p(f"Signed by {said}", "name")]
    gone = [f"<li>{p(line)}</li>" for line in changed_ground(last, caution)]
    return [p("To be signed anew: what this rests on has changed since it was signed.", "name"),
            p(f"Signed then by {said}", "quiet"), p("It said then, and says no longer:", "quiet"), items(gone)]


def form(caution: Caution, job_id: str) -> None:
    """Show who signs and what was done; the date is today's."""
    people: dict[str, Person] = {one.id: one for one in kept.shop_now().profile.file.people}
    with st.form(f"form_{caution.id}", clear_on_submit=False, border=False):
        who = st.selectbox("Who signs", [*people, OTHER], key=f"signer {caution.id}", format_func=lambda name: (
            f"{name}, {people[name].name}" if name in people and people[name].name else str(name)))
        st.text_input(f"Name, for {OTHER}", key=f"signer name {caution.id}", autocomplete="off", max_chars=120)
        st.text_area("What was done about it", key=f"signer reason {caution.id}", max_chars=1000)
        st.form_submit_button("Sign", type="primary", on_click=telling.beside(place(caution.id))(keep),
                              args=(caution, job_id), disabled=who is None)


def keep(caution: Caution, job_id: str) -> None:
    """Keep the signature that was filled in; raises a FinishplanError where it says too little."""
    chosen = str(st.session_state[f"signer {caution.id}"])
    typed = str(st.session_state[f"signer name {caution.id}"] or "").strip()
    if chosen != OTHER and typed:
        raise BadValue("name", typed, f"choose {OTHER} above, or leave the name empty", f"sign-off of {caution.id}")
    name = typed if chosen == OTHER else chosen
    reason = str(st.session_state[f"signer reason {caution.id}"] or "").strip()
    revision, at = kept.store().open(job_id).revision, kept.now()
    one = SignOff(caution.id, name, at.date().isoformat(), reason, revision, ground_of(caution))
    sign(kept.store(), job_id, STOP, one.caution_id, one.name, one.reason, one.revision, at, {GROUND: one.ground})
    for field in ("name", "reason"):
        st.session_state[f"signer {field} {caution.id}"] = ""


def place(caution_id: str) -> str:
    """Return where messages about signing for a caution stand."""
    return f"sign {caution_id}"
