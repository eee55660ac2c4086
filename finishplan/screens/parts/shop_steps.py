"""Steps and tools of the shop: one is picked, its figures stand under it; grades can be added."""

from __future__ import annotations

import streamlit as st

from finishplan.records import shop_learned
from finishplan.records.shop_whole import step_figures
from finishplan.screens.parts import shop_doing, shop_figures, shop_rates, telling
from finishplan.screens.parts.markup import h, put
from finishplan.shop.figures import tool_figures
from finishplan.shop.shop_edits import with_entry, without_entry
from finishplan.shop.steps import grade_table, shipped_steps

STEP, TOOL, GRADE = "shop step", "shop tool", "shop grade"


def steps(shop: shop_doing.Shop) -> None:
    """Show one step of the shop with all that can be set of it."""
    names = [step.name for step in shop.used.steps]
    name = str(st.selectbox("Step", names, key=STEP, persist_state="session"))
    put("fp-panel", h(2, name))
    rate = shop_rates.found(shop).learned.rate(name)
    learned = {f"steps:{name}:removal_rate_cm3_per_min":
               shop_learned.learned_words(rate, shop.used.file.learned_rates.get(name))}
    shop_figures.rows(shop, step_figures(shop.used, name), learned)
    if name not in {step.name for step in shipped_steps()}:
        st.button(f"Take {name} out of our steps", key="grade_out", on_click=shop_doing.act(_take_out), args=(name,))
    with st.form("add_grade", border=False):
        left, right = st.columns([2, 1], vertical_alignment="bottom")
        left.selectbox("A grade we have beside these", [g for g in grade_table() if g not in names], key=GRADE)
        right.form_submit_button("Add this grade", on_click=telling.beside("grade")(_add))
    telling.show_trouble("grade")


def _add() -> None:
    name = str(st.session_state[GRADE])
    shop_doing.change(lambda body: with_entry(body, "steps", "step", {"step": name}), f"{name} added to our steps")
    st.session_state[STEP] = name


def _take_out(name: str) -> None:
    shop_doing.change(lambda body: without_entry(body, "steps", "step", name), f"{name} taken out of our steps")
    st.session_state.pop(STEP, None)


def tools(shop: shop_doing.Shop) -> None:
    """Show one tool of the shop with all that can be set of it."""
    offered = list(shop.used.tools)
    way, use = st.selectbox("Tool", offered, key=TOOL, persist_state="session",
                            format_func=lambda tool: f"{tool[0]} for {tool[1]}s")
    put("fp-panel", h(2, f"{way} for {use}s"))
    shop_figures.rows(shop, tool_figures(shop.used, way, use))
