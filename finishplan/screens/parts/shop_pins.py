"""A person's PIN: set once by whoever adds them, changed with the present one, or by a finisher who signs for it."""

from __future__ import annotations

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import pins
from finishplan.screens.parts import kept, shop_doing, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.shop.shop_file import Person

FIRST, AGAIN, OLD, BY = "shop pin", "shop pin again", "shop pin old", "shop pin by"
SAID = "A PIN signs hold points and stops. It is kept as a hash, stands in no file, and every try is logged."


def section(shop: shop_doing.Shop, person: Person) -> None:
    """Show whether a person has a PIN, and the form to set it."""
    held = pins.people_with_pins(kept.store())
    has = person.id in held
    put("", h(3, f"PIN of {person.id}"), p(f"{'A PIN is set' if has else 'No PIN is set'}. {SAID}", "quiet small"))
    able = [one.id for one in shop.used.file.people if one.id in held and one.role == "finisher" and one != person]
    with st.form("set_pin", border=False):
        left, right = st.columns(2)
        left.text_input("New PIN, 4 to 12 digits", type="password", max_chars=12, key=FIRST, autocomplete="off")
        right.text_input("The same again", type="password", max_chars=12, key=AGAIN, autocomplete="off")
        if has:
            left.selectbox("Changed by", [person.id, *able], key=BY)
            right.text_input("Present PIN of that person", type="password", max_chars=12, key=OLD, autocomplete="off")
        st.form_submit_button("Set PIN", on_click=telling.beside("pin")(_set), args=(person.id, has))
    telling.show_trouble("pin")
    lines = pins.attempts(kept.store(), person.id, 5)
    put("", *(p(f"{line.at.astimezone():%d %b %Y, %H:%M}: {line.tried}", "quiet small") for line in lines))


def _set(person: str, has: bool) -> None:
    first, again, old = (str(st.session_state.pop(key, "")) for key in (FIRST, AGAIN, OLD))
    if first != again:
        raise FinishplanError("the two PINs differ; type both again")
    who = kept.who()
    if has:
        who = str(st.session_state[BY])
        tried = pins.try_pin(kept.store(), who, old, kept.now(), f"changing the PIN of {person}")
        if not tried.right:
            raise FinishplanError(f"{who}: {tried.words}")
    pins.set_pin(kept.store(), person, first, who, kept.now())
