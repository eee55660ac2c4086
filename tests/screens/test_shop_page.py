"""The Shop page run without a browser: each change one revision, each value back to shipped, two people told."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from shop_screen import AT, body, box, errors, fine, opened, press, words
from streamlit.testing.v1 import AppTest

from finishplan.records import pins
from finishplan.records.shop_whole import (
    MINUTES_GROUPS,
    gear_figures,
    home_figures,
    minutes_figures,
    office_figures,
    quote_figures,
    step_figures,
)
from finishplan.records.store import SHOP_ID, Store
from finishplan.screens.parts import kept, shop_doing, shop_exchange
from finishplan.screens.shop_page import SECTIONS
from finishplan.shop.figures import (
    POLICY_GROUPS,
    hours_figures,
    person_figures,
    policy_group,
    price_figures,
    shop_figures,
    tool_figures,
)

Shop = Callable[..., AppTest]
Q = "P600"


@pytest.fixture
def shop(kept_store: Store) -> Shop:
    """Opens the Shop page at a section in a session of its own."""
    return opened


def shown(app: AppTest) -> set[str]:
    """Return the names of the figures that have a box on the page."""
    kinds = ("number_input", "text_input", "selectbox", "text_area")
    keys = [str(found.key) for kind in kinds for found in getattr(app, kind)]
    return {key.split(" ", 2)[2] for key in keys if key.startswith("shop ") and key.count(" ") >= 2}


def test_every_value_of_the_shop_has_a_box_on_the_page(shop: Shop, kept_store: Store) -> None:
    kept_store.shop("x", AT)
    kept_store.change(SHOP_ID, lambda b: {
        **b, "people": [{"id": "A"}], "prices": {"catalyst": {"pack": 100.0}}}, "x", AT, "people and a price")
    used = kept.apply_shop(kept.default_profile(), body(kept_store))
    rounds: list[tuple[str, dict[str, Any], list[Any]]] = [
        ("Steps", {"shop_step": "P600"}, step_figures(used, "P600")),
        ("Steps", {"shop_step": "cutting compound"}, step_figures(used, "cutting compound")),
        ("Tools", {"shop_tool": ("rotary", "compound")}, tool_figures(used, "rotary", "compound")),
        ("Tools", {"shop_tool": ("machine", "sheet")}, tool_figures(used, "machine", "sheet")),
        *(("Policy", {"shop_policy_group": group}, policy_group(used, group)) for group in POLICY_GROUPS),
        *(("Minutes", {"shop_minutes_group": group}, minutes_figures(used, group)) for group in MINUTES_GROUPS),
        ("People", {}, person_figures(used, "A")), ("Prices", {}, price_figures(used, "catalyst")),
        ("Our shop", {}, [*shop_figures(used), *hours_figures(used)]),
        ("Quote", {}, [*quote_figures(used), *office_figures(used)]), ("Visits", {}, home_figures(used)),
        ("Limits and gear", {}, gear_figures(used)),
    ]
    for section, state, figures in rounds:
        missing = {figure.name for figure in figures} - shown(shop(section, **state))
        assert figures and not missing, (section, state, missing)


@pytest.mark.parametrize("section", list(SECTIONS))
def test_every_section_opens_on_an_empty_shop(shop: Shop, section: str) -> None:
    assert "Our shop" in words(shop(section))


def test_a_value_is_one_revision_and_goes_back_singly_and_by_undo(shop: Shop, kept_store: Store) -> None:
    app = shop(shop_step=Q)
    assert "Shipped 3 min (assumed" in words(app)
    box(app, "Change to it, min").set_value(4.5).run()
    box(fine(app), "Scratch depth, um").set_value(6.0).run()
    assert body(kept_store)["steps"] == [{"step": Q, "change_min": 4.5, "scratch_depth_um": 6.0}]
    assert [line.wording for line in kept_store.history(SHOP_ID, 2)] == [
        "P600, Scratch depth: 6 um", "P600, Change to it: 4.5 min"]
    assert "used 4.5 min, our own." in words(app)
    back = [b for b in app.button if b.label == "As shipped"]
    assert len(back) == 2
    next(b for b in back if "change_min" in str(b.key)).click().run()
    assert body(kept_store)["steps"] == [{"step": Q, "scratch_depth_um": 6.0}]
    assert box(fine(app), "Change to it, min").value is None
    press(app, "Undo: P600, Change to it: back to shipped, 3 min")
    assert box(fine(app), "Change to it, min").value == 4.5
    assert body(kept_store)["steps"][0]["change_min"] == 4.5


def test_the_words_a_trainee_reads_stand_beside_ours_and_come_back_singly(shop: Shop, kept_store: Store) -> None:
    app = shop(shop_step=Q)
    said = words(app)
    assert "Nothing is shipped" not in said.split("Direction, in words")[-1]
    assert "as the first sheet: even matt from end to end, no shiny island, last marker line gone" in said
    assert "as the last sheet: fine even sheen" in said and "any of the four stops" in said
    box(app, "Done when").set_value("no line left under our lamp").run()
    box(fine(app), "Stop if").set_value("the slurry turns dark").run()
    assert "used no line left under our lamp, our own." in words(fine(app))
    next(b for b in app.button if b.label == "As shipped" and "done_when" in str(b.key)).click().run()
    assert body(fine(app) and kept_store)["steps"] == [{"step": Q, "stop_if": "the slurry turns dark"}]
    assert kept_store.history(SHOP_ID, 1)[0].wording == (
        "P600, Done when: back to shipped, by its place in the sequence")
    compound = words(shop(shop_step="cutting compound"))
    assert "Shipped sanding matt gone, still so once wiped with alcohol and water (common practice)" in compound
    assert "where no sheet goes before it: even gloss" in compound and "Shipped crossing passes" in compound


def test_a_value_no_shop_can_hold_is_told_and_stays_in_its_box(shop: Shop, kept_store: Store) -> None:
    app = shop("Policy", shop_policy_group="Steps in a row")
    box(app, "Coarsest jump between two sheets, by median grain, ratio").set_value(50.0).run()
    assert "'Coarsest jump between two sheets, by median grain, ratio' is 50; give a number up to 10" in errors(app)
    assert box(app, "Coarsest jump between two sheets, by median grain, ratio").value == 50.0
    assert "policy" not in body(kept_store)
    box(app, "Steps this shop does not use in a sequence, steps").set_value("P9").run()
    assert "Steps this shop does not use in a sequence" in errors(app) and "policy" not in body(kept_store)


def test_what_must_stay_of_one_place_leaves_the_others_as_shipped(shop: Shop, kept_store: Store) -> None:
    app = shop("Policy")
    box(app, "Must stay, pigmented through, edge, um").set_value(75.0).run()
    used = kept.apply_shop(kept.default_profile(), body(kept_store)).policy.keep.pigmented
    assert (used.edge, used.field) == (75.0, 80.0)
    box(fine(app), "Must stay, pigmented through, edge, um").set_value(None).run()
    assert "policy" not in body(fine(app) and kept_store)


def test_another_persons_value_stands_and_mine_is_kept_beside(shop: Shop, kept_store: Store) -> None:
    app = shop(shop_step=Q)
    kept_store.change(SHOP_ID, lambda b: {**b, "steps": [{"step": Q, "change_min": 7.0}]}, "berta", AT, "seven")
    box(app, "Change to it, min").set_value(4.0).run()
    assert "berta set 7 min meanwhile, and that stands. Yours, 4 min, is kept beside it as revision" in errors(app)
    assert body(kept_store)["steps"][0]["change_min"] == 7.0
    box(app, "Change to it, min").set_value(5.0).run()
    assert body(fine(app) and kept_store)["steps"][0]["change_min"] == 5.0
    assert [line.kind for line in kept_store.history(SHOP_ID, 2)] == ["edit", "beside"]


def test_a_grade_is_added_and_taken_out(shop: Shop, kept_store: Store) -> None:
    app = shop()
    box(app, "A grade we have beside these").set_value("US 600")
    press(app, "Add this grade")
    assert body(fine(app) and kept_store)["steps"] == [{"step": "US 600"}]
    assert box(app, "Step").value == "US 600"
    press(app, "Take US 600 out of our steps")
    assert "steps" not in body(fine(app) and kept_store)


def test_people_have_roles_and_pins_that_only_who_may_changes(shop: Shop, kept_store: Store) -> None:
    app = shop("People")
    for name, role in (("Ana", "finisher"), ("Tom", "trainee"), ("Olga", "owner")):
        box(app, "Short name, signs with it").set_value(name)
        [found for found in app.selectbox if found.label == "Role"][-1].set_value(role)
        press(app, "Add")
        fine(app)
    assert [p["role"] for p in body(kept_store)["people"]] == ["finisher", "trainee", "owner"]
    box(app, "Person").set_value("Ana").run()

    def set_pin(first: str, again: str, old: str | None = None) -> AppTest:
        box(app, "New PIN, 4 to 12 digits").set_value(first)
        box(app, "The same again").set_value(again)
        if old is not None:
            box(app, "Present PIN of that person").set_value(old)
        return press(app, "Set PIN")

    assert "the two PINs differ" in errors(set_pin("2580", "2581"))
    assert "guessed first" in errors(set_pin("1234", "1234"))
    fine(set_pin("2580", "2580"))
    assert not box(app, "New PIN, 4 to 12 digits").value, "no PIN stays in its box"
    assert pins.people_with_pins(kept_store) == {"Ana"} and "A PIN is set" in words(app)
    assert "Ana: wrong PIN" in errors(set_pin("9137", "9137", "0000"))
    fine(set_pin("9137", "9137", "2580"))
    assert pins.try_pin(kept_store, "Ana", "9137", AT).right
    assert "9137" not in json.dumps(body(kept_store)) + words(app)


def test_hours_prices_and_limits_are_typed_as_people_say_them(shop: Shop, kept_store: Store) -> None:
    app = shop("Our shop")
    box(app, "Monday").set_value("8:00-12:00, 12:30-16:30").run()
    assert body(fine(app) and kept_store)["hours"] == {"mon": [["08:00", "12:00"], ["12:30", "16:30"]]}
    app = shop("Prices")
    box(app, "A price for").set_value("catalyst")
    box(app, "A pack holds").set_value(250.0)
    box(app, "It costs").set_value(12.5)
    press(app, "Add")
    assert body(fine(app) and kept_store)["prices"] == {"catalyst": {"pack": 250.0, "price": 12.5}}
    box(app, "A pack costs").set_value(13.0).run()
    assert body(fine(app) and kept_store)["prices"]["catalyst"]["price"] == 13.0
    app = shop("Limits and gear")
    box(app, "A limit for").set_value("styrene")
    assert "the limit has no value" in errors(press(app, "Add this limit"))
    box(app, "Value").set_value(10.0)
    press(app, "Add this limit")
    assert body(fine(app) and kept_store)["local_limits"] == {"styrene": {"twa": 10.0, "unit": "ppm"}}
    box(app, "Respirator").set_value("half mask").run()
    box(fine(app), "The wearer is fit-tested").set_value(True).run()
    assert body(fine(app) and kept_store)["equipment"] == {"respirator": {"mask": "half mask", "fit_tested": True}}


def test_an_import_is_read_in_words_before_it_applies(shop: Shop, kept_store: Store) -> None:
    kept_store.shop("x", AT)
    theirs = {"format": "finishplan-shop", "version": 1, "name": "<b>Bench</b>", "currency": "EUR"}
    app = shop("Shop file", shop_file_waits=("their.json", theirs))
    assert "What their.json would change" in words(app) and "currency set to" in words(app)
    assert "&lt;b&gt;Bench" in words(app) and "name" not in body(kept_store)
    press(app, "Leave ours as it is")
    assert "would change" not in words(fine(app)) and "name" not in body(kept_store)
    app = shop("Shop file", shop_file_waits=("their.json", theirs))
    press(app, "Put their.json in place of ours")
    assert body(fine(app) and kept_store)["currency"] == "EUR"
    press(app, "Undo: shop file their.json brought in")
    assert "currency" not in body(fine(app) and kept_store)


def test_names_of_what_the_tests_put_into_the_session_are_the_pages_own() -> None:
    assert shop_exchange.WAITS == "shop file waits" and shop_doing.READ == "shop read"
