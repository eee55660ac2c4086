"""Inspection on the Plan page: kept as it is typed, judged at once, signed by panel, printed with care."""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile

import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from finishplan.bench.inspection import typed_found
from finishplan.errors import FinishplanError
from finishplan.paper.sheets import inspection_pdf
from finishplan.records.files import demo_job_path, read_job_bytes
from finishplan.records.photos import add_photo
from finishplan.records.signatures import signatures_of
from finishplan.records.store import Store
from finishplan.screens.parts import inspect_all, inspect_kept, kept
from finishplan.screens.parts.opening import OPEN, Source
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up

LID = "main lid, top"


def plan_page() -> None:
    from finishplan.screens import plan_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


@pytest.fixture
def job_id(kept_store: Store) -> str:
    kept_store.shop("F1", kept.now())
    return kept_store.start(read_job_bytes(demo_job_path().read_bytes()), "F1", kept.now()).id


def opened(job_id: str) -> AppTest:
    app = AppTest.from_function(plan_page, default_timeout=60)
    app.session_state[kept.JOB] = job_id
    app.run()
    app.session_state["inspection"] = True
    return app.run()


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def key(job_id: str, field: str) -> str:
    return f"inspect {job_id} {LID} {field}"


def read(app: AppTest, job_id: str, face: float = 88.0, rating: int = 4) -> AppTest:
    inspect = f"inspect {job_id} {LID} "
    app.button_group(f"{inspect}angle_deg").set_value(20.0).run()
    app.number_input(f"{inspect}face_gu").set_value(face).run()
    app.number_input(f"{inspect}neighbour_gu").set_value(90.0).run()
    return app.radio(f"{inspect}image_rating").set_value(rating).run()


def test_what_is_typed_is_kept_judged_and_signed(job_id: str, kept_store: Store) -> None:
    app = opened(job_id)
    assert "inspected: nothing" not in words(app) and f"{LID}: not inspected" in words(app)
    app = read(app, job_id)
    assert not app.error and not app.exception
    held = inspect_kept.typed(job_id)[LID]
    assert (held["angle_deg"], held["face_gu"], held["neighbour_gu"], held["image_rating"]) == (20.0, 88.0, 90.0, 4)
    assert "accepted: 88.0 GU at 20 degrees, 2.0 GU under its neighbour; 5 or less is accepted" in words(app)
    app.selectbox("inspect who").select("somebody else")
    app.text_input("inspect name").input("Rosa (invented)")
    app.button("inspect_sign").click().run()
    assert not app.error and not app.exception
    (one,) = signatures_of(kept_store, job_id, "inspection")
    assert (one.what, one.who, one.body["gloss"]["face_gu"]) == (LID, "Rosa (invented)", 88.0)
    assert "Signed: Rosa (invented)" in words(app) and "sign again" not in words(app)
    app.number_input(key(job_id, "face_gu")).set_value(80.0).run()
    told = words(app)
    assert "not accepted: 80.0 GU" in told and "Something was changed since: sign again." in told
    again = opened(job_id)
    assert again.number_input(key(job_id, "face_gu")).value == 80.0, "nothing typed is lost"


def test_two_people_at_once_lose_nothing_and_choose_where_they_differ(job_id: str, kept_store: Store) -> None:
    ana, ben = opened(job_id), opened(job_id)
    ana.session_state[kept.WHO], ben.session_state[kept.WHO] = "Ana", "Ben"
    ana.number_input(key(job_id, "face_gu")).set_value(88.0).run()
    ben.number_input(key(job_id, "neighbour_gu")).set_value(90.0).run()
    assert ben.number_input(key(job_id, "face_gu")).value == 88.0, "what another typed fills the box"
    ana.radio(key(job_id, "image_rating")).set_value(4).run()
    ben.radio(key(job_id, "image_rating")).set_value(2).run()
    assert inspect_kept.typed(job_id)[LID] == {"face_gu": 88.0, "neighbour_gu": 90.0, "image_rating": 4}
    assert "Two people typed different things: image rating" in words(ben) and "Ben, " in words(ben)
    assert ben.radio(key(job_id, "image_rating")).value == 4
    assert "Two people typed different things" in words(ana.run()), "the other sees it too"
    ben.selectbox("inspect who").select("somebody else")
    ben.text_input("inspect name").input("Rosa (invented)")
    ben.button("inspect_sign").click().run()
    assert ["choose first" in error.value for error in ben.error] == [True] and signatures_of(kept_store, job_id) == ()
    last = next(button for button in reversed(ben.button) if str(button.key).startswith("counts "))
    last.click().run()
    assert not ben.error and "Two people" not in words(ben) and ben.radio(key(job_id, "image_rating")).value == 2
    assert inspect_kept.typed(job_id)[LID]["image_rating"] == 2


