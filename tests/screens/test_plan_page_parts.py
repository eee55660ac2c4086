"""The plan page run without a browser: opening, refusing, and the guard that keeps tracebacks away."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from html import unescape

import pytest
from streamlit.testing.v1 import AppTest

from finishplan import wording
from finishplan.paper import plan_terms
from finishplan.records.files import demo_job_path
from finishplan.screens.parts import contents, guard, markup
from finishplan.screens.start import PAGES


def plan_page() -> None:
    from finishplan.screens import plan_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def with_file(name: str, body: bytes) -> AppTest:
    from finishplan.screens.parts.answers import Source
    from finishplan.screens.parts.opening import OPEN
    app = AppTest.from_function(plan_page, default_timeout=30)
    app.session_state[OPEN] = Source(name, body)
    return app.run()


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def test_door_offers_the_demo_and_nothing_is_wrong() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    assert [button.label for button in app.button] == ["Open the demo job", "Start a job", "To the jobs"]
    assert not app.error and not app.exception


def test_demo_opens_with_one_click() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    app.button("demo").click().run()
    assert not app.error and not app.exception
    assert "can start" in words(app)
    for head in ("Time", "Materials", "Cautions", "Notes"):
        assert f">{head}</h2>" in words(app)


def test_close_leads_back_to_the_door() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    app.button("demo").click().run()
    app.button("close").click().run()
    assert [button.label for button in app.button] == ["Open the demo job", "Start a job", "To the jobs"]


@pytest.mark.parametrize(("body", "said"), [
    (b"", "not JSON"),
    (b"\xff\xfe", "UTF\\-8"),
    (b'{"format": "finishplan-shop", "version": 1}', "finishplan\\-job"),
    (b'{"format": "finishplan-job", "version": 9, "title": "x", "panels": []}', "version"),
    (b"[" * 10_000, "deep"),
])
def test_files_that_cannot_be_read_are_told_in_one_line(body: bytes, said: str) -> None:
    app = with_file("odd.json", body)
    assert len(app.error) == 1
    assert said in app.error[0].value
    assert "\n" not in app.error[0].value and "Traceback" not in app.error[0].value
    assert not app.exception
    assert app.button("demo").label == "Open the demo job"


def test_messages_are_never_read_as_markup() -> None:
    app = with_file("odd.json", b'{"format": "<b>*x*</b> [a](http://b)"}')
    assert "<b>" not in app.error[0].value.replace("\\<b\\>", "")
    assert "](http" not in app.error[0].value


def test_demo_file_opened_as_ones_own_is_not_called_the_demo() -> None:
    app = with_file("own.json", demo_job_path().read_bytes())
    assert "can start" in words(app)
    assert "no such instrument exists" not in words(app)


def broken_page() -> None:
    from finishplan.screens.parts.guard import guarded

    def page() -> None:
        raise ZeroDivisionError("secret detail")

    guarded(page)()


def broken_callback() -> None:
    import streamlit as st

    from finishplan.screens.parts.guard import callback, guarded

    @callback
    def press() -> None:
        raise KeyError("secret detail")

    def page() -> None:
        st.button("press", on_click=press, key="press")
        st.write("still here")

    guarded(page)()


def test_guard_turns_the_unforeseen_into_words_and_logs_it(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.ERROR, "finishplan.screens"):
        app = AppTest.from_function(broken_page).run()
    assert "not your doing" in app.error[0].value
    assert "secret detail" not in app.error[0].value and not app.exception
    assert "ZeroDivisionError" in caplog.text


def test_error_in_a_callback_leaves_the_page_standing(caplog: pytest.LogCaptureFixture) -> None:
    app = AppTest.from_function(broken_callback).run()
    app.button("press").click().run()
    assert "not your doing" in app.error[0].value and not app.exception
    assert app.markdown[0].value == "still here"
    app.run()
    assert not app.error


def test_guard_lets_streamlits_own_stops_through() -> None:
    def stops() -> None:
        import streamlit as st

        from finishplan.screens.parts.guard import guarded

        def page() -> None:
            st.write("before")
            st.stop()

        guarded(page)()

    app = AppTest.from_function(stops).run()
    assert not app.error and app.markdown[0].value == "before"


def test_every_page_is_known_by_name_and_guarded_once() -> None:
    assert list(PAGES)[:3] == ["Jobs", "Survey", "Plan"]
    for page in PAGES.values():
        assert callable(page) and page.__doc__


def test_said_gives_the_trades_words_for_known_errors() -> None:
    from finishplan.errors import BadFile
    assert guard.said(BadFile("torn.json: not JSON")) == "torn.json: not JSON"


@pytest.mark.parametrize("piece", [markup.p, lambda w: markup.h(2, w), lambda w: markup.table(w, [w], [[w]])])
def test_markup_escapes_every_word(piece: Callable[[str], str]) -> None:
    assert "<script" not in piece("<script>alert('x')</script>")
    assert "&lt;script" in piece("<script>alert('x')</script>")


def test_picture_escapes_what_it_says() -> None:
    found = markup.picture("<svg/>", '"><script>x</script>')
    assert "<script" not in found and found.count('"') == 6


def test_the_contents_lead_to_every_heading_and_to_the_numbers() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    app.button("demo").click().run()
    html = words(app)
    nav = html[html.index("<nav"):html.index("</nav>")]
    leads = re.findall(r'href="#(plan-\w+)">([^<]*)<', nav)
    assert [name for _, name in leads] == list(contents.PLACES.values())
    for place, name in leads:
        assert html.count(f'<h2 id="{place}">{name}</h2>') == 1
    places = [html.index(f'id="{place}"') for place, _ in leads]
    assert places == sorted(places), "the contents stand in the order of the page"
    headline, rows = html.index("of work in all"), html.index("#panel-0")
    assert headline < html.index("<nav") < rows, "one tap from the headline to its sums"


def test_words_are_explained_once_and_where_they_first_stand() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    app.button("demo").click().run()
    blocks = [unescape(str(e.proto.body)) for e in app.get("html")]
    found = 0
    for term, says in plan_terms.TERMS.items():
        told = [n for n, block in enumerate(blocks) if f">{says}<" in block]
        stands = [n for n, block in enumerate(blocks)
                  if re.search(rf"\b{term}\b", block.lower()) and "<style" not in block]
        assert len(told) <= 1, term
        if told:
            found += 1
            assert min(stands) <= told[0]
    assert found >= 3


def test_a_step_takes_the_same_minutes_on_the_page_as_on_paper() -> None:
    app = AppTest.from_function(plan_page, default_timeout=30).run()
    app.button("demo").click().run()
    (plan,) = [answer.plan for answer in app.session_state["answer"].values()]
    shown = re.findall(r'<p class="min">([^<]*)</p>', words(app))
    assert shown == [wording.minutes_words(step.minutes + step.look_minutes) for panel in plan.panels
                     for step in panel.steps]
    assert plan_terms.ROUNDED in words(app) and plan_terms.IN_A_STEP in words(app)
