"""The quote on the screen: the customer's pages as they print, the options side by side, labour and days."""

from __future__ import annotations

from functools import partial
from itertools import zip_longest

import streamlit as st

from finishplan.office.labour import GROUPS
from finishplan.office.quote import Quote
from finishplan.office.quote_tables import as_xlsx
from finishplan.office.quote_text import mark, page_texts, table_rows
from finishplan.paper import office_words as words
from finishplan.paper.days_sheet import Labelled, days_pdf
from finishplan.paper.labour_shares import shares_drawing, shares_words
from finishplan.paper.quote_pdf import quote_pictures
from finishplan.paper.schedule_bars import bars_words, day_bars
from finishplan.paper.theme import SCREEN
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import h, items, p, picture, put, table
from finishplan.screens.parts.quote_work import Made

PAGES = "quote pages"
OVERLEAF = "The pages before go on here, or their annex: all of it is in the words of the second page."


def options(quote: Quote) -> None:
    """Write the options, a column each, the chosen one with a star."""
    heads = ("", *(mark(quote, option) for option in quote.options))
    put("fp-wide fp-options", h(2, "Three ways to do it"),
        table("The one with a star is written out for the customer.", heads,
              [(name, *cells) for name, cells in table_rows(quote)]))


def pages(quote: Quote, paper: str) -> None:
    """Write the customer's pages as they print; drawn once as long as nothing changes."""
    held = st.session_state.get(PAGES)
    if held is None or held[0] is not quote or held[1] != paper:
        held = (quote, paper, quote_pictures(quote, paper))
        st.session_state[PAGES] = held
    put("fp-paper", h(2, "The customer's pages"),
        *(picture(drawn, said or OVERLEAF, "sheet")
          for drawn, said in zip_longest(held[2], page_texts(quote)) if drawn))


def labour(quote: Quote) -> None:
    """Write the labour table of the chosen option, whole minutes that add up, and where they go."""
    rows, total = words.labour_table(quote.main)
    minutes = words.group_minutes(quote.main)
    put("fp-panel", h(2, f"Time: {quote.chosen}"))
    put("fp-curve", picture(shares_drawing(minutes, GROUPS, SCREEN), shares_words(minutes), "curve"))
    box("Line by line", "quote_labour", lambda: put("fp-wide", table(
        "Minutes of one person, to the minute.", words.LABOUR_HEADS, rows, numbers=(3,), total=total)))


def days(made: Made, paper: str) -> None:
    """Write the days of the chosen option: ready date, bound and gap, bars, and the list; the same as a PDF."""
    found = made.quote.main.days
    if found is None:
        return
    put("fp-panel fp-days", h(2, "Days"), items(f"<li>{p(line)}</li>" for line in words.days_lines(found)),
        picture(day_bars(found, SCREEN), bars_words(found)))
    box("Who does what when", "quote_days", lambda: put(
        "fp-wide", table("By the clock.", words.DAYS_HEADS, words.task_rows(found), numbers=(3,)),
        *(p(note, "quiet small") for note in found.notes)))
    label = Labelled(made.quote.title, {job.key: made.key[1] for job in found.jobs})
    st.download_button("Days on paper (PDF)", partial(days_pdf, found, label, paper), "days.pdf", "application/pdf",
                       key="quote_days_pdf", on_click="ignore")


def owner(quote: Quote) -> None:
    """Write, behind a switch and never on paper, cost, margin and the chance of a loss of every option."""
    with st.container(key="quote_owner"):
        if not st.toggle("Owner's view: cost, margin, chance of a loss", key="quote_owner_shown"):
            return
        put("fp-panel", h(2, "For the owner alone"),
            p("Never printed, and in no file for the customer.", "quiet small"))
        heads, rows = words.owner_table(quote)
        put("fp-wide", table("At the planned minutes; the chance counts how often the work takes longer.", heads, rows,
                             numbers=range(1, len(heads))))
        put("fp-wide", table(f"Hours of: {quote.chosen}", words.ROLE_HEADS, words.role_rows(quote, quote.main),
                             numbers=(1, 2)), *(p(note, "small") for note in quote.notes))
        st.download_button("XLSX with cost and labour", partial(as_xlsx, quote, True), "quote-owner.xlsx",
                           key="quote_owner_xlsx", on_click="ignore")
