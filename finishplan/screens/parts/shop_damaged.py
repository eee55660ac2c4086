"""When the database is damaged: what is wrong, and the backups to put in its place; the damaged one is kept."""

from __future__ import annotations

import contextlib
from pathlib import Path

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import backup, restore, where
from finishplan.screens.parts import guard, kept, telling
from finishplan.screens.parts.markup import h, p, put

PICKED = "shop damaged pick"


def page(error: str) -> None:
    """Show what is wrong, and the way back to the last backup."""
    put("fp-mast", h(1, "The database cannot be read"))
    guard.show(error)
    telling.show_trouble("damaged")
    folder = backup.backups_of(where.find())
    found = backup.backups_in(folder)
    put("", p(f"The damaged file is put aside and kept. Stop every other window and program that uses it first. "
              f"Backups stand in {folder}."), "" if found else p("There is none to put in its place.", "quiet"))
    for one in found:
        put("", h(3, one.path.name), p(backup.backup_words(one), "quiet"))
        if st.session_state.get(PICKED) == one.path:
            put("", p("All kept since then is lost to the program; press once more to do it."))
            st.button("Yes, put it in its place", key=f"damaged yes {one.path.name}", type="primary",
                      on_click=telling.beside("damaged")(_restore), args=(one.path,))
        else:
            st.button("Put this one in its place", key=f"damaged {one.path.name}", on_click=_pick, args=(one.path,))


def _pick(path: Path) -> None:
    st.session_state[PICKED] = path


def _restore(path: Path) -> None:
    with contextlib.suppress(FinishplanError):  # it may not have been opened in the first place
        kept.store().close()
    st.cache_resource.clear()
    store, _ = restore.restore_damaged(where.find(), path, kept.now())
    store.close()
    st.session_state.pop(PICKED, None)
