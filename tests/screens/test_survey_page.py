"""The Survey page run without a browser: every edit kept at once, told by name, undone; two people at one job."""
from __future__ import annotations

import io
import json

import pytest
from PIL import Image
from survey_kept import AT, DEPTH, LID, PLACE, Survey, box, defects, fine, plainly, press, readings, type_row, words

from finishplan.records import photos
from finishplan.records.faults import StoreFull
from finishplan.records.files import demo_job_path
from finishplan.records.store import Store
from finishplan.screens.parts import following, questions, standing
from finishplan.survey import edits_entries
from finishplan.survey.edits import zone_at
from finishplan.survey.templates import template_job


@pytest.fixture
def demo(kept_store: Store) -> str:
    body = json.loads(demo_job_path().read_text(encoding="utf-8"))
    return kept_store.start(body, "anna", AT).id



def test_without_a_job_the_page_leads_to_one(survey: Survey, kept_store: Store) -> None:
    app = fine(survey())
    assert [button.label for button in app.button] == ["Open the demo job", "Start a job", "To the jobs"]
    app.button("demo").click().run()
    assert "Demo (invented)" in words(fine(app))


def test_a_job_that_is_not_kept_here_is_told_and_let_go(survey: Survey, kept_store: Store) -> None:
    app = survey("0123456789abcdef")
    assert "no job '0123456789abcdef' is kept here" in plainly(app)[0]
    assert "No job is open" in words(app.run())


def test_all_five_ways_of_entering_open_without_a_fault(survey: Survey, demo: str) -> None:
    app = survey(demo)
    for mode in ("Readings", "Defects", "Test spot", "Photos", "Panel"):
        fine(app.button_group("survey mode").set_value(mode).run())


def test_a_typed_row_is_one_spot_and_one_revision(survey: Survey, kept_store: Store, demo: str) -> None:
    app = fine(type_row(survey(demo), "399 401.5 403"))
    assert readings(kept_store, demo)[6:] == [399, 401.5, 403]
    added = zone_at(kept_store.open(demo).body, *LID)["readings"][6]
    assert added == {"um": 399, "method": "ultrasonic", "spot": 39}
    opened = kept_store.open(demo)
    assert opened.revision == 2 and opened.wording == (
        "main lid, top, field: readings 399, 401.5, 403 um at spot 39, ultrasonic")
    assert app.number_input("survey spot 40").value == 40
    type_row(app, "390")
    assert zone_at(kept_store.open(demo).body, *LID)["readings"][9]["spot"] == 40


def test_method_and_spot_of_ones_own_are_taken(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo)
    app.selectbox("survey method").set_value("loupe at chip").run()
    app.number_input("survey spot 39").set_value(7).run()
    type_row(app, "350")
    assert zone_at(kept_store.open(demo).body, *LID)["readings"][6] == {
        "um": 350, "method": "loupe at chip", "spot": 7}


def test_undo_and_redo_name_what_they_do(survey: Survey, kept_store: Store, demo: str) -> None:
    app = type_row(survey(demo), "399")
    told = "main lid, top, field: reading 399 um at spot 39, ultrasonic"
    press(app, f"Undo: {told}")
    assert len(readings(kept_store, demo)) == 6
    press(app, f"Redo: {told}")
    assert readings(kept_store, demo)[6:] == [399]
    assert len(kept_store.history(demo)) == 4
    fine(app)


@pytest.mark.parametrize(("button", "kept_um"), [("Keep 4120", [4120]), ("It is 412", [412]), ("Leave it out", [])])
def test_an_odd_value_asks_back(
    survey: Survey, kept_store: Store, demo: str, button: str, kept_um: list[float],
) -> None:
    app = type_row(survey(demo), "399 4120")
    assert readings(kept_store, demo)[6:] == [399]
    assert "4120 um beside a usual 407 um: is it 412?" in words(app)
    again = survey(demo)  # another tab, or the page closed and opened again
    assert "4120 um beside" in words(again)
    press(again, button)
    assert readings(kept_store, demo)[6:] == [399, *kept_um]
    assert "beside a usual" not in words(again) and questions.waiting(demo) == []


