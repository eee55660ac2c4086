"""Choices on the plan page: each plans again at once, is refused beside its field, and can be taken back."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from oracle.random_jobs import random_case
from streamlit.testing.v1 import AppTest

from finishplan.errors import FinishplanError
from finishplan.records.files import demo_job_path, read_job_bytes
from finishplan.screens.parts import answers
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.opening import OPEN

LID = "main lid, top"


def plan_page() -> None:
    from finishplan.screens import plan_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def opened(raw: dict[str, Any], shop: dict[str, Any] | None = None) -> AppTest:
    app = AppTest.from_function(plan_page, default_timeout=60)
    held = json.dumps(shop).encode() if shop else b""
    app.session_state[OPEN] = Source("own.json", json.dumps(raw).encode(), "shop.json" if shop else "", held)
    return app.run()


def demo() -> dict[str, Any]:
    raw: dict[str, Any] = read_job_bytes(demo_job_path().read_bytes())
    return raw


def demo_with_spot() -> dict[str, Any]:
    raw = demo()
    raw["test_spot"] = {"panel": LID, "zone": "field", "defect": 0, "before": [412], "after": [401], "steps": [
        {"step": "polishing compound", "minutes": 3}, {"step": "P1500", "minutes": 2, "cleared": True}]}
    return raw


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def minutes_of(app: AppTest, panel: str) -> str:
    """What the first list says of a panel."""
    found = re.search(rf'<a href="#panel-[0-9]+">{re.escape(panel)}</a>.*?</li>', words(app), re.DOTALL)
    assert found, panel
    return found[0]


def job_now(app: AppTest) -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(app.session_state[OPEN].job)
    return raw


def beside(app: AppTest) -> list[str]:
    return [e.value.replace("\\", "") for e in app.error]


def test_a_favour_plans_again_and_undo_names_it_and_takes_it_back() -> None:
    app = opened(*random_case(115))
    before = words(app)
    assert "In force: fewest minutes" in before and "Film against time" in before
    app.button("favour:keep film").click().run()
    assert not app.error and job_now(app)["crew"]["favour"] == "keep film"
    assert "In force: film first" in words(app) and words(app) != before
    undo = app.button("undo_choice")
    assert "favour" in undo.label and "keep film" in undo.label
    undo.click().run()
    assert words(app) == before and not [b for b in app.button if b.key == "undo_choice"]


def test_several_trades_are_drawn_and_one_is_said() -> None:
    assert 'class="curve"' in words(opened(*random_case(115)))
    app = opened(demo())
    assert 'class="curve"' not in words(app) and "One plan is best in both time and film" in words(app)


def test_own_sequence_that_breaks_a_rule_is_told_beside_its_field_and_the_plan_stays() -> None:
    app = opened(demo())
    before = minutes_of(app, LID)
    app.text_input("plan sequence").input("800 2500 cut polish finish").run()
    assert beside(app) == ["sequence: P800 to P2500 is a jump of 2.60, over 1.8; put P1500 between them"]
    assert "The plan shown is still the one before" in words(app)
    assert app.text_input("plan sequence").value == "800 2500 cut polish finish"
    assert minutes_of(app, LID) == before and app.session_state[OPEN].sequence == ()


def test_own_sequence_is_planned_and_priced_beside_the_best_plan() -> None:
    app = opened(demo())
    before = words(app)
    app.text_input("plan sequence").input("800 1000 1500 cut polish finish").run()
    assert not app.error and "start P800, three sheets and three compounds" in minutes_of(app, LID)
    assert re.search(r"Your sequence P800, P1000, P1500, cutting, polishing, finishing against the best plan: "
                     r"\+\d+ min, \+\d+\.\d cm3 of film", words(app))
    assert "the best plan goes cutting, polishing, finishing; yours P800" in words(app)
    app.text_input("plan sequence").input("").run()
    assert words(app).count("Your sequence") == 0
    assert minutes_of(app, LID) in before


@pytest.mark.parametrize(("typed", "said"), [
    ("garbage", "word is 'garbage'"), ("P801", "P800"), (",,,", "it is empty"), ("800 800 cut polish finish", "twice"),
    ("<b>*x*</b>", "letter is '<'"), ("800", "it ends at P800"),
])
def test_bad_sequences_get_one_line_never_a_traceback(typed: str, said: str) -> None:
    app = opened(demo())
    app.text_input("plan sequence").input(typed).run()
    assert not app.exception
    told = beside(app)
    assert len(told) == 1 and said in told[0] and "\n" not in told[0]


def test_a_sequence_of_one_compound_is_planned_and_priced() -> None:
    app = opened(demo())
    app.text_input("plan sequence").input("finish").run()
    assert not app.error and "Your sequence finishing against the best plan" in words(app)


def test_a_choice_that_cannot_be_planned_is_refused_beside_its_field() -> None:
    app = opened(demo())
    app.selectbox("job:crew.first_cut").select("lean").run()
    assert len(app.error) == 1 and "lean is for a finisher only" in beside(app)[0]
    assert app.selectbox("job:crew.first_cut").value == "levels"
    assert job_now(app)["crew"]["first_cut"] == "levels"
    app.selectbox("panel:rim, treble side:worker").select("finisher").run()
    assert len(app.error) == 1, "the refusal stands until that field is set again"
    app.selectbox("job:crew.first_cut").select("lean").run()
    assert not app.error and job_now(app)["crew"]["first_cut"] == "lean"


def test_person_tool_and_view_of_a_panel_plan_again() -> None:
    app = opened(demo())
    before = minutes_of(app, LID)
    app.selectbox(f"panel:{LID}:compounds_by").select("hand").run()
    assert not app.error
    slow = minutes_of(app, LID)
    assert slow != before and job_now(app)["panels"][0]["compounds_by"] == "hand"
    app.selectbox(f"panel:{LID}:worker").select("trainee").run()
    assert minutes_of(app, LID) != slow
    app.selectbox(f"panel:{LID}:seen_from").select("overall").run()
    assert job_now(app)["panels"][0]["seen_from"] == "overall"
    app.selectbox(f"panel:{LID}:compounds_by").select("").run()
    assert job_now(app)["panels"][0]["compounds_by"] is None
    for _ in range(4):
        app.button("undo_choice").click().run()
    assert minutes_of(app, LID) == before


def test_a_tool_that_own_sequence_forbids_says_what_stands_in_the_way() -> None:
    app = opened(demo())
    app.text_input("plan sequence").input("800 1000 cut polish finish").run()
    told = beside(app)
    assert told and "P1500" in told[0]
    app.text_input("plan sequence").input("800 1200 1500 cut polish finish").run()
    assert not app.error
    app.selectbox(f"panel:{LID}:compounds_by").select("hand").run()
    if app.error:
        assert "your own sequence stands" in beside(app)[0]
        assert app.selectbox(f"panel:{LID}:compounds_by").value == ""


def test_going_back_to_an_earlier_choice_is_not_worked_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Source] = []
    planned = answers.planned
    monkeypatch.setattr(answers, "planned", lambda source: (asked.append(source), planned(source))[1])
    app = opened(demo())
    app.button("favour:quick").click().run()
    app.button("favour:balanced").click().run()
    assert len(asked) == len({source.job for source in asked}) <= 3


def test_a_tick_stays_while_just_that_much_is_needed() -> None:
    app = opened(demo())
    sheets = next(box for box in app.checkbox if box.label.startswith("sheet P800"))
    assert "4 sheets" in sheets.label
    sheets.check().run()
    app.button("favour:quick").click().run()
    assert [b.label for b in app.checkbox if b.value] == [sheets.label]
    app.text_input("plan sequence").input("800 1000 1500 cut polish finish").run()
    assert not [b for b in app.checkbox if b.value], "more is needed now: it has to be laid out anew"
    app.text_input("plan sequence").input("").run()
    assert [b.label for b in app.checkbox if b.value] == [sheets.label]
    app.checkbox(key=next(b.key for b in app.checkbox if b.value)).uncheck().run()
    assert not [b for b in app.checkbox if b.value]


def test_risk_fills_its_place_after_the_plan() -> None:
    app = opened(demo())
    html = words(app)
    assert "Being worked out" not in html
    assert re.search(r"Sanding through anywhere: (under )?1 in \d+", html) and "4 in 5" in html
    assert html.index(">How sure this is</h2>") < html.index(">Time</h2>")
    assert "0.00 %" not in html and not re.search(r"quantile|posterior|P80\b|objective|penalty", html)


def test_a_risk_that_cannot_be_worked_out_leaves_the_plan_standing(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(source: Source) -> None:
        raise FinishplanError("draws ran out")

    monkeypatch.setattr(answers, "audited", fails)
    app = opened(demo())
    assert beside(app) == ["draws ran out"]
    assert ">Notes</h2>" in words(app) and "can start" in words(app)


def test_every_zone_the_whole_job_and_materials_tell_where_their_numbers_come_from() -> None:
    app = opened(demo())
    box = app.selectbox("numbers_of")
    assert box.options[0] == f"{LID}, field" and box.options[-2:] == ["the whole job", "what is used up"]
    assert "405.8 - 2.654 x 28.12 - 14.17" in words(app) and "NIST/SEMATECH e-Handbook" in words(app)
    box.select("the whole job").run()
    assert "worth of film x film taken" in words(app) and "405.8 -" not in words(app)
    app.selectbox("numbers_of").select("what is used up").run()
    assert "area x grams a m2" in words(app)
    assert re.search(r"This plan rests on \d+ figures: \d+ assumed", words(app))


def test_the_test_spot_is_shown_before_and_after_and_can_be_undone() -> None:
    app = opened(demo_with_spot())
    html = words(app)
    assert "What the test spot changed" in html and "main lid, top, field: 2 scratches" in html
    assert "Polishing 3 min (still there) then P1500 2 min (gone); film 412 um before, 401 um after." in html
    assert "This plan against the one before the test spot:" in html and "from the test spot" in html
    app.button("test_spot_out").click().run()
    assert "What the test spot changed" not in words(app) and job_now(app)["test_spot"] is None
    app.button("undo_choice").click().run()
    assert words(app) == html


def test_names_with_markup_show_as_typed_in_labels() -> None:
    raw = demo()
    raw["panels"][0]["name"] = "<b>lid</b> *bold* $x$ :red[y]"
    app = opened(raw)
    app.selectbox("panel:<b>lid</b> *bold* $x$ :red[y]:worker").select("trainee").run()
    assert not app.exception and not app.error
    assert "\\*bold\\*" in app.button("undo_choice").label and "\\:red\\[" in app.button("undo_choice").label
    assert "<b>lid" not in words(app)


def test_a_large_job_says_that_it_is_being_planned() -> None:
    raw = demo()
    raw["panels"] = [{**raw["panels"][3], "name": f"panel {k}"} for k in range(30)]
    app = opened(raw)
    assert [t.value for t in app.toast] == ["Planning 30 panels with 30 entries of damage: a moment."]
    assert not opened(demo()).toast


def test_closing_the_job_forgets_its_choices() -> None:
    app = opened(demo())
    app.button("favour:quick").click().run()
    app.button("close").click().run()
    app.button("demo").click().run()
    assert not [b for b in app.button if b.key == "undo_choice"]