def test_nobody_signs_what_was_typed_behind_their_back(job_id: str, kept_store: Store) -> None:
    ana, ben = opened(job_id), opened(job_id)
    ana.radio(key(job_id, "image_rating")).set_value(4).run()
    ana.selectbox("inspect who").select("somebody else")
    ana.text_input("inspect name").input("Rosa (invented)").run()
    ben.run()
    ben.text_area(key(job_id, "note")).set_value("a wave").run()
    ana.button("inspect_sign").click().run()
    assert ["typed here meanwhile" in error.value for error in ana.error] == [True]
    assert signatures_of(kept_store, job_id) == () and ana.text_area(key(job_id, "note")).value == "a wave"
    ana.button("inspect_sign").click().run()
    assert not ana.error and len(signatures_of(kept_store, job_id)) == 1


def test_signing_asks_for_a_reading_and_a_name(job_id: str, kept_store: Store) -> None:
    app = opened(job_id)
    app.selectbox("inspect who").select("somebody else")
    app.button("inspect_sign").click().run()
    assert ["write who signs" in error.value for error in app.error] == [True]
    app.text_input("inspect name").input("Rosa")
    app.button("inspect_sign").click().run()
    assert ["read gloss or rate the image first" in error.value for error in app.error] == [True]
    assert signatures_of(kept_store, job_id) == ()


def test_the_agreed_distance_and_what_stays_are_on_the_page(job_id: str) -> None:
    told = words(opened(job_id))
    assert "Agreed: detail, from" in told and "Stays by agreement, or is not dealt with:" in told
    assert "2 fine scratches" in told and "stays as it is" in told


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler-utils to read pages back")
def test_the_printed_form_holds_signature_and_names_of_photos(job_id: str, kept_store: Store) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "black").save(picture, "PNG")
    row = add_photo(kept_store, job_id, picture.getvalue(), "lid afterwards.png", "F1", kept.now())
    read(opened(job_id), job_id)
    inspect_kept.keep(job_id, LID, "photos_after", [row.digest])
    inspect_kept.sign_panel(job_id, LID, "Rosa (invented)")
    (found,) = inspect_kept.findings(job_id)
    assert found.signed.startswith("Rosa (invented), 20") and found.signed.endswith("revision 1")
    answer = work_up(read_job_dict(kept_store.open(job_id).body), default_profile(), draws=0)
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(inspection_pdf(answer, "A4", 1, [found], inspect_kept.photo_names(job_id)))
        file.flush()
        printed = subprocess.run(["pdftotext", "-raw", file.name, "-"], capture_output=True, check=True).stdout.decode()
    told = " ".join(printed.split())
    for wanted in ("lid afterwards.png", "ACCEPTED: 88.0 GU at 20 degrees", "Signed: Rosa (invented)", "Care:",
                   "No silicone, no wax"):
        assert wanted in told, wanted


def test_a_job_that_is_only_looked_at_has_the_form_to_print() -> None:
    app = AppTest.from_function(plan_page, default_timeout=60)
    app.session_state[OPEN] = Source("job.json", demo_job_path().read_bytes(), demo=True)
    app.run()
    app.session_state["inspection"] = True
    app.run()
    assert inspect_all.NOT_KEPT in words(app) and not app.error and not app.exception


@pytest.mark.parametrize(("typed", "said"), [
    ({"angle_deg": 45.0, "face_gu": 80.0, "neighbour_gu": 80.0}, "read gloss at 20 or at 60 degrees"),
    ({"image_rating": 6}, "image_rating is 6"),
    ({"angle_deg": 20.0, "face_gu": 300.0, "neighbour_gu": 80.0}, "face_gu is 300"),
])
def test_what_cannot_be_is_refused(typed: dict[str, object], said: str) -> None:
    with pytest.raises(FinishplanError, match=said):
        typed_found(LID, typed)


def test_half_a_pair_of_readings_is_no_reading_yet() -> None:
    assert typed_found(LID, {"angle_deg": 20.0, "face_gu": 80.0}).gloss is None
    assert typed_found(LID, {"image_rating": 4, "note": "wave at the hinge"}).note == "wave at the hinge"
