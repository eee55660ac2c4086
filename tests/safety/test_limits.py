"""Which limit is used, and that a missing one never passes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan import reference
from finishplan.errors import BadValue, UnknownKey, UnknownName
from finishplan.reference import Sourced
from finishplan.safety import limits
from finishplan.safety.limits import PLACES, limit_for, read_local_limits
from finishplan.safety.tables import substances
from finishplan.safety.worked import BANDS, NO_SHARE, SUMS, Worked, assumed, band, deciding, number_of, typed


def used(name: str, span: str, **more: object) -> tuple[float, str]:
    found = limit_for(name, span, **more).used  # type: ignore[arg-type]
    assert found is not None
    assert found.unit == "ppm"
    return round(found.value, 1), found.whose


@pytest.mark.parametrize("name,span,place,value,whose", [
    ("styrene", "8 h", None, 50.0, "NIOSH REL"),
    ("styrene", "15 min", None, 100.0, "NIOSH STEL"),
    ("acetone", "8 h", None, 250.0, "NIOSH REL"),
    ("acetone", "15 min", "France", 1000.0, "France (law)"),
    ("toluene", "8 h", "France", 50.0, "France (law)"),
    ("toluene", "15 min", None, 150.0, "NIOSH STEL"),
    ("isopropyl alcohol", "8 h", "Ontario", 200.0, "Ontario (undated table)"),
    ("mineral spirits", "8 h", None, 59.4, "NIOSH REL"),
    ("mineral spirits", "15 min", None, 305.6, "NIOSH ceiling"),
    ("methyl ethyl ketone peroxide", "15 min", None, 0.2, "NIOSH ceiling"),
    ("styrene", "8 h", "Germany", 20.0, "Germany MAK 2001"),
    ("styrene", "8 h", "United States", 50.0, "NIOSH REL"),
])
def test_strictest_shipped_limit(name: str, span: str, place: str | None, value: float, whose: str) -> None:
    """OSHA and NIOSH always; the place's own beside them. mg/m3 turned into ppm at 144 g/mol."""
    assert used(name, span, place=place) == (value, whose)


@given(st.sampled_from(list(substances())), st.sampled_from(["8 h", "15 min"]), st.sampled_from([None, *PLACES]),
       st.floats(0.01, 2000.0))
def test_a_local_limit_only_ever_tightens(name: str, span: str, place: str | None, value: float) -> None:
    local = read_local_limits({name: {"twa": value, "short_term": value, "unit": "ppm"}})
    before = limit_for(name, span, place=place).used
    after = limit_for(name, span, place=place, local=local).used
    assert after is not None
    assert after.value == (value if before is None else min(value, before.value))
    if before is not None and value > before.value:
        said = limit_for(name, span, place=place, local=local).warnings
        assert any("laxer" in words for words in said)


def test_a_place_never_loosens() -> None:
    for name in substances():
        for span in ("8 h", "15 min"):
            bare = limit_for(name, span).used
            for place in PLACES:
                found = limit_for(name, span, place=place).used
                assert bare is None or (found is not None and found.value <= bare.value)


def test_a_limit_from_memory_says_so() -> None:
    found = limit_for("toluene", "8 h", place="United Kingdom")
    assert found.used is not None and found.used.trust == "C"
    assert found.warnings == ("the limit of UK EH40 is from memory: look it up before you rely on it",)


def test_lower_guidelines_are_shown_and_not_used() -> None:
    found = limit_for("styrene", "8 h")
    assert found.used is not None and found.used.value == 50.0
    assert [(one.value, one.kind) for one in found.lower_guidelines] == [(10.0, "from memory")]
    assert not limit_for("acetone", "8 h").lower_guidelines


def test_missing_limit_is_none() -> None:
    found = limit_for("acetone", "15 min")
    assert found.used is None
    assert found.said == "no 15 min limit on file for acetone: ask for its data sheet"
    assert limit_for("unheard of", "8 h").used is None


def test_a_limit_in_mass_without_molar_mass_is_left_out() -> None:
    found = limit_for("wood dust", "8 h", place="France")
    assert found.used is None
    assert found.warnings == ("France (law) 1 mg/m3 left out: no molar mass to turn it into ppm",)


def test_local_limits_in_mass_are_turned() -> None:
    local = read_local_limits({"toluene": {"twa": 92.1, "unit": "mg/m3", "source": "our hygienist"}})
    found = limit_for("toluene", "8 h", local=local).used
    assert found is not None
    assert (found.value, found.printed, found.source) == (pytest.approx(24.45), "92.1 mg/m3", "our hygienist")


