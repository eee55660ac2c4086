"""Backup and restore: one file with everything, read through after it is written; restoring asks, and keeps the old."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from pathlib import Path

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import backup, restore
from finishplan.records.backup_file import Backup, look_into
from finishplan.screens.parts import guard, held, kept, shop_doing, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import moment, plain

ASKED, DONE = "shop restore asked", "shop backup done"
SAID = ("A backup is one file with all jobs, the shop, logs, signatures and photos. It is read through after it is "
        "written. Keep a copy on another disk: a backup beside the data dies with it.")

LARGER = ("Backups made here and all others in the folder below can be restored. A file of more than 10 MB does not go "
          "through the browser: copy it into that folder with the file manager of the machine that keeps the data, "
          "and look again. What a restore replaced stands at the end.")


def section(shop: shop_doing.Shop) -> None:
    """Show when the last backup was made, how to make one, and those that can be restored."""
    store = kept.store()
    put("fp-panel", h(2, "Backup"), p(_last(backup.last_backup(store))), p(SAID, "quiet"))
    if st.button("Make a backup now", key="backup", type="primary"):
        _make()
    telling.show_trouble("backup")
    if st.session_state.get(DONE):
        put("", p(str(st.session_state.pop(DONE))))
    waiting = st.session_state.get(ASKED)
    if waiting is not None:
        _ask(waiting)
    folder = backup.backup_folder(store)
    found = (*backup.backups_in(folder), *backup.backups_in(store.where.kept, 5))
    put("", h(3, "Backups in the data folder"),
        p(LARGER, "quiet"), p(f"The folder: {folder}", "quiet small"),
        "" if found else p("There is none yet.", "quiet"))
    for one in found:
        _row(one)
    st.button("Look into the folder again", key="backups_again")
    _bring()


def _last(at: datetime | None) -> str:
    return "No backup was made yet." if at is None else f"The last backup is of {moment(at)}."


def _make() -> None:
    """Make a backup with the share done before the eyes."""
    shown = st.progress(0.0, "Writing")

    def progress(share: float) -> None:
        shown.progress(share, "Writing")

    try:
        made = backup.made_in_folder(kept.store(), kept.now(), progress)
    except Exception as error:
        telling.tell("backup", guard.said(error))
    else:
        st.session_state[DONE] = f"Written and read through: {made.path.name}, {backup.backup_words(made)}."
        st.rerun()
    finally:
        shown.empty()


def _row(one: Backup) -> None:
    words, take, back = st.columns([6, 2, 2], vertical_alignment="center")
    with words:
        put("fp-jobs", p(one.path.name, "small"), p(backup.backup_words(one), "quiet small"))
    take.download_button("Download", partial(one.path.read_bytes), one.path.name, "application/zip",
                         key=f"take {one.path.name}", on_click="ignore", width="stretch")
    back.button("Restore", key=f"restore {one.path.name}", width="stretch", on_click=_wants, args=(one.path,))


def _bring() -> None:
    fresh = held.held("backup file", None)
    st.file_uploader("Or restore from a backup file of up to 10 MB", type=["zip"], key=f"backup file {fresh.key}",
                     on_change=telling.beside("backup")(_brought), args=(f"backup file {fresh.key}",))


def _brought(key: str) -> None:
    sent = st.session_state[key]
    held.renew("backup file")
    if sent is not None:
        path = backup.brought_in(kept.store(), sent.name, sent.getvalue(), kept.now())
        _wants(path)


def _wants(path: Path) -> None:
    st.session_state[ASKED] = path


def _ask(path: Path) -> None:
    try:
        told = look_into(path)
    except FinishplanError as error:
        _leave()
        guard.show(str(error))
        return
    with st.container(border=True, key="restore_ask"):
        put("", h(3, f"Put {path.name} in place of all that is kept now?"), p(backup.backup_words(told)),
            p("Everything changed since then goes out of sight. What stands now is kept in a file beside, so that it "
              "can be brought back in the same way."))
        with st.container(horizontal=True, key="restore_choice"):
            st.button("Restore it", key="restore_yes", type="primary", on_click=telling.beside("backup")(_restore),
                      args=(path,))
            st.button("Leave all as it is", key="restore_no", on_click=_leave)


def _restore(path: Path) -> None:
    done = restore.restore(kept.store(), path, kept.now())
    _leave()
    kept.close_job()
    for name in (kept.SHOP, kept.WHO):
        st.session_state.pop(name, None)
    shop_doing.refill()
    held.renew_all()
    st.session_state[DONE] = (f"Restored {plain(path.name)}. What stood before is kept in "
                              f"{done.kept}.")


def _leave() -> None:
    st.session_state.pop(ASKED, None)