def test_what_cannot_be_read_is_quoted_and_the_rest_is_kept(survey: Survey, kept_store: Store, demo: str) -> None:
    app = type_row(survey(demo), "399 4o5 <b>")
    assert readings(kept_store, demo)[6:] == [399]
    assert plainly(app) == ["Taken: 399. Left out: '4o5' is no number; type film in um, as in 412; '<b>' is no "
                            "number; type film in um, as in 412. You typed: 399 4o5 <b>"]
    assert "You typed" not in " ".join(plainly(app.run()))


def test_where_the_store_cannot_keep_a_row_it_stays_to_be_read(
    survey: Survey, demo: str, monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = survey(demo)

    def full(*args: object, **kwargs: object) -> None:
        raise StoreFull("no room is left for the database x; free some space and save again")

    monkeypatch.setattr(Store, "change", full)
    type_row(app, "399 401")
    assert plainly(app) == ["no room is left for the database x; free some space and save again (not kept: 399 401)"]


def test_one_reading_is_changed_and_taken_out(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, reading_open=True)
    box(app, "number_input", "Film, um").set_value(415.0).run()
    box(app, "text_input", "Note").set_value("by the lock").run()
    first = zone_at(kept_store.open(demo).body, *LID)["readings"][0]
    assert first["um"] == 415 and first["note"] == "by the lock" and first["at"] == {"x": 0.2, "y": 0.2}
    press(app, "Take this reading out")
    assert readings(kept_store, demo) == [398, 405, 391, 420, 409]
    fine(app)


def test_a_defect_is_added_described_and_taken_out(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, survey_mode="Defects")
    app.button_group("survey kind False").set_value("nick").run()
    press(app, "Add nick without a place")
    assert defects(kept_store, demo)[5] == {"kind": "nick"}
    box(app, "number_input", "How many").set_value(2).run()
    box(app, "number_input", "Length, mm").set_value(4.5).run()
    box(app, "text_input", DEPTH).set_value("120").run()
    box(app, "text_input", PLACE).set_value("25 75").run()
    box(app, "button_group", "Wish (none: removed where it is seen)").set_value("soften").run()
    fine(app)
    found = defects(kept_store, demo)[5]
    assert {name: found[name] for name in ("count", "length_mm", "depth_um", "at", "wish")} == {
        "count": 2, "length_mm": 4.5, "depth_um": 120, "at": {"x": 0.25, "y": 0.75}, "wish": "soften"}
    press(app, "Take this defect out")
    assert len(defects(kept_store, demo)) == 5


def test_what_no_job_can_hold_is_told_beside_and_kept_once_it_makes_sense(
    survey: Survey, kept_store: Store, demo: str,
) -> None:
    app = survey(demo, survey_mode="Defects")
    app.button_group("survey kind False").set_value("scratch").run()
    press(app, "Add scratch without a place")
    box(app, "text_input", DEPTH).set_value("900").run()
    said = plainly(app)[0]
    assert "Not kept at main lid, top, field, f: " in said and "deeper than the film there (mean 406 um)" in said
    box(app, "number_input", "How many").set_value(2).run()
    assert "deeper than the film" in plainly(app)[0], "as long as it is not kept, it says so"
    assert defects(kept_store, demo)[5] == {"kind": "scratch", "count": 2}
    assert box(app, "text_input", DEPTH).value == "900"
    box(app, "text_input", "Note").set_value("measured at the edge of the chip").run()
    fine(app)
    assert defects(kept_store, demo)[5]["depth_um"] == 900


@pytest.mark.parametrize(("typed", "said"), [
    ("10 20", "type one measured depth, or three: low, likely and high"), ("deep", "leave it empty, or type one"),
    ("20 10 30", "does not rise"),
])
def test_a_depth_that_cannot_be_read_is_told_and_stays(
    survey: Survey, kept_store: Store, demo: str, typed: str, said: str,
) -> None:
    app = survey(demo, survey_mode="Defects")
    app.button(f"look at {LID} 0").click().run()
    box(app, "text_input", DEPTH).set_value(typed).run()
    assert said in plainly(app)[0] and box(app, "text_input", DEPTH).value == typed
    assert kept_store.open(demo).revision == 1


def test_all_kinds_are_one_press_away(survey: Survey, demo: str) -> None:
    app = survey(demo, survey_mode="Defects")
    assert len(app.button_group("survey kind False").options) == len(edits_entries.USUAL_KINDS)
    app.toggle("survey all kinds").set_value(True).run()
    assert len(app.button_group("survey kind True").options) == 33


def test_finish_and_build_come_first_until_they_are_known(survey: Survey, kept_store: Store) -> None:
    job_id = kept_store.start(template_job("grand", "x"), "anna", AT).id
    app = survey(job_id)
    assert "Finish and build first" in words(app)
    box(app, "button_group", "The finish is").set_value("polyester").run()
    box(app, "button_group", "It is built").set_value("pigmented through").run()
    box(app, "text_input", "Shown how").set_value("solvent on a hidden spot").run()
    box(app, "selectbox", "Lies under another coat").set_value("no").run()
    press(app, "That is all known of the finish")
    fine(app)
    body = kept_store.open(job_id).body
    assert body["finish_id"] == {"result": "polyester", "how": "solvent on a hidden spot"}
    assert body["build"] == "pigmented through" and body["instrument"]["overcoated"] is False
    assert "Finish and build first" not in words(app)


def test_instrument_and_place_are_kept(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, about_open=True)
    box(app, "text_input", "Customer").set_value("C")
    box(app, "number_input", "Room, m3").set_value(90.0)
    box(app, "text_area", "Note on how it is seen").set_value("").run()
    fine(app)
    body = kept_store.open(demo).body
    assert body["customer"] == "C" and body["site"]["room_m3"] == 90 and body["view_note"] == ""
    assert kept_store.open(demo).wording == "customer: C; note on how it is seen: not given; room, m3: 90"


def test_one_walks_from_panel_to_panel(survey: Survey, demo: str) -> None:
    app = survey(demo)
    assert app.selectbox("survey pick").label == "Panel 1 of 7" and app.button("before").disabled
    app.button("after").click().run()
    assert app.selectbox("survey pick").value == "front lid flap"
    app.button("onward").click().run()
    assert "<h2>rim, bass side</h2>" in words(app)
    app.selectbox("survey pick").set_value("arm, treble").run()
    assert app.button("after").disabled and app.button("onward").disabled
    app.button("before").click().run()
    assert app.selectbox("survey pick").label == "Panel 6 of 7"
    fine(app)


def test_panel_and_zones_are_changed_added_and_taken_out(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, survey_mode="Panel")
    app.text_input[0].set_value("lid, outside").run()
    box(app, "text_input", "Width and height, m").set_value("1.5 x 1.4").run()
    body = kept_store.open(demo).body
    assert body["panels"][0]["name"] == "lid, outside" and body["panels"][0]["size_m"] == {"width": 1.5, "height": 1.4}
    assert "<h2>lid, outside</h2>" in words(app)
    press(app, "Later in the walk")
    press(app, "Add a panel")
    app.number_input("new zone area").set_value(0.02)
    press(app, "Add a zone here")
    body = kept_store.open(demo).body
    assert [panel["name"] for panel in body["panels"]][1::6] == ["lid, outside", "lid, top"]
    assert [zone["name"] for zone in body["panels"][1]["zones"]] == ["field", "front edge", "field 2"]
    press(app, "Take this panel out")
    assert len(kept_store.open(demo).body["panels"]) == 7
    fine(app)


def test_a_zone_without_an_area_is_told(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, survey_mode="Panel")
    press(app, "Add a zone here")
    assert "'Area, m2' is empty" in plainly(app)[0] and kept_store.open(demo).revision == 1


def test_a_test_spot_is_entered_step_by_step(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, survey_mode="Test spot")
    press(app, "Add this step")
    assert "give how long the step was worked" in plainly(app)[0]
    app.selectbox("test name").set_value("P1500")
    app.number_input("test minutes").set_value(4.0)
    app.checkbox("test cleared").set_value(True)
    press(app, "Add this step")
    box(app, "text_input", "Film before, um").set_value("405 401 408").run()
    box(app, "text_input", "Film after, um").set_value("388").run()
    fine(app)
    assert kept_store.open(demo).body["test_spot"] == {
        "panel": LID[0], "zone": LID[1], "defect": 0, "steps": [{"step": "P1500", "minutes": 4, "cleared": True}],
        "before": [405, 401, 408], "after": [388]}
    press(app, "Take the last step out")
    assert kept_store.open(demo).body["test_spot"] is None


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "PNG")
    return out.getvalue()