@pytest.mark.parametrize("raw,error,message", [
    ({"styrene": {"twa": 20, "unit": "percent"}}, UnknownName,
     r"local limits, styrene: unit is 'percent'; .*choose one of: ppm, mg/m3"),
    ({"wood dust": {"twa": 1, "unit": "ppm"}}, UnknownName,
     r"local limits, wood dust: unit is 'ppm'; choose one of: mg/m3"),
    ({"styrene": {"twa": 20}}, UnknownName, r"local limits, styrene: unit is ''; choose one of: ppm, mg/m3"),
    ({"styren": {"twa": 20, "unit": "ppm"}}, UnknownName,
     r"local limits: substance is 'styren'; did you mean 'styrene'\?"),
    ({"styrene": {"twa": 0, "unit": "ppm"}}, BadValue,
     r"local limits, styrene: mean over 8 hours is 0; give a number of ppm over 0"),
    ({"styrene": {"twa": "20", "unit": "ppm"}}, BadValue,
     r"local limits, styrene: mean over 8 hours is '20'; give a number"),
    ({"styrene": {"unit": "ppm"}}, BadValue,
     r"local limits, styrene: number of limits is 0; give one of: mean over 8 hours .twa.,"),
    ({"styrene": {"stel": 40, "unit": "ppm"}}, UnknownKey, r"local limits, styrene: unknown key 'stel'"),
    ({"styrene": 20}, BadValue, r"local limits, styrene: limit is 20; give an object"),
])
def test_local_limits_that_cannot_be(raw: dict[str, object], error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=f"^{message}"):
        read_local_limits(raw)


def test_place_and_span_are_lists() -> None:
    with pytest.raises(UnknownName, match=r"^place is 'Frence'; did you mean 'France'\?"):
        limit_for("styrene", "8 h", place="Frence")
    with pytest.raises(UnknownName, match=r"^span of a limit is '12 h'; "):
        limit_for("styrene", "12 h")


def test_every_jurisdiction_of_the_table_can_be_reached() -> None:
    listed = {row["jurisdiction"] for row in reference.rows("limits_elsewhere")}
    reached = {name for names in PLACES.values() for name in names} | set(limits.GUIDELINES)
    assert listed == reached


@pytest.mark.parametrize("share,word", [
    (0.0, "small by this sum"), (0.0999, "small by this sum"), (0.1, "note"), (0.4999, "note"),
    (0.5, "act: less, slower, more air"), (0.9999, "act: less, slower, more air"),
    (1.0, "not this way"), (12.0, "not this way"),
])
def test_bands(share: float, word: str) -> None:
    assert band(share) == word


def test_no_share_has_no_band() -> None:
    for bad in (float("nan"), -0.1, float("inf"), None):
        with pytest.raises(BadValue, match=r"^share of the limit is "):
            band(bad)  # type: ignore[arg-type]


def figure(**more: object) -> Worked:
    base: dict[str, object] = {"sum": "vapour", "what": "styrene, in the room, 8 h", "value": 10.0, "unit": "ppm",
                               "formula": "m/V", "inputs": (typed("room", 60.0, "m3"),)}
    return Worked(**(base | more))  # type: ignore[arg-type]


LIMIT = limit_for("styrene", "8 h").used


def test_a_figure_says_what_it_is() -> None:
    one = figure(limit=LIMIT)
    assert one.share == 0.2 and one.band == "note"
    assert one.said == ("styrene, in the room, 8 h: 10 ppm, by this sum 0.2 of the limit 50 ppm (NIOSH REL, 8 h): "
                        "note (worked out, not measured)")


def test_without_a_limit_the_word_is_no_number() -> None:
    one = figure(no_limit="no 15 min limit on file")
    assert one.share is None and one.band == NO_SHARE
    assert one.said.endswith("10 ppm; no 15 min limit on file (worked out, not measured)")
    none = figure(value=None, no_number="room unknown", limit=LIMIT, word="fine")
    assert none.share is None and none.band == NO_SHARE
    assert none.said == "styrene, in the room, 8 h: no number, room unknown"


def test_figures_that_contradict_themselves_are_refused() -> None:
    with pytest.raises(BadValue, match=r"^value is None; give a value, or the reason why there is none$"):
        figure(value=None)
    with pytest.raises(BadValue, match=r"^value is 10; give a value, or the reason"):
        figure(no_number="why")
    with pytest.raises(UnknownName, match=r"^sum is 'smell'; "):
        figure(sum="smell")
    with pytest.raises(UnknownName, match=r"^source kind of room is 'hearsay'; "):
        figure(inputs=(Sourced("room", 60.0, "m3", "hearsay", ""),))
    with pytest.raises(BadValue, match=r"^room is 'big'; give a number of m3$"):
        number_of(Sourced("room", "big", "m3", "assumed", ""))


def test_what_decides() -> None:
    small, big = figure(limit=LIMIT), figure(limit=LIMIT, value=40.0)
    blank, aside = figure(value=None, no_number="why"), figure(limit=LIMIT, value=500.0, decides=False)
    assert deciding([small, big, aside]) is big
    assert deciding([small, blank, big]) is blank
    assert deciding([figure(no_limit="none")]) is None
    assert deciding([replace(small, decides=False)]) is None
    assert number_of(assumed("stay", 60.0, "min", "nobody gave one")) == 60.0


def test_words_never_promise() -> None:
    said = " ".join([*SUMS.values(), *(word for _, word in BANDS)]).lower()
    for promise in ("safe", "complian", "within", "no risk", "harmless"):
        assert promise not in said
