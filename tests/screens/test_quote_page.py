"""The Quote page without a browser: inputs kept or refused in one sentence, the same numbers everywhere, sending."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date, timedelta
from html import unescape
from typing import Any

import openpyxl
import pytest
from streamlit.testing.v1 import AppTest

from finishplan.office.quote_tables import as_csv, as_data, as_xlsx
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.sent_quotes import sent_of
from finishplan.records.store import Store
from finishplan.screens.parts import kept, quote_work
from finishplan.screens.parts.quote_work import MADE

BODY: dict[str, Any] = read_file(demo_job_path())
REAL = {**BODY, "title": "Upright, fall", "instrument": {"id": "77", "kind": "upright"}}
Quoted = Callable[..., AppTest]


@pytest.fixture
def quoted(kept_store: Store) -> Quoted:
    """Opens the Quote page on a job in a session of its own."""

    def page() -> None:
        from finishplan.screens import quote_page
        from finishplan.screens.parts.guard import guarded
        guarded(quote_page.page)()

    def opened(body: dict[str, Any] | None = None) -> AppTest:
        app = AppTest.from_function(page, default_timeout=60)
        if body is not None:
            app.session_state[kept.JOB] = kept_store.start(body, "me", kept.now()).id
        return app.run()

    return opened


def words(app: AppTest) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", " ".join(str(e.proto.body) for e in app.get("html"))))


def box(app: AppTest, label: str) -> Any:
    found = [w for w in (*app.text_input, *app.text_area, *app.selectbox, *app.checkbox) if w.label == label]
    assert len(found) == 1, f"{label}: {[w.label for w in app.text_input]}"
    return found[0]


def job_id(app: AppTest) -> str:
    return str(app.session_state[kept.JOB])


def test_without_a_job_it_shows_the_way_in(quoted: Quoted) -> None:
    app = quoted()
    assert [b.label for b in app.button] == ["Open the demo job", "Start a job", "To the jobs"]
    app.button("demo").click().run()
    assert not app.error and not app.exception and "Three ways to do it" in words(app)


def test_the_numbers_of_screen_files_and_json_are_the_same(quoted: Quoted) -> None:
    app = quoted(BODY)
    assert not app.error and not app.exception
    quote, told = app.session_state[MADE].quote, words(app)
    (sheet,) = openpyxl.load_workbook(io.BytesIO(as_xlsx(quote, False))).worksheets
    in_xlsx = {(row[0], row[1]): row[3] for row in sheet.iter_rows(min_row=2, values_only=True)}
    for option in as_data(quote, False)["options"]:
        total = option["price"]["total"]
        assert f"€{float(total):,.2f}" in told
        assert f"{in_xlsx[option['name'], 'total']:.2f}" == total and f",{total}," in as_csv(quote)
    pages = [e.proto.body for e in app.get("html") if 'class="fp fp-paper"' in e.proto.body]
    assert len(pages) == 1 and pages[0].count("data:image/svg+xml") == 2
    assert "I have read this offer" in unescape(pages[0]), "what the pages say is read out"


def test_labour_adds_up_to_the_minute_and_days_show_bound_and_bars(quoted: Quoted) -> None:
    app = quoted(BODY)
    next(e for e in app.expander if e.label == "Line by line")
    quote = app.session_state[MADE].quote
    from finishplan.paper.office_words import group_minutes, labour_table
    rows, total = labour_table(quote.main)
    assert sum(int(row[3]) for row in rows) == int(total[3]) == sum(group_minutes(quote.main).values())
    told = words(app)
    assert re.search(r"ready (Mon|Tue|Wed|Thu|Fri) \d+ \w+, \d+:\d\d\.", told)
    assert "No schedule can be ready" in told
    assert any("fp-days" in e.proto.body and "<img" in e.proto.body for e in app.get("html"))


BAD = [
    ("Margin, %", "100", "'Margin, %' is 100"),
    ("Margin, %", "much", "type a number"),
    ("Taxes, one a line: name, percent", "VAT -5", "0 to 100"),
    ("Taxes, one a line: name, percent", "VAT 500", "0 to 100"),
    ("First day of work", "soon", "write the day as 2026-05-31"),
    ("Due", "2020-01-31", "it is before today"),
]


def test_a_bad_input_is_told_beside_its_box_and_nothing_is_lost(quoted: Quoted, kept_store: Store) -> None:
    app = quoted({**BODY, "quote": {"terms": {"travel": 33.0}}})
    before = kept_store.open(job_id(app))
    for label, typed, said in BAD:
        stood = box(app, label).value
        box(app, label).set_value(typed).run()
        assert [said in e.value.replace("\\", "") for e in app.error] == [True], label
        assert not app.exception and box(app, label).value == typed, "what was typed stays to be mended"
        assert kept_store.open(before.id).revision == before.revision
        assert "Three ways to do it" in words(app), "the quote stands as it was"
        box(app, label).set_value(stood).run()
        assert not app.error, label


def test_an_input_is_kept_in_the_job_and_changes_the_price(quoted: Quoted, kept_store: Store) -> None:
    app = quoted(BODY)
    before = app.session_state[MADE].quote.main.totals.total
    box(app, "Margin, %").set_value("45").run()
    assert kept_store.open(job_id(app)).body["quote"] == {"terms": {"margin_percent": 45.0}}
    assert app.session_state[MADE].quote.main.totals.total > before
    assert "quote: margin changed" in kept_store.open(job_id(app)).wording
    box(app, "Written out").set_value("buff only").run()
    assert app.session_state[MADE].quote.chosen == "buff only" and "Time: buff only" in words(app)


def test_currency_and_rates_that_are_missing_are_asked_for(quoted: Quoted) -> None:
    app = quoted(REAL)
    assert len(app.error) == 1 and "currency is missing" in app.error[0].value.replace("\\", "")
    box(app, "Currency").set_value("QQQ").run()
    assert any("three letters of ISO 4217" in e.value for e in app.error)
    box(app, "Currency").set_value("chf").run()
    assert any("the cost of an hour of" in e.value.replace("\\", "") for e in app.error)
    box(app, "An hour of a finisher costs").set_value("0").run()
    assert any("type what an hour costs" in e.value for e in app.error)
    box(app, "An hour of a finisher costs").set_value("60").run()
    box(app, "An hour of a trainee costs").set_value("30").run() if app.error else None
    assert not app.error and "CHF" in words(app)


def test_long_work_shows_percent_and_stop_and_goes_on_when_asked(
    quoted: Quoted, monkeypatch: pytest.MonkeyPatch,
) -> None:
    shares: list[str] = []

    class Bar:
        def progress(self, share: float, said: str) -> None:
            shares.append(said)

    with monkeypatch.context() as patched:
        patched.setattr(quote_work, "is_long", lambda begun, now: True)
        telling = quote_work.Telling(("", 0, 0, date.today()), None, bar=Bar())
        telling.told(0.5, "buff only: the days")
    assert shares == ["50% done: buff only: the days"]
    app = quoted(BODY)
    made = app.session_state[MADE]
    app.session_state[quote_work.STOPPED] = made.key
    app.session_state[MADE] = None
    app.run()
    assert "this quote is not worked out" in app.error[0].value.replace("\\", "") and "Three ways" not in words(app)
    app.button("quote_go_on").click().run()
    assert not app.error and "Three ways to do it" in words(app)


def test_a_week_without_hours_is_one_sentence_beside_the_inputs(quoted: Quoted, kept_store: Store) -> None:
    kept_store.shop("me", kept.now())
    kept_store.change("shop", lambda shop: {**shop, "hours": {"mon": []}}, "me", kept.now())
    app = quoted(BODY)
    assert len(app.error) == 1 and not app.exception
    assert "the week has no working time" in app.error[0].value.replace("\\", "") and "Inputs" in words(app)


def test_a_due_date_that_has_passed_is_told_and_the_quote_stands(quoted: Quoted) -> None:
    past = (date.today() - timedelta(days=9)).isoformat()
    app = quoted({**BODY, "due": past})
    assert len(app.error) == 1 and "give a later day" in app.error[0].value
    assert "Three ways to do it" in words(app)


def test_cost_and_margin_show_only_behind_the_switch(quoted: Quoted) -> None:
    app = quoted(BODY)
    assert not re.search(r"\b(cost in all|chance of a loss)\b", words(app))
    app.toggle("quote_owner_shown").set_value(True).run()
    told = words(app)
    assert "cost in all" in told and "chance of a loss, from risk draws" in told and "Never printed" in told
    paper = " ".join(e.proto.body for e in app.get("html") if "fp-paper" in e.proto.body)
    assert "cost in all" not in paper


def test_sending_asks_keeps_and_never_changes(quoted: Quoted, kept_store: Store) -> None:
    app = quoted(BODY)
    app.button("quote_send").click().run()
    assert "cannot be changed or taken back" in words(app) and not sent_of(kept_store, job_id(app))
    app.button("quote_not_yet").click().run()
    assert "cannot be changed or taken back" not in words(app)
    app.button("quote_send").click().run()
    app.button("quote_send_now").click().run()
    (one,) = sent_of(kept_store, job_id(app))
    assert not app.error and "No. 1, revision 1" in words(app) and "As it was sent." in words(app)
    live = next(e.proto.body for e in app.get("html") if "Three ways to do it" in e.proto.body)
    sent_table = next(e.proto.body for e in app.get("html") if "As it was sent." in e.proto.body)
    assert re.findall(r"<td>[^<]*</td>", live) == re.findall(r"<td>[^<]*</td>", sent_table) != []
    assert one.body.job_revision == kept_store.open(job_id(app)).revision
    was = one.pdf
    box(app, "Margin, %").set_value("50").run()
    app.button("quote_send").click().run()
    app.button("quote_send_now").click().run()
    two, again = sent_of(kept_store, job_id(app))
    assert again.pdf == was and two.pdf != was and (two.body.number, two.body.revision) == (1, 2)
    assert again.pdf[:4] == b"%PDF" and two.body.total != again.body.total


def test_the_shop_s_days_with_other_jobs_are_worked_out_aside(quoted: Quoted, kept_store: Store) -> None:
    other = kept_store.start({**REAL, "title": "Beside it", "due": (date.today() + timedelta(days=1)).isoformat()},
                             "me", kept.now())
    kept_store.set_state(other.id, "planned", "me", kept.now())
    app = quoted(BODY)
    app.button("together").click().run()
    work = app.session_state["quote together"]
    found = work.done.result(60)
    app.run()
    told = words(app)
    assert not app.error and "Beside it" in told and "working days;" in told
    assert {job.title for job in found.days.jobs} == {"Beside it", BODY["title"]}
    assert max(job.late_days for job in found.days.jobs) > 0