def test_a_photo_is_kept_at_its_defect_and_heic_is_refused_in_words(
    survey: Survey, kept_store: Store, demo: str,
) -> None:
    app = survey(demo, survey_mode="Photos")
    app.selectbox(f"photo of {LID}").set_value(1).run()
    up = next(f for f in app.file_uploader if f.label == "Photos")
    up.set_value([("nick.png", picture(), "image/png"),
                  ("x.heic", b"\0\0\0\x18ftypheic" + b"\0" * 20, "image/heic")]).run()
    assert "x.heic: this is a HEIC picture" in plainly(app)[0]
    (row,) = photos.photos_of(kept_store, demo)
    assert defects(kept_store, demo)[1]["photos"] == [row.digest]
    assert row.name == "nick.png" and not app.exception


def test_a_table_of_readings_is_brought_in(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, sheets_open=True)
    up = next(f for f in app.file_uploader if f.label == "CSV or XLSX")
    up.set_value(("r.csv", b"panel,zone,um,spot\nkey slip,field,140,60\nkey slip,field,141,60\n", "text/csv")).run()
    fine(app)
    assert readings(kept_store, demo, ("key slip", "field"))[4:] == [140, 141]
    assert kept_store.open(demo).wording == "2 readings from r.csv"
    up = next(f for f in app.file_uploader if f.label == "CSV or XLSX")
    up.set_value(("r.csv", b"panel,zone,um\nkey slipp,field,140\n", "text/csv")).run()
    assert "did you mean 'key slip'" in plainly(app)[0]


