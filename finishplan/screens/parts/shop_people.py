"""The shop's people: name, role, rate and PIN."""

from __future__ import annotations

import streamlit as st

from finishplan.records.pins import NOT_A_PERSON
from finishplan.records.shop_whole import own_name
from finishplan.screens.parts import shop_doing, shop_figures, shop_pins, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain
from finishplan.shop.figures import person_figures
from finishplan.shop.shop_edits import with_entry, without_entry
from finishplan.shop.shop_file import ROLES, Person

WHO, NEW, ROLE = "shop person", "shop new person", "shop new role"


def section(shop: shop_doing.Shop) -> None:
    """Show the people, one of them to change, and how somebody is added."""
    people = {person.id: person for person in shop.used.file.people}
    put("fp-panel", h(2, "People"), "" if people else p("Nobody is named yet: add a finisher to sign for the work.",
                                                        "quiet"))
    if people:
        who = str(st.selectbox("Person", list(people), key=WHO, persist_state="session",
                               format_func=lambda name: _line(people[name])))
        shop_figures.rows(shop, person_figures(shop.used, who))
        shop_pins.section(shop, people[who])
        st.button(f"Take {plain(who)} out of our people", key="person_out",
                  on_click=shop_doing.act(_take_out), args=(who,))
    put("", h(3, "Add somebody"))
    with st.form("add_person", border=False):
        left, middle, right = st.columns([2, 2, 1], vertical_alignment="bottom")
        left.text_input("Short name, signs with it", max_chars=60, key=NEW)
        middle.selectbox("Role", list(ROLES), key=ROLE, format_func=lambda role: f"{role}: {ROLES[role]}")
        right.form_submit_button("Add", on_click=telling.beside("person")(_add), args=(list(people),))
    telling.show_trouble("person")


def _line(person: Person) -> str:
    return ", ".join(part for part in (person.id, person.name, person.role) if part)


def _add(taken: list[str]) -> None:
    name, role = own_name(str(st.session_state[NEW]), [*taken, NOT_A_PERSON]), str(st.session_state[ROLE])
    shop_doing.change(lambda body: with_entry(body, "people", "id", {"id": name, "role": role}),
                      f"{name}, {role}, added to our people", lambda: _added(name))


def _added(name: str) -> None:
    st.session_state[NEW], st.session_state[WHO] = "", name


def _take_out(name: str) -> None:
    shop_doing.change(lambda body: without_entry(body, "people", "id", name), f"{name} taken out of our people",
                      lambda: st.session_state.pop(WHO, None))
