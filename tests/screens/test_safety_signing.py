"""Signing for a stop on the Safety page: kept with name, day, reason and revision; another ground opens it again."""

from __future__ import annotations

from html import unescape

import pytest
from argon2 import PasswordHasher
from streamlit.testing.v1 import AppTest

from finishplan.records import pins
from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.records.signatures import sign, signatures_of
from finishplan.records.signers import COMMAND
from finishplan.records.store import SHOP_ID, Store
from finishplan.screens.parts import kept, sign_stops

QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
"""A hash that costs nothing: what is tested is what is done with it."""


def safety_page() -> None:
    from finishplan.screens import safety_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


@pytest.fixture
def job_id(kept_store: Store) -> str:
    now = kept.now()
    kept_store.shop("F1", now)
    return kept_store.start(read_job_bytes(demo_job_path().read_bytes()), "F1", now).id


def opened(job_id: str) -> AppTest:
    app = AppTest.from_function(safety_page, default_timeout=60)
    app.session_state[kept.JOB] = job_id
    return app.run()


def words(app: AppTest) -> str:
    return unescape(" ".join(str(e.proto.body) for e in app.get("html")))


def unfold(app: AppTest, caution: str) -> AppTest:
    """The closed box by its key: an application test cannot tap it open."""
    app.session_state[f"sign_{caution}"] = True
    return app.run()


def filled(app: AppTest, caution: str, name: str, reason: str) -> AppTest:
    app.selectbox(f"signer {caution}").select(sign_stops.OTHER)
    app.text_input(f"signer name {caution}").input(name)
    app.text_area(f"signer reason {caution}").input(reason)
    next(b for b in app.button if b.key and b.key.endswith("Sign") and f"form_{caution}" in b.key).click()
    return app.run()


def test_a_stop_is_signed_for_and_no_longer_open(job_id: str, kept_store: Store) -> None:
    app = opened(job_id)
    assert "not signed for: E1" in words(app)
    app = filled(unfold(app, "E1"), "E1", "Rosa (invented)", "battery sander fetched, RCD tried")
    assert not app.error and not app.exception
    (one,) = signatures_of(kept_store, job_id, "stop")
    assert (one.what, one.who, one.reason, one.revision) == (
        "E1", "Rosa (invented)", "battery sander fetched, RCD tried", 1)
    told = words(app)
    assert "Signed by Rosa (invented)" in told and "at revision 1: battery sander fetched, RCD tried" in told
    assert "not signed for: S3" in told


@pytest.mark.parametrize(("name", "reason", "said"), [
    ("", "goggles laid out", "write who signs"), ("Rosa", "ok", "write what was done about it")])
def test_what_says_too_little_is_told_and_kept_from_the_store(
    job_id: str, kept_store: Store, name: str, reason: str, said: str
) -> None:
    app = filled(unfold(opened(job_id), "E1"), "E1", name, reason)
    assert [said in error.value for error in app.error] == [True]
    assert signatures_of(kept_store, job_id, "stop") == ()
    assert app.text_area("signer reason E1").value == reason, "what was typed stays"


def test_another_sum_asks_for_a_new_signature_and_says_what_changed(job_id: str, kept_store: Store) -> None:
    app = filled(unfold(opened(job_id), "S3"), "S3", "Rosa", "heater off, rags binned")
    assert "Signed by Rosa" in words(app)
    body = kept_store.open(job_id).body
    changed = {**body, "solvents": [{**one, "ml": 4 * one["ml"]} for one in body["solvents"]]}
    kept_store.save(job_id, changed, 1, "F1", kept.now(), "more solvent")
    told = words(opened(job_id))
    assert "To be signed anew: what this rests on has changed since it was signed." in told
    assert "Signed then by Rosa" in told and "It said then, and says no longer:" in told
    assert "The vapour of 30 ml can make" in told
    assert "S3" in told.split("not signed for: ")[1].split("<")[0]


def test_a_change_of_something_else_lets_it_stand(job_id: str, kept_store: Store) -> None:
    filled(unfold(opened(job_id), "S3"), "S3", "Rosa", "heater off, rags binned")
    body = kept_store.open(job_id).body
    kept_store.save(job_id, {**body, "customer": "another (invented)"}, 1, "F1", kept.now(), "customer")
    told = words(opened(job_id))
    assert "Signed by Rosa" in told and "To be signed anew" not in told


def our_shop(store: Store, pins_of: tuple[str, ...] = ()) -> None:
    """The demo's shop, with a finisher F1 and a trainee T1; those named get a PIN."""
    shop = read_shop_bytes(demo_shop_path().read_bytes())
    store.save(SHOP_ID, shop, store.shop("F1", kept.now()).revision, "F1", kept.now(), "demo shop")
    for name in pins_of:
        pins.set_pin(store, name, "4711", "F1", kept.now(), QUICK)


