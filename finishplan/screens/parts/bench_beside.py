"""A note or a photo beside the work: kept in the log at once, whatever is done next."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.course import Task
from finishplan.records import photos
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_work import add_line
from finishplan.screens.parts import bench_now, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.held import held, renew

NOTE = "bench note"


def show(bench: AtBench, task: Task) -> None:
    """Show, closed, the boxes for a note and for photos."""
    box("Note or photo", "bench_note_open", lambda: _boxes(task))


def _boxes(task: Task) -> None:
    with st.form("bench_note", clear_on_submit=True, border=False):
        st.text_area("Note", key=NOTE, max_chars=4000)
        st.form_submit_button("Keep the note", args=(task.key,),
                              on_click=telling.beside(bench_now.PLACE, typed=NOTE)(_note))
    key = f"bench photos {held('bench photos', None).key}"
    st.file_uploader("Photos", accept_multiple_files=True, key=key,
                     on_change=telling.beside(bench_now.PLACE)(_photos), args=(task.key, key))


def _place(task: Task) -> dict[str, str]:
    return {"panel": task.panel, "step": task.step} if task.panel else {}


def _note(key: str) -> None:
    text = str(st.session_state[NOTE] or "").strip()
    if text:
        bench = bench_now.stands()
        raw = {"kind": "note", **_place(bench.course.task(key)), "values": {"text": text}}
        add_line(kept.store(), bench, raw, kept.who(), bench_now.now())
        telling.tell(bench_now.PLACE, "The note is in the log.")


def _photos(key: str, box_key: str) -> None:
    bench, store = bench_now.stands(), kept.store()
    for sent in st.session_state[box_key] or ():
        row = photos.add_photo(store, bench.job_id, sent.getvalue(), sent.name, kept.who(), bench_now.now())
        raw = {"kind": "photo", **_place(bench.course.task(key)), "values": {"digest": row.digest, "text": sent.name}}
        add_line(store, bench, raw, kept.who(), bench_now.now())
    renew("bench photos")
