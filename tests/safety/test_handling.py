"""Dust, lid, wheel and the ceiling of a mask."""

import math
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue, UnknownName
from finishplan.safety.air_figures import Law
from finishplan.safety.dust import dust_scale
from finishplan.safety.handling_figures import mask_ceiling, mask_figure
from finishplan.safety.lifting import lid_share
from finishplan.safety.respirator import FACTS, MASKS, NO_NUMBER, MaskFacts, use_ceiling
from finishplan.safety.tables import protection_factor
from finishplan.safety.wheels import WHEEL_WORDS, rim_speed, wheel_speed

KNOWN = MaskFacts(*[True] * len(FACTS))


@given(st.floats(0.0, 20.0), st.floats(0.0, 500.0), st.floats(5.0, 500.0))
def test_dust_scales_with_what_is_taken(area_m2: float, removed_um: float, room_m3: float) -> None:
    one, two = dust_scale(area_m2, removed_um, room_m3), dust_scale(area_m2, 2.0 * removed_um, room_m3)
    assert two.dust_g == pytest.approx(2.0 * one.dust_g)
    assert one.cloud_m3 * 30.0 == pytest.approx(one.dust_g)
    assert one.room_mg_per_m3 == pytest.approx(one.dust_g * 10.0 / room_m3)
    assert dust_scale(area_m2, removed_um).room_mg_per_m3 is None


def test_dust_that_cannot_be() -> None:
    with pytest.raises(BadValue, match=r"^film taken is -1; give a number of um, 0 or more$"):
        dust_scale(1.0, -1.0)
    with pytest.raises(BadValue, match=r"^room is 0; give a number of m3 over 0$"):
        dust_scale(1.0, 10.0, 0.0)
    with pytest.raises(BadValue, match=r"^share in the air is 2; give a share from 0 to 1$"):
        dust_scale(1.0, 10.0, airborne_share=2.0)


@given(st.floats(0.2, 4.0), st.floats(5.0, 40.0), st.floats(0.0, 2.0), st.integers(1, 12))
def test_shares_of_a_lid_make_up_the_lid(area: float, thick: float, film: float, persons: int) -> None:
    share = lid_share(area, thick, film, persons)
    assert share.even_kg * persons == pytest.approx(share.lid_kg)
    assert share.even_kg <= share.uneven_kg <= share.lid_kg
    assert share.over_ideal_lift == (share.uneven_kg > 23.0)
    assert lid_share(area, thick, film, persons, hardware_kg=3.0).lid_kg == pytest.approx(share.lid_kg + 3.0)


def test_lids_that_cannot_be() -> None:
    for persons in (0, 13, 2.0, True):
        with pytest.raises(BadValue, match=r"^persons is .*; give a whole number from 1 to 12$"):
            lid_share(2.0, 22.0, 0.8, persons)  # type: ignore[arg-type]
    with pytest.raises(BadValue, match=r"^thickness is 0; give a number of mm over 0$"):
        lid_share(2.0, 0.0, 0.8, 2)
    assert "one person alone" in lid_share(2.0, 22.0, 0.8, 1).warnings[0]
    assert "weigh it" in lid_share(2.0, 22.0, 0.8, 2, wood_kg_per_m3=400.0).warnings[0]


def test_rim_speed_is_way_over_time() -> None:
    assert rim_speed(1.0 / math.pi, 60.0) == pytest.approx(1.0)


@pytest.mark.parametrize("diameter,rpm,marked,word", [
    (0.20, 1800.0, 3000.0, "as marked"),
    (0.20, 1800.0, None, "warn"),
    (0.25, 2800.0, 3000.0, "warn"),
    (0.30, 3000.0, 3200.0, "refuse"),
    (0.20, 1800.0, 1500.0, "refuse"),
    (None, 1800.0, 1500.0, "refuse"),
    (None, 1800.0, None, "unknown"),
    (0.20, None, 3000.0, "unknown"),
])
def test_wheel_words(diameter: float | None, rpm: float | None, marked: float | None, word: str) -> None:
    found = wheel_speed(diameter, rpm, marked)
    assert found.word == word
    assert (found.rim_m_per_s is None) == (diameter is None or rpm is None)
    assert bool(found.reasons) == (word != "as marked")
    if found.rim_m_per_s is not None and found.rim_m_per_s >= 33.0:
        line = 46 if found.rim_m_per_s >= 46.0 else 33
        assert f"rim speed {found.rim_m_per_s:.1f} m/s, at or over {line}" in found.reasons
    assert word in WHEEL_WORDS