def signed(app: AppTest, caution: str, reason: str, pin: str | None = None) -> AppTest:
    app.text_area(f"signer reason {caution}").input(reason)
    if pin is not None:
        app.text_input(f"signer pin {caution}").input(pin)
    next(b for b in app.button if b.key and f"form_{caution}" in b.key).click()
    return app.run()


def test_without_a_pin_in_the_shop_a_finisher_signs_by_name_and_a_trainee_is_not_offered(
    job_id: str, kept_store: Store
) -> None:
    our_shop(kept_store)
    app = unfold(opened(job_id), "E1")
    assert sign_stops.WITHOUT_PIN in words(app)
    assert [option.split(",")[0] for option in app.selectbox("signer E1").options] == ["F1", sign_stops.OTHER]
    signed(app, "E1", "battery sander fetched")
    assert signatures_of(kept_store, job_id, "stop")[0].who == "F1"


def test_a_trainee_typed_in_as_somebody_else_signs_nothing(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store)
    app = filled(unfold(opened(job_id), "E1"), "E1", "a trainee (invented)", "battery sander fetched")
    assert ["T1 is our trainee, and signs for no stop" in error.value for error in app.error] == [True]
    assert signatures_of(kept_store, job_id, "stop") == ()


def test_where_a_finisher_has_a_pin_only_that_signs_and_every_try_is_logged(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store, pins_of=("F1", "T1"))
    app = unfold(opened(job_id), "E1")
    assert sign_stops.WITH_PIN in words(app)
    assert [option.split(",")[0] for option in app.selectbox("signer E1").options] == ["F1"]
    assert not any(box.key == "signer name E1" for box in app.text_input)
    app = signed(app, "E1", "battery sander fetched", "1234")
    assert ["wrong PIN; 4 more wrong ones lock the name" in error.value for error in app.error] == [True]
    assert signatures_of(kept_store, job_id, "stop") == ()
    assert app.text_area("signer reason E1").value == "battery sander fetched", "what was typed stays"
    assert app.text_input("signer pin E1").value == "", "but for the PIN"
    app = signed(app, "E1", "battery sander fetched", "4711")
    assert not app.error and "Signed by F1" in words(app)
    (one,) = signatures_of(kept_store, job_id, "stop")
    assert (one.who, one.what, set(one.body)) == ("F1", "E1", {"ground"})
    assert [(line.tried, line.what) for line in pins.attempts(kept_store, "F1")[:2]] == [
        ("right", "stop E1"), ("wrong", "stop E1")]


def test_where_nobody_with_a_pin_is_left_the_page_says_the_way(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store, pins_of=("F1",))
    stands = kept_store.open(SHOP_ID)
    kept_store.save(SHOP_ID, {**stands.body, "people": []}, stands.revision, "F1", kept.now(), "all gone")
    app = unfold(opened(job_id), "E1")
    assert words(app).count(sign_stops.NOBODY_LEFT) == 2 and f"{COMMAND} NAME" in words(app)
    assert not any(box.key == "signer E1" for box in app.selectbox)


def test_a_pin_set_while_the_form_was_open_is_asked_for(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store)
    app = unfold(opened(job_id), "E1")
    pins.set_pin(kept_store, "F1", "4711", "F1", kept.now(), QUICK)
    app = signed(app, "E1", "battery sander fetched")
    assert ["wrong PIN" in error.value for error in app.error] == [True]
    assert signatures_of(kept_store, job_id, "stop") == () and app.text_input("signer pin E1").value == ""


def test_the_first_form_begins_with_who_is_at_this_machine(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store)
    stands = kept_store.open(SHOP_ID)
    more = [*stands.body["people"], {"id": "F9", "role": "finisher"}]
    kept_store.save(SHOP_ID, {**stands.body, "people": more}, stands.revision, "F1", kept.now(), "one more")
    app = opened(job_id)
    app.session_state[kept.WHO] = "F9"
    assert unfold(app, "E1").selectbox("signer E1").value == "F9"


def test_the_next_form_begins_with_who_signed_last(job_id: str, kept_store: Store) -> None:
    our_shop(kept_store)
    app = filled(unfold(opened(job_id), "E1"), "E1", "Rosa (invented)", "battery sander fetched")
    assert unfold(app, "S3").selectbox("signer S3").value == sign_stops.OTHER


def test_signatures_of_before_grounds_were_kept_still_count(job_id: str, kept_store: Store) -> None:
    sign(kept_store, job_id, "stop", "E1", "Rosa", "battery sander fetched", 1, kept.now())
    assert "Signed by Rosa" in words(opened(job_id))
