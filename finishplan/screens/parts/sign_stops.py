"""Signing for a stop on the Safety page: a finisher's PIN, and what was done; kept with the job's revision.

What the caution rested on is kept with the signature, so that a later change of it is seen.
"""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from finishplan.errors import BadValue
from finishplan.records.signatures import stop_signatures
from finishplan.records.signers import SIGNS, guarded, left_words, vouchers
from finishplan.records.stops_signed import sign_stop
from finishplan.safety.cautions import Caution
from finishplan.safety.sign_off import SignOff, changed_ground, counts, last_for
from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import items, p, put
from finishplan.shop.shop_file import Person

OTHER = "somebody else"
LAST = "stop signer"
"""Who signed last in this session: the next form begins with them, the first with who is at this machine."""
NOT_KEPT = ("This job is only looked at: keep it from the Jobs page to sign here, or sign on the printed list.")
WITH_PIN = ("A finisher of our shop signs, with their PIN; a trainee, the owner and a name without a PIN sign for no "
            "stop. A finisher who is not in the list gets a PIN on the Shop page, under People.")
NOBODY_LEFT = "No finisher of our shop has a PIN any more, and a stop is signed for with one:"
WITHOUT_PIN = ("No finisher of our shop has a PIN yet, so a finisher's name is enough; a trainee and the owner sign "
               "for no stop. Set PINs on the Shop page, under People: then only a finisher's PIN signs.")


def who_signs() -> str:
    """Return who may sign for a stop in our shop as it stands, in words."""
    if not guarded(kept.store()):
        return WITHOUT_PIN
    return WITH_PIN if vouchers(kept.store(), people()) else f"{NOBODY_LEFT} {left_words()}."


def people() -> tuple[Person, ...]:
    """Return our shop's people."""
    return kept.shop_now().profile.file.people


def signed_for(job_id: str) -> tuple[SignOff, ...]:
    """Return what was signed for the stops of a job, oldest first, each with the ground it was given on."""
    return stop_signatures(kept.store(), job_id)


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
    named = {one.id: one for one in people() if one.role == SIGNS}
    with_pin = guarded(kept.store())
    offered = list(vouchers(kept.store(), people())) if with_pin else [*named, OTHER]
    if not offered:
        put("", p(who_signs()))
        return
    st.session_state.setdefault(key("signer", caution), st.session_state.get(LAST) or kept.who())
    if st.session_state[key("signer", caution)] not in offered:
        st.session_state[key("signer", caution)] = offered[0]
    with st.form(f"form_{caution.id}", clear_on_submit=False, border=False):
        left, right = st.columns(2)
        left.selectbox("Who signs", offered, key=key("signer", caution), format_func=lambda name: (
            f"{name}, {named[name].name}" if name in named and named[name].name else str(name)))
        if with_pin:
            right.text_input("PIN", type="password", key=key("signer pin", caution), autocomplete="off", max_chars=12)
        else:
            right.text_input(f"Name, for {OTHER}", key=key("signer name", caution), autocomplete="off", max_chars=120)
        st.text_area("What was done about it", key=key("signer reason", caution), max_chars=1000)
        st.form_submit_button("Sign", type="primary", on_click=telling.beside(place(caution.id))(keep),
                              args=(caution, job_id))


def keep(caution: Caution, job_id: str) -> None:
    """Keep the signature that was filled in; raises a FinishplanError where it says too little."""
    state = st.session_state
    chosen = str(state[key("signer", caution)])
    typed = str(state.get(key("signer name", caution)) or "").strip()
    if chosen != OTHER and typed:
        raise BadValue("name", typed, f"choose {OTHER} beside it, or leave the name empty", f"sign-off of {caution.id}")
    pin = str(state.get(key("signer pin", caution)) or "")
    for held in (held for held in state if str(held).startswith("signer pin ")):
        state[held] = ""
    outcome = sign_stop(kept.store(), job_id, people(), caution, typed if chosen == OTHER else chosen,
                        str(state[key("signer reason", caution)] or ""), pin, kept.now())
    if not outcome.kept:
        telling.tell(place(caution.id), outcome.words)
        return
    state[LAST] = chosen
    for field in ("signer name", "signer reason"):
        state[key(field, caution)] = ""


def key(field: str, caution: Caution) -> str:
    """Return the key of a box of a caution's form."""
    return f"{field} {caution.id}"


def place(caution_id: str) -> str:
    """Return where messages about signing for a caution stand."""
    return f"sign {caution_id}"
