"""The safety tables: whole, sourced, and the same figures as the sums carry."""

import re

import pytest

from finishplan import reference
from finishplan.errors import TableError
from finishplan.reference import SOURCE_KINDS
from finishplan.safety import air_figures, dust, lifting, noise, vapour, vibration, wheels
from finishplan.safety.limits import US_COLUMNS
from finishplan.safety.tables import FIGURES, find_substance, substances, workplace
from finishplan.safety.worked import SUMS, number_of

TABLES = ("substances", "workplace", "noise_table", "assigned_protection_factors", "limits_elsewhere", "cautions",
          "emergency_card")


@pytest.mark.parametrize("table", TABLES)
def test_every_row_says_where_it_comes_from(table: str) -> None:
    for row in reference.rows(table):
        assert row["source_kind"] in SOURCE_KINDS
        assert row["trust"] in ("A", "B", "C")
        assert row["source"].strip()
        if row["source_kind"] == "from memory":
            assert row["trust"] == "C" or table == "substances"


@pytest.mark.parametrize("table", TABLES)
def test_no_leftovers_of_how_the_tables_were_made(table: str) -> None:
    text = " ".join(cell for row in reference.rows(table) for cell in row.values())
    assert not re.search(r"secondary copy|re-seen|draft|->|[~\\]|https?:", text)


def number(agent: str, what: str) -> float:
    return number_of(workplace(agent, what).likely)


def test_constants_of_the_sums_are_the_tables_figures() -> None:
    beta = "near field to far field air flow beta"
    classes = {name: workplace(beta, f"{name} class") for name in vapour.NEAR_FACE_CLASSES}
    lower_ends = {name: row.low for name, row in classes.items()}
    assert lower_ends == vapour.NEAR_FACE_CLASSES
    assert max(row.high for row in classes.values()) == vapour.MAX_BETA_M3_PER_MIN
    assert number("flammable vapour", "hazardous atmosphere above") / 100.0 == vapour.TENTH
    assert number("noise", "OSHA PEL 8 h") == noise.OSHA.criterion_dba
    assert number("noise", "NIOSH REL 8 h, 3 dB exchange") == noise.NIOSH.criterion_dba
    assert number("hand-arm vibration", "EU action value A(8)") == vibration.ACTION_M_PER_S2
    assert number("hand-arm vibration", "EU limit value A(8)") == vibration.LIMIT_M_PER_S2
    assert number("single lift, ideal posture", "NIOSH recommended weight") == lifting.IDEAL_LIFT_KG
    assert number("combustible dust", "lowest usual explosible cloud") == dust.CLOUD_G_PER_M3
    assert number("room air change when nothing mechanical", "default") > air_figures.SHUT_AIR_CHANGES_PER_H


def test_release_laws_give_the_figures_beside_them_in_the_table() -> None:
    resin = number("styrene released from resin, not sprayed", "0.014 x S^2.275")
    gel_coat = number("styrene released from gel coat", "0.445 x S^1.675")
    assert vapour.styrene_release(1.0, 35.0).resin_mg == pytest.approx(resin, abs=0.05)
    assert vapour.styrene_release(1.0, 40.0).gel_coat_mg == pytest.approx(gel_coat, abs=0.05)


def test_wheel_lines_are_the_cautions_own() -> None:
    row = next(r for r in reference.rows("cautions") if r["trigger_key"] == "wheel_speed")
    said = [float(x) for x in re.findall(r"at (\d+) m/s", row["trigger"])]
    assert said == [wheels.WARN_M_PER_S, wheels.REFUSE_M_PER_S]


def test_sums_named_by_the_cautions_exist() -> None:
    assert {r["backed_by_sum"] for r in reference.rows("cautions")} - {""} <= set(SUMS)


def test_substances_are_read_as_printed() -> None:
    styrene = find_substance("styrene")
    assert styrene is not None
    assert styrene.cartridges == {"half", "full", "powered"} and styrene.cartridge_listed
    assert styrene.figure("lel_percent") == (
        "styrene, lower explosive limit", 0.9, "% by volume", "published", f"{styrene.source} (trust A)")
    spirits = find_substance("mineral spirits")
    assert spirits is not None and not spirits.cartridge_listed
    assert spirits.figure("lel_percent").value == 0.7 and spirits.figure("lel_percent").kind == "assumed"
    assert spirits.figure("liquid_sg").kind == "from memory"
    naphtha = find_substance("naphtha (VM&P)")
    assert naphtha is not None and naphtha.figure("molar_mass_g_per_mol").kind == "assumed"
    assert find_substance("styren") is None


def test_the_trust_letter_of_each_figure_travels_with_it() -> None:
    acetone, toluene = find_substance("acetone"), find_substance("toluene")
    assert acetone is not None and toluene is not None
    letters = {field: acetone.trust_of(field) for field in FIGURES}
    assert letters == {"molar_mass_g_per_mol": "B", "liquid_sg": "C", "lel_percent": "B", "flash_point_c": "B",
                       "vapour_pressure_mmhg": "C", "idlh_ppm": "A"}
    assert toluene.figure("lel_percent").source.endswith("(trust B)")
    assert toluene.figure("idlh_ppm").source.endswith("(trust A)")
    assert workplace("rotary polisher", "vibration").likely.source.endswith("(trust C)")


def test_second_hand_figures_are_those_that_the_table_explains() -> None:
    short = {"flash_point_C": "flash", "lel_percent": "LEL", "molar_mass_g_per_mol": "molar mass",
             "vapour_pressure_mmHg_20C": "vapour pressure", "liquid_sg": "liquid_sg"}
    named = [(row, field) for row in reference.rows("substances") for field in row["fields_b"].split(";") if field]
    assert len(named) >= 10
    for row, field in named:
        assert row["trust"] == "A" and short[field] in row["fields_not_A"].replace("_point", ""), row["substance"]


def test_a_blank_figure_is_not_a_zero() -> None:
    peroxide = find_substance("methyl ethyl ketone peroxide")
    assert peroxide is not None and peroxide.lel_percent is None
    with pytest.raises(TableError, match="has no lel_percent; type it in from the data sheet"):
        peroxide.figure("lel_percent")
    with pytest.raises(TableError, match="no figure for 'noise with styrene, toluene, xylene'"):
        workplace("noise with styrene, toluene, xylene", "added hearing damage")


def test_every_vapour_sum_has_its_figures() -> None:
    for name, found in substances().items():
        if not found.no_vapour_sum:
            assert found.molar_mass_g_per_mol and found.liquid_sg, name
        for field in FIGURES:
            value = getattr(found, field)
            assert value is None or field == "flash_point_c" or value > 0.0, (name, field)
        if found.idlh_ppm is not None:
            row = next(r for r in reference.rows("substances") if r["substance"] == name)
            limits = [reference.number(row, c) for c, (_, span, unit) in US_COLUMNS.items()
                      if unit == "ppm" and span == "8 h"]
            assert all(limit is None or limit < found.idlh_ppm for limit in limits)


def test_memory_and_assumption_name_columns_that_are_there() -> None:
    for row in reference.rows("substances"):
        for column in ("fields_from_memory", "fields_assumed"):
            for field in filter(None, row[column].split(";")):
                assert row[field].strip(), (row["substance"], field)
