"""Who signs, on the Shop page: a trainee at the keyboard makes nobody a signer, by no way that leads there."""

from __future__ import annotations

import json
from typing import Any

import pytest
from shop_screen import AT, body, box, errors, fine, opened, press, words
from streamlit.testing.v1 import AppTest

from finishplan.records import pins, signers
from finishplan.records.store import SHOP_ID, Store

PIN = "2580"
FINISHER = {"id": "Ana", "role": "finisher"}
TRAINEE = {"id": "Tom", "role": "trainee"}


@pytest.fixture
def shop(kept_store: Store) -> Store:
    """A shop of one finisher with a PIN, and a trainee."""
    kept_store.shop("Ana", AT)
    kept_store.change(SHOP_ID, lambda shop: {**shop, "people": [FINISHER, TRAINEE]}, "Ana", AT, "our people")
    pins.set_pin(kept_store, "Ana", PIN, "Ana", AT)
    return kept_store


def roles(store: Store) -> dict[str, str]:
    return {one["id"]: one.get("role", "finisher") for one in body(store).get("people", ())}


def add(app: AppTest, name: str, role: str = "finisher") -> AppTest:
    box(app, "Short name, signs with it").set_value(name)
    [found for found in app.selectbox if found.label == "Role"][-1].set_value(role)
    return press(app, "Add")


def yes(app: AppTest, pin: str = PIN) -> AppTest:
    box(app, "PIN of who says yes").set_value(pin)
    return press(app, "Yes, change it")


def test_somebody_new_who_signs_waits_for_the_yes_of_one_who_does(shop: Store) -> None:
    app = fine(add(opened("People"), "Mia"))
    assert "Mia will sign as a finisher." in words(app) and "Mia" not in roles(shop)
    assert "Ana: wrong PIN; 4 more wrong ones lock the name" in errors(yes(app, "0000"))
    assert "Mia" not in roles(shop) and box(app, "PIN of who says yes").value == ""
    fine(yes(app))
    assert roles(shop)["Mia"] == "finisher" and "This changes who signs" not in words(app)
    tried = [line.what for line in pins.attempts(shop, "Ana") if line.tried != "set"]
    assert tried == ["who signs: Mia will sign as a finisher."] * 2
    app = fine(add(app, "Zoe", "trainee"))
    assert roles(shop)["Zoe"] == "trainee", "a trainee needs nobody's yes"


def test_a_trainee_is_no_finisher_before_the_yes_and_it_can_be_left(shop: Store) -> None:
    app = opened("People", shop_person="Tom")
    assert "Tom is our trainee and signs nothing" in words(app)
    assert "Set PIN" not in [button.label for button in app.button]
    box(app, "Role").set_value("finisher").run()
    assert "Tom will sign as a finisher." in words(fine(app)) and roles(shop)["Tom"] == "trainee"
    fine(press(app, "Leave it as it is"))
    assert box(app, "Role").value == "trainee" and roles(shop)["Tom"] == "trainee"
    box(app, "Role").set_value("finisher").run()
    fine(yes(app))
    assert roles(shop)["Tom"] == "finisher" and pins.people_with_pins(shop) == {"Ana"}


def test_a_pin_of_a_new_signer_is_set_by_one_who_signs(shop: Store) -> None:
    shop.change(SHOP_ID, lambda b: {**b, "people": [FINISHER, {"id": "Ben"}]}, "Ana", AT, "Ben")
    app = opened("People", shop_person="Ben")

    def set_pin(old: str) -> AppTest:
        box(app, "New PIN, 4 to 12 digits").set_value("9137")
        box(app, "The same again").set_value("9137")
        box(app, "Present PIN of that person").set_value(old)
        return press(app, "Set PIN")

    assert "Ana: wrong PIN" in errors(set_pin("9137")) and pins.people_with_pins(shop) == {"Ana"}
    fine(set_pin(PIN))
    assert pins.people_with_pins(shop) == {"Ana", "Ben"}
    assert shop.history(SHOP_ID, 1)[0].wording == "PIN of Ben set by Ana"
    assert "9137" not in words(app) + json.dumps(body(shop)) and PIN not in words(app)


def test_no_file_undo_or_redo_is_a_way_round(shop: Store) -> None:
    theirs = {"format": "finishplan-shop", "version": 1, "people": [{"id": "Tom"}]}
    app = opened("Shop file", shop_file_waits=("their.json", theirs))
    fine(press(app, "Put their.json in place of ours"))
    assert "Tom will sign as a finisher." in words(app) and "Ana will sign no longer." in words(app)
    assert roles(shop) == {"Ana": "finisher", "Tom": "trainee"}
    fine(yes(app))
    assert roles(shop) == {"Tom": "finisher"} and "would change" not in words(app)
    app = press(app, "Undo: shop file their.json brought in")
    assert roles(shop) == {"Tom": "finisher"} and signers.COMMAND in words(app), "Tom has no PIN, so nobody can say yes"
    assert "Yes, change it" not in [button.label for button in app.button]
    signers.name_signer(shop, "Ana", "9137", AT)
    app = opened("People")
    app = press(app, "Undo: Ana, finisher, named at the machine itself")
    assert "Ana will sign no longer." in words(app) and "Ana" in roles(shop)
    assert "Tom has no PIN yet" not in errors(app)
    fine(yes(app, "9137"))
    assert "Ana" not in roles(shop)
    app = press(app, "Redo: Ana, finisher, named at the machine itself")
    assert "Ana will sign as a finisher." in words(app) and "Ana" not in roles(shop)


def test_going_back_to_other_signers_waits_too(shop: Store) -> None:
    app = opened("Steps")
    app.session_state["shop_history_open"] = True
    app = fine(app.run())
    box(app, "Compare what stands with revision").set_value(1).run()
    fine(press(app, "Go back to revision 1"))
    assert "Ana will sign no longer." in words(app) and roles(shop)["Ana"] == "finisher"
    fine(yes(app))
    assert roles(shop) == {}
    assert "At the machine itself" in words(add(opened("People"), "Tom")) and roles(shop) == {}


def test_before_the_first_pin_all_is_free(kept_store: Store) -> None:
    app = fine(add(opened("People"), "Ana"))
    assert roles(kept_store) == {"Ana": "finisher"}
    assert "The first PIN of the shop is free" in words(app)
    given: dict[str, Any] = {"New PIN, 4 to 12 digits": PIN, "The same again": PIN}
    for label, value in given.items():
        box(app, label).set_value(value)
    fine(press(app, "Set PIN"))
    assert signers.guarded(kept_store) and "The first PIN of the shop is free" not in words(app)


def test_nobody_is_called_as_the_passphrase_is_kept(kept_store: Store) -> None:
    assert "stands there already" in errors(add(opened("People"), pins.NOT_A_PERSON)) and roles(kept_store) == {}
