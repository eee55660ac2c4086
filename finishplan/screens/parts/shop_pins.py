"""A signer's PIN: the first is free, every other is set by one who signs already, the person's own PIN included."""

from __future__ import annotations

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import pins, signers
from finishplan.screens.parts import kept, shop_doing, shop_vouch, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.shop.shop_file import Person

FIRST, AGAIN, OLD, BY = "shop pin", "shop pin again", "shop pin old", "shop pin by"
SAID = ("A PIN signs hold points and stops. It is kept as a hash, stands in no shop file, and every try is logged. A "
        "backup that is restored brings back the PINs of its day.")
FREE = "The first PIN of the shop is free; from then on one who signs says yes to every other."


def section(shop: shop_doing.Shop, person: Person) -> None:
    """Show whether a person has a PIN, and the form to set it; nothing for one who does not sign."""
    if person.role != signers.SIGNS:
        put("", p(f"{person.id} is our {person.role} and signs nothing, so there is no PIN to set.", "quiet small"))
        return
    has, guarded = person.id in pins.people_with_pins(kept.store()), signers.guarded(kept.store())
    able = sorted(signers.vouchers(kept.store(), shop.used.file.people), key=lambda name: name != person.id)
    put("", h(3, f"PIN of {person.id}"), p(f"{'A PIN is set' if has else 'No PIN is set'}. {SAID}", "quiet small"),
        p("" if guarded else FREE, "quiet small"))
    if guarded and not able:
        put("fp-asked", p(shop_vouch.NOBODY))
    else:
        _form(person, able if guarded else [])
    telling.show_trouble("pin")
    lines = pins.attempts(kept.store(), person.id, 5)
    put("", *(p(f"{line.at.astimezone():%d %b %Y, %H:%M}: {line.tried}{f', {line.what}' if line.what else ''}",
                "quiet small") for line in lines))


def _form(person: Person, able: list[str]) -> None:
    with st.form("set_pin", border=False):
        left, right = st.columns(2)
        left.text_input("New PIN, 4 to 12 digits", type="password", max_chars=12, key=FIRST, autocomplete="off")
        right.text_input("The same again", type="password", max_chars=12, key=AGAIN, autocomplete="off")
        if able:
            left.selectbox("Who says yes to it", able, key=BY)
            right.text_input("Present PIN of that person", type="password", max_chars=12, key=OLD, autocomplete="off")
        st.form_submit_button("Set PIN", on_click=telling.beside("pin")(_set), args=(person.id, bool(able)))


def _set(person: str, vouched: bool) -> None:
    first, again, old = (str(st.session_state.get(key) or "") for key in (FIRST, AGAIN, OLD))
    for key in (FIRST, AGAIN, OLD):
        st.session_state[key] = ""  # no PIN stays in its box, where the next one could look at it
    if first != again:
        raise FinishplanError("the two PINs differ; type both again")
    signers.give_pin(kept.store(), kept.shop_now().profile.file.people, person, first,
                     (str(st.session_state[BY]), old) if vouched else None, kept.who(), kept.now())
