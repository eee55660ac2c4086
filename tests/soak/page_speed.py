"""How long Survey and Jobs take beside an empty Streamlit page, in turns in one run of a real browser.

    python -m tests.soak.page_speed --rounds 15

The empty page has one box and shows what was typed in it; both stand under the same settings. *First paint*: from
asking for the page to its first words on the screen. *A saved edit*: from Enter (or the click) to the last of what
the page writes for it, with the new value on the screen. Medians and their ratios; 1 where one is over its bar.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from finishplan.records import where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store, open_store
from finishplan.survey.templates import part_panels, template_job
from tests.served import answer, free_port

TOP = Path(__file__).parents[2]
AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
CHROMIUM = "/usr/bin/chromium"
PAINT_BAR, EDIT_BAR = 1.5, 2.0
LONGEST_MS = 60_000
ROW = "Film, um: one, or several with spaces"
EMPTY = """
import streamlit as st
st.set_page_config(layout="wide")
typed = st.text_input("Typed")
st.html(f"<h1>An empty page</h1><p>told {typed}</p>")
"""
WATCH = """
    globalThis.painted = null; globalThis.edited = null; globalThis.wanted = null;
    const soon = (then) => requestAnimationFrame(() => requestAnimationFrame(then));
    let from = 0;
    const idle = () => document.querySelector("[data-testid=stApp][data-test-script-state=notRunning]");
    const look = () => {
      if (painted === null && document.querySelector("[data-testid=stMain] h1")) {
        globalThis.painted = -1; soon(() => { globalThis.painted = performance.now(); });
      }
      if (wanted && from && idle() && document.querySelector("[data-testid=stMain]").innerText.includes(wanted)) {
        const start = from; globalThis.wanted = null; from = 0;
        soon(() => { globalThis.edited = performance.now() - start; });
      }
    };
    const begin = () => new MutationObserver(look).observe(document.documentElement,
      { childList: true, subtree: true, characterData: true, attributes: true });
    document.documentElement ? begin() : document.addEventListener("readystatechange", begin, { once: true });
    const go = (event) => { if (wanted && !from && (event.type === "click" || event.key === "Enter"))
      from = performance.now(); };
    addEventListener("keydown", go, true); addEventListener("click", go, true);
"""
"""Tells in ``painted`` and ``edited`` how long the page took [ms], each after it was drawn."""


@contextmanager
def served(script: Path, folder: Path) -> Iterator[str]:
    """The address of a running page; it keeps its data in ``folder``."""
    port = free_port()
    server = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", str(script), f"--server.port={port}"], cwd=TOP,
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.STDOUT,
        env={**os.environ, where.DATA_VARIABLE: str(folder), where.DB_VARIABLE: ""})
    try:
        answer(f"http://127.0.0.1:{port}/_stcore/health", 60.0)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(30)


def whole_grand() -> dict[str, Any]:
    """A grand with all its usual parts, three readings and a scratch in each zone: invented."""
    parts = list(dict.fromkeys(panel.part for panel in part_panels("grand")))
    body = template_job("grand", "A whole grand, invented", parts, {})
    body = body | {"build": "pigmented through", "finish_id": {"result": "polyester"}}
    for panel in body["panels"]:
        for number, zone in enumerate(panel["zones"]):
            zone["readings"] = [{"um": 380 + 9 * k + number, "spot": k} for k in (1, 2, 3)]
            zone["defects"] = [{"kind": "fine_scratch", "count": 2, "length_mm": 60}]
    return body


@dataclass
class Timed:
    """One page: its address, how one edit is made and what then shows, and the times found [ms]."""

    name: str
    address: str
    edit: Callable[[Page, int], str]
    paint_ms: list[float] = field(default_factory=list)
    edit_ms: list[float] = field(default_factory=list)


def typed(label: str, shows: str) -> Callable[[Page, int], str]:
    """An edit that types a figure into a box and is shown in words."""
    def done(page: Page, number: int) -> str:
        page.get_by_label(label).fill(str(number))
        page.evaluate("words => { globalThis.wanted = words; }", shows.format(number))
        page.get_by_label(label).press("Enter")
        return shows
    return done


def state_of_a_job(page: Page, number: int) -> str:
    """An edit of the Jobs page: how far the first job is."""
    row = page.locator("[class*=st-key-job_]").first
    if not row.get_by_role("radio").count():
        row.get_by_role("button", name="More").click()
    word, says = (("planned:", "now planned"), ("done:", "now done"))[number % 2]
    choice = row.get_by_role("radio", name=word)
    choice.wait_for()
    page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    page.evaluate("words => { globalThis.wanted = words; }", f"finisher: {says}")
    choice.click()
    return says


def once(page: Page, timed: Timed, number: int, edits: int) -> None:
    """Open the page, time its first paint, then some edits; each begins on a page at rest."""
    page.goto(timed.address)
    page.wait_for_function("globalThis.painted > 0")
    timed.paint_ms.append(float(page.evaluate("globalThis.painted")))
    for k in range(edits):
        at_rest(page)
        page.evaluate("globalThis.edited = null")
        timed.edit(page, number + k)
        page.wait_for_function("globalThis.edited !== null")
        timed.edit_ms.append(float(page.evaluate("globalThis.edited")))


def at_rest(page: Page) -> None:
    """Wait until nothing is written or worked out any more."""
    for _ in range(2):
        page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
        page.get_by_text("Working out").first.wait_for(state="detached")
        page.wait_for_timeout(400)


def main() -> int:
    """Time all pages in turns and say medians and ratios; 1 where one is over its bar."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--edits", type=int, default=3)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data, empty = Path(folder) / "data", Path(folder) / "empty.py"
        empty.write_text(EMPTY, encoding="utf-8")
        store: Store = open_store(where.find(data, None, {}), AT)
        body: Any = read_file(demo_job_path())
        demo, grand = (store.start(job, "A", AT).id for job in (body, whole_grand()))
        for number in range(12):
            store.start({**body, "title": f"Invented job {number}"}, "A", AT)
        store.close()
        with served(empty, data) as nothing, served(TOP / "app.py", data) as ours, sync_playwright() as playwright:
            pages = [Timed("empty page", nothing, typed("Typed", "told {}")),
                     Timed("Survey, demo", f"{ours}/survey?job={demo}", typed(ROW, "reading {} um at spot")),
                     Timed("Survey, whole grand", f"{ours}/survey?job={grand}", typed(ROW, "reading {} um at spot")),
                     Timed("Jobs", f"{ours}/", state_of_a_job)]
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.set_default_timeout(LONGEST_MS)
            page.add_init_script(WATCH)
            for turn in range(options.rounds + 1):
                for timed in pages:
                    once(page, timed, 300 + turn * options.edits, options.edits)
                    if turn == 0:  # the first fills the browser's cache
                        timed.paint_ms.clear(), timed.edit_ms.clear()
            browser.close()
    return told(pages)


def told(pages: list[Timed]) -> int:
    """Say what was found; 1 where a ratio is over its bar."""
    base, over = pages[0], False
    for page in pages:
        paint, edit = (statistics.median(a) / statistics.median(b)
                       for a, b in ((page.paint_ms, base.paint_ms), (page.edit_ms, base.edit_ms)))
        over |= paint > PAINT_BAR or edit > EDIT_BAR
        print(f"{page.name}: first paint {statistics.median(page.paint_ms):.0f} ms ({paint:.2f} times), "
              f"saved edit {statistics.median(page.edit_ms):.0f} ms ({edit:.2f} times)")
    return int(over)


if __name__ == "__main__":
    sys.exit(main())
