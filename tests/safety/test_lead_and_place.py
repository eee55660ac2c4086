"""What is read from words: a lead test, the place of the shop, a limit typed in, a mask."""

import pytest
from made_situations import Raw, raised, raw_job, situation

from finishplan.errors import BadValue, UnknownKey, UnknownName
from finishplan.safety.air_figures import Law
from finishplan.safety.day_air import FROM_SHOP, named_mask
from finishplan.safety.day_sums import day_sums
from finishplan.safety.lead import NONE_FOUND, laboratory_found_none
from finishplan.safety.limits import PLACES
from finishplan.safety.place import ALSO_CALLED, law_note, law_of, places_named
from finishplan.shop.shop_file import ShopFile

WIPE = [{"substance": "toluene", "ml": 5.0, "minutes": 10.0}]


@pytest.mark.parametrize("text", [
    *(f"Laboratory 12, report of 3 March: {words}." for words in NONE_FOUND),
    "lab: none found", "No lead found (laboratory)", "LABORATORY:  NOT   DETECTED",
])
def test_a_laboratory_that_found_none(text: str) -> None:
    assert laboratory_found_none(text)


@pytest.mark.parametrize("text", [
    None, "", "   ", "none found", "not detected", "yes", "tested", "laboratory", "sent to the laboratory",
    "laboratory: lead found", "laboratory: 90 ppm", "laboratory: below 90 ppm", "laboratory: 0.1 %, none found",
    "laboratory: none found on the lid, 400 ppm on the rim", "laboratory: none found on the lid, rim pending",
    "laboratory result pending, none found by swab", "swab kit: no lead found", "laboratory not asked, none found",
    "field X-ray by a laboratory: none found", "XRF, lab technician: not detected", "laboratory: found",
    "laboratory: not detected, but only the lid was tested", "laboratory: traces, otherwise none found",
    "elaborate search: none found", "laboratory: detected", "laboratory: lead not found except on the plate",
])
def test_anything_else_leaves_lead_in_mind(text: str | None) -> None:
    assert not laboratory_found_none(text)


def test_a_test_that_found_lead_stays_and_says_who_decides() -> None:
    found = raised(raw_job(instrument={"year": 1970}, finish_id={"lead_test": "laboratory: lead found"}))
    assert "a qualified person decide" in found["D5"].notes[0]
    assert 'such as "laboratory: none found"' in found["D5"].notes[0]
    assert raised(raw_job(instrument={"year": 1970}))["D5"].notes == ()


@pytest.mark.parametrize(("text", "places"), [
    ("France", ("France",)), ("12 rue X, Lyon, FRANCE", ("France",)), ("UK", ("United Kingdom",)),
    ("York, England", ("United Kingdom",)), ("Fresno, California", ("California",)),
    ("California, USA", ("California",)), ("Boise, U.S.A.", ("United States",)), ("Ontario", ("Ontario",)),
    ("Ontario, California", ("California", "Ontario")), ("", ()), ("Oslo, Norway", ()), ("Ukraine", ()),
    ("Wales", ("United Kingdom",)), ("Japanese quarter", ()),
])
def test_places_are_found_in_words(text: str, places: tuple[str, ...]) -> None:
    assert set(places_named(text)) == set(places)


def test_other_names_lead_to_places_on_file() -> None:
    assert set(ALSO_CALLED.values()) <= set(PLACES)
    assert all(name == name.lower() for name in ALSO_CALLED)


@pytest.mark.parametrize(("place", "used", "said"), [
    ("Lyon, France", "France", "those on file for France"),
    ("Oslo", None, "is no place with limits on file, so the limits of OSHA and NIOSH are used"),
    ("Ontario, California", None, "means more than one place on file"),
    ("", None, "names no place"),
])
def test_law_and_what_is_said_of_it(place: str, used: str | None, said: str) -> None:
    file = ShopFile(place=place)
    assert law_of(file) == Law(used, {})
    assert said in law_note(file)


def test_limit_of_the_place_is_used_and_named() -> None:
    figures = day_sums(situation(raw_job(solvents=WIPE), {"place": "Paris, France"})).air.solvents
    (eight,) = (f for f in figures if f.what.endswith("near the face, 8 h"))
    assert eight.limit is not None and (eight.limit.whose, eight.limit.value) == ("France (law)", 50.0)


@pytest.mark.parametrize(("own", "used"), [(20.0, 20.0), (500.0, 100.0)])
def test_limit_typed_in_by_the_shop_wins_where_stricter(own: float, used: float) -> None:
    shop: Raw = {"local_limits": {"toluene": {"twa": own, "unit": "ppm", "source": "our hygienist"}}}
    sums = day_sums(situation(raw_job(solvents=WIPE), shop))
    (eight,) = (f for f in sums.air.solvents if f.what.endswith("in the room, 8 h"))
    assert eight.limit is not None and eight.limit.value == used
    assert "typed in by our shop" in sums.notes[0] and "toluene" in sums.notes[0]
    assert any("is not used" in w for w in eight.warnings) is (own > used)


