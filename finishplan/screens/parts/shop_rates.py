"""Rates the logs have taught: shipped, learned and used side by side, each taken into use or not by a switch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.bench.learn import Rate
from finishplan.records import shop_learned
from finishplan.records.shop_learned import FromLogs
from finishplan.screens.parts import kept, shop_doing, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import h, items, p, put, table
from finishplan.screens.parts.plain import plain
from finishplan.shop.shop_edits import with_value, without

FOUND = "shop found"
SAID = ("A line is one step on one panel between two rounds of film readings. The range holds the true rate nine "
        "times in ten. Under three lines a rate is shown and not used. A wrong line is set aside on the Bench page.")
HEADS = ("step", "shipped", "our own", "learned (range)", "lines", "used", "what is used is")


def found(shop: shop_doing.Shop) -> FromLogs:
    """Return what the logs teach, worked out anew only when a log or the shop was changed."""
    key = (shop.opened.revision, shop_learned.stamp(kept.store()))
    held = st.session_state.get(FOUND)
    if held is None or held[0] != key:
        held = (key, shop_learned.from_logs(kept.store(), shop.body, kept.now()))
        st.session_state[FOUND] = held
    logs: FromLogs = held[1]
    return logs


def section(shop: shop_doing.Shop) -> None:
    """Show all rates, and the switches of those that have lines enough."""
    logs = found(shop)
    put("fp-panel", h(2, "Removal rates, cm3/min"), p(SAID, "quiet"))
    for rate in logs.learned.by_step:
        if rate.in_use or rate.step in shop.used.file.learned_rates:
            _switch(shop, rate)
    telling.show_trouble("rates")
    if not any(rate.lines for rate in logs.learned.by_step):
        put("", p("No log has taught a rate yet: plans use what is shipped, or typed among the steps.", "quiet"))
    put("fp-wide fp-rates", table("By step, coarse to fine", HEADS, shop_learned.rate_rows(logs, shop.body, shop.used),
                                  numbers=(1, 2, 3, 4, 5)))
    put("fp-notes", items(f"<li>{p(line)}</li>" for line in logs.odd))
    box("By tool and by person", "rates_apart_open", lambda: _apart(logs))
    box("Every line, and why some do not count", "rates_lines_open", lambda: _lines(logs))


def _switch(shop: shop_doing.Shop, rate: Rate) -> None:
    taken = shop.used.file.learned_rates.get(rate.step)
    key = f"rate {rate.step}"
    st.session_state[key] = taken is not None
    st.toggle(f"{plain(rate.step)}: let plans use {rate.learned:.3g}, learned from {rate.lines} lines", key=key,
              on_change=telling.beside("rates")(_use), args=(rate, key))
    now = shop_learned.taken_up(rate) if rate.in_use else None
    if taken is not None and now is not None and taken.model_dump() != now:
        put("", p(f"{rate.step}: {shop_learned.learned_words(rate, taken)}; the logs say {rate.learned:.3g} now.",
                  "small"))
        st.button(f"Take up {rate.learned:.3g} for {plain(rate.step)}", key=f"take up {rate.step}",
                  on_click=telling.beside("rates")(_take_up), args=(rate,))


def _use(rate: Rate, key: str) -> None:
    if st.session_state[key]:
        _take_up(rate)
    else:
        shop_doing.change(lambda body: without(body, ("learned_rates", rate.step)),
                          f"{rate.step}: learned rate out of use")


def _take_up(rate: Rate) -> None:
    entry: Mapping[str, Any] = shop_learned.taken_up(rate)
    shop_doing.change(lambda body: with_value(body, ("learned_rates", rate.step), dict(entry)),
                      f"{rate.step}: learned rate {rate.learned:.3g} cm3/min in use")


def _apart(logs: FromLogs) -> None:
    for words, rates in (("tool", logs.learned.by_tool), ("person", logs.learned.by_person)):
        put("fp-wide", table(f"Shown to compare, by {words}", ("step", words, "lines", "learned (range)"),
                             shop_learned.apart_rows(rates), numbers=(2, 3)))


def _lines(logs: FromLogs) -> None:
    put("fp-wide", table(f"{logs.jobs} jobs with a log", ("step", "panel", "tool", "who", "min", "cm3/min", "counts"),
                         shop_learned.line_rows(logs), numbers=(4, 5)))