def test_an_old_revision_is_compared_and_gone_back_to(survey: Survey, kept_store: Store, demo: str) -> None:
    app = type_row(survey(demo, history_open=True), "399")
    app.selectbox("history pick").set_value(1).run()
    assert "reading 399 um (ultrasonic, spot 39) added" in words(app)
    press(app, "Go back to revision 1")
    assert len(readings(kept_store, demo)) == 6 and kept_store.open(demo).revision == 3
    fine(app)


def test_the_plan_s_first_line_and_the_next_reading_follow(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo)
    assert "Four of seven panels can start." in words(app)
    standing.work(app.session_state[following.STANDING], 20.0)
    assert "Working out" not in words(app.run())
    assert "Take the next reading beside the suspect one at rim, bass side, field" in words(app)
    app.selectbox("survey pick").set_value("arm, treble").run()
    app.button_group("survey mode").set_value("Defects").run()
    app.button("look at ('arm, treble', 'field') 0").click().run()
    press(app, "Take this defect out")
    assert "Five of seven panels can start." in words(fine(app))


# Two people at one job


def test_what_could_not_be_kept_is_told_even_when_one_has_walked_on(survey: Survey, demo: str) -> None:
    app = survey(demo, survey_mode="Defects")
    app.button(f"look at {LID} 0").click().run()
    box(app, "text_input", DEPTH).set_value("10 20")
    app.button("onward").click().run()
    assert "<h2>front lid flap</h2>" in words(app)
    assert plainly(app)[0].startswith("Not kept at main lid, top, field, a: depth, um is '10 20'; type one measured")
    app.button("onward").click().run()
    fine(app)


def test_a_message_stays_until_the_person_does_the_next_thing(survey: Survey, demo: str) -> None:
    app = type_row(survey(demo), "4o5")
    app.session_state["telling again"] = True  # as the page does when the next reading is worked out
    assert "'4o5' is no number" in plainly(app.run())[0]
    assert "'4o5' is no number" not in " ".join(plainly(app.run()))