def test_wheel_lines_count_from_the_line_on() -> None:
    at_33 = 33.0 * 60.0 / math.pi / 0.2
    assert wheel_speed(0.2, at_33 * 1.000001, 9000.0).word == "warn"
    assert wheel_speed(0.2, at_33 * 0.999, 9000.0).word == "as marked"
    at_46 = 46.0 * 60.0 / math.pi / 0.2
    assert wheel_speed(0.2, at_46 * 1.000001, 9000.0).word == "refuse"
    with pytest.raises(BadValue, match=r"^wheel diameter is 0; give a number of m over 0$"):
        wheel_speed(0.0, 1800.0)


@given(st.floats(0.01, 5000.0), st.sampled_from([5.0, 10.0, 25.0, 50.0, 1000.0]), st.floats(0.01, 50_000.0),
       st.one_of(st.none(), st.floats(0.01, 50_000.0)))
def test_ceiling_is_the_least_of_the_three(
    limit: float, apf: float, idlh: float, cartridge: float | None
) -> None:
    found = use_ceiling(limit, apf, idlh, cartridge_limit=cartridge, facts=KNOWN)
    assert found.value == min(x for x in (limit * apf, idlh, cartridge) if x is not None)
    assert found.set_by and not found.reasons
    assert "not leave to work" in found.said


@pytest.mark.parametrize("fact", FACTS)
def test_every_fact_not_ticked_takes_the_number_away(fact: str) -> None:
    found = use_ceiling(50.0, 10.0, 700.0, facts=replace(KNOWN, **{fact: False}))
    assert (found.value, found.reasons) == (None, (FACTS[fact],))
    assert found.said.startswith(NO_NUMBER)


def test_facts_and_reasons_are_one_list() -> None:
    assert [f.name for f in fields(MaskFacts)] == list(FACTS)
    assert use_ceiling(50.0, 10.0, 700.0).reasons == tuple(FACTS.values())


def test_missing_figures_take_the_number_away() -> None:
    assert use_ceiling(None, 10.0, 700.0, facts=KNOWN).reasons == (
        "there is no exposure limit on file for the substance",)
    assert use_ceiling(50.0, 10.0, None, facts=KNOWN).value is None
    assert use_ceiling(50.0, 10.0, None, cartridge_limit=300.0, facts=KNOWN).value == 300.0
    assert use_ceiling(50.0, 10.0, 700.0, apf_trust="B", facts=KNOWN).value is None
    assert use_ceiling(50.0, None, 700.0, facts=KNOWN).value is None


def test_figures_that_cannot_be() -> None:
    with pytest.raises(BadValue, match=r"^exposure limit is 0; give a number of ppm over 0$"):
        use_ceiling(0.0, 10.0, 700.0, facts=KNOWN)
    with pytest.raises(BadValue, match=r"^protection factor is 1; give 5 to 10000, from the table$"):
        use_ceiling(50.0, 1.0, 700.0, facts=KNOWN)
    with pytest.raises(BadValue, match=r"^immediately dangerous level is -1; give a number of ppm over 0$"):
        use_ceiling(50.0, 10.0, -1.0)


def test_masks_of_the_table() -> None:
    """29 CFR 1910.134(d)(3)(i)(A) Table 1: air-purifying 5, 10, 50; powered 50, 1000, 25, 25."""
    assert [protection_factor(mask).apf for mask in MASKS] == [5.0, 10.0, 50.0, 50.0, 1000.0, 25.0, 25.0]
    assert {protection_factor(mask).trust for mask in MASKS} == {"A"}
    with pytest.raises(UnknownName, match=r"^mask is 'half masc'; did you mean 'half mask'\?"):
        protection_factor("half masc")


@pytest.mark.parametrize("name,why", [
    ("ethanol", "no cartridge of this kind"),
    ("naphtha (VM&P)", "no cartridge of this kind"),
    ("petroleum distillates (in compounds)", "no cartridge of this kind"),
    ("mineral spirits", "no immediately dangerous level"),
    ("methyl ethyl ketone peroxide", "no exposure limit on file"),
    ("ethyl cyanoacrylate", "no exposure limit on file"),
    ("a lacquer nobody knows", "no exposure limit on file"),
])
def test_substances_without_a_ceiling(name: str, why: str) -> None:
    for mask in MASKS:
        found = mask_ceiling(name, mask, KNOWN, Law())
        assert found.value is None
        assert any(why in reason for reason in found.reasons)
        assert mask_figure(name, mask, KNOWN, Law()).band == "no number"


def test_a_quarter_mask_is_on_no_record() -> None:
    assert mask_ceiling("styrene", "quarter mask", KNOWN, Law()).value is None


def test_place_lowers_the_ceiling() -> None:
    assert mask_ceiling("toluene", "half mask", KNOWN, Law("France")).value == 500.0
    figure = mask_figure("styrene", "half mask", KNOWN, Law("Ontario"))
    assert figure.value == 350.0
    assert [one.value for one in figure.inputs] == [10.0, 35.0, 700.0]