@pytest.mark.parametrize(("entry", "error", "said"), [
    ({"styren": {"twa": 20, "unit": "ppm"}}, UnknownName,
     r"^local limits: substance is 'styren'; did you mean 'styrene'\?"),
    ({"styrene": {"twa": 20, "unit": "ppb"}}, UnknownName, r"^local limits, styrene: unit is 'ppb'; "),
    ({"styrene": {"twa": -1, "unit": "ppm"}}, BadValue,
     r"^local limits, styrene: mean over 8 hours is -1; give a number of ppm over 0$"),
    ({"styrene": {"twa": "20", "unit": "ppm"}}, BadValue, r"^local limits, styrene: mean over 8 hours is '20'; "),
    ({"styrene": {"tvwa": 20, "unit": "ppm"}}, UnknownKey, r"^local limits, styrene: unknown key 'tvwa'; "),
    ({"styrene": 20}, BadValue, r"^local limits, styrene: limit is 20; give an object such as "),
    ({"wood dust": {"twa": 1, "unit": "ppm"}}, UnknownName, r"^local limits, wood dust: unit is 'ppm'; "),
])
def test_bad_limit_of_the_shop_is_one_line_that_names_its_place(
    entry: Raw, error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said) as found:
        raised(raw_job(), {"local_limits": entry})
    assert "\n" not in str(found.value)


def test_substances_go_by_other_names_and_capitals() -> None:
    def names(*typed: str) -> list[str]:
        return [u.name for u in situation(raw_job(
            solvents=[{"substance": name, "ml": 1.0} for name in typed])).solvents]

    assert names("IPA", "Isopropyl  Alcohol", "isopropanol") == ["isopropyl alcohol"]
    assert names("White Spirit", "MEK", "naphtha") == ["mineral spirits", "methyl ethyl ketone", "naphtha (VM&P)"]
    assert names("Lacquer Thinner", "lacquer thinner", "denatured alcohol") == ["Lacquer Thinner", "denatured alcohol"]


@pytest.mark.parametrize(("named", "mask", "ticked"), [
    ("Half Mask", "half mask", set()), (True, "", set()), (7, "", set()), ({"mask": 3}, "", set()),
    ({"mask": "full face", "fit_tested": True, "clean_shaven": "yes", "colour": True}, "full face", {"fit_tested"}),
])
def test_mask_of_the_shop_file(named: object, mask: str, ticked: set[str]) -> None:
    assert named_mask(named) == (mask, frozenset(ticked), None)


ALL_TICKED = {"mask": "full face", **dict.fromkeys(FROM_SHOP, True)}


@pytest.mark.parametrize(("maker_ppm", "ceiling_ppm", "set_by"), [
    (None, 500.0, "immediately dangerous level"), (2000.0, 500.0, "immediately dangerous level"),
    (300, 300.0, "cartridge limit")])
def test_the_cartridge_makers_own_limit_caps_the_mask(
    maker_ppm: float | None, ceiling_ppm: float, set_by: str
) -> None:
    shop: Raw = {"equipment": {"respirator": {**ALL_TICKED, "cartridge_limit_ppm": maker_ppm}}}
    wipe = [{"substance": "toluene", "ml": 5.0, "minutes": 5.0}]
    (figure,) = day_sums(situation(raw_job(solvents=wipe, site={"room_m3": 3000.0}), shop)).air.masks
    assert figure.value == ceiling_ppm and f"set by {set_by}" in figure.notes[0]
    assert any(i.source == "the cartridge maker" for i in figure.inputs) is (maker_ppm is not None)


@pytest.mark.parametrize("maker_ppm", [0, -1.0, "many", True])
def test_a_cartridge_limit_that_cannot_be_is_one_line(maker_ppm: object) -> None:
    shop: Raw = {"equipment": {"respirator": {"mask": "half mask", "cartridge_limit_ppm": maker_ppm}}}
    with pytest.raises(BadValue, match=r"^cartridge limit of the respirator is .*; give a number of ppm over 0$"):
        raised(raw_job(), shop)


def test_mask_without_facts_or_of_no_known_kind_gives_no_number() -> None:
    for named in ("half mask", "a dust mask", True):
        (figure,) = day_sums(situation(raw_job(solvents=WIPE), {"equipment": {"respirator": named}})).air.masks
        assert figure.value is None and figure.no_number
