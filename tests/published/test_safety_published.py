"""The safety sums against published cases and tables, each with its source and its printed precision.

Rows of worked_examples_safety.csv name their source themselves; ``from memory`` there means that the figures
of a printed case were recalled and its arithmetic done again.
"""

import csv
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from finishplan import reference
from finishplan.safety import noise, respirator, vapour, vibration
from finishplan.safety.air_figures import Law
from finishplan.safety.handling_figures import mask_ceiling
from finishplan.safety.tables import find_substance

HERE = Path(__file__).parent
M3_PER_FT3 = 0.3048**3
ML_PER_US_PINT = 473.176473
LITRES_70F = 24.45 * (70.0 + 459.67) / (77.0 + 459.67)
"""Molar volume at 70 F, by the gas law from 24.45 L at 77 F (25 C): the cases from the US manual stand there."""
CONSTANT_403 = 0.0013
"""Half of the last printed digit of the manual's constant 403, as a share: what its answers can be held to."""


def published(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


ROWS = {row["id"]: row for row in published("worked_examples_safety.csv")}


def steady_ppm(pints_per_h: float, gravity: float, molar_mass: float, cfm: float) -> float:
    """Concentration that a steady evaporation reaches in a flow of fresh air: our course after a day."""
    mg = vapour.solvent_mass_mg(pints_per_h * ML_PER_US_PINT * 24.0, gravity)
    room_m3 = 10.0
    course = vapour.air_course(mg, room_m3=room_m3, air_changes_per_h=cfm * M3_PER_FT3 * 60.0 / room_m3,
                               evaporation_min=1440.0)
    return vapour.ppm(course.mg_per_m3(1440.0), molar_mass, LITRES_70F)


def purge(minutes: float, air_changes_per_h: float) -> float:
    """Share of a concentration left after ``minutes`` of airing."""
    course = vapour.air_course(1000.0, room_m3=50.0, air_changes_per_h=air_changes_per_h, evaporation_min=5.0)
    return course.mg_per_m3(5.0 + minutes) / course.mg_per_m3(5.0)


def build_up(emission_per_min: float, volume: float, air_changes_per_h: float, minutes: float) -> float:
    """Concentration after ``minutes`` of a steady emission, in emission units per unit of volume."""
    course = vapour.air_course(emission_per_min * 120.0, room_m3=volume, air_changes_per_h=air_changes_per_h,
                               evaporation_min=120.0)
    return course.mg_per_m3(minutes)


def v1() -> None:
    # ACGIH Industrial Ventilation (22nd-23rd ed.), general ventilation, methyl chloroform; from memory
    assert steady_ppm(1.5, 1.32, 133.4, 285.0) == pytest.approx(350.0, abs=350.0 / 285.0)


def v2() -> None:
    # same chapter, MEK and toluene, K = 4; from memory. In that flow the shared index is 1
    flow = 13_102.0 / 4.0
    pairs = [(steady_ppm(2.0, 0.805, 72.1, flow), 200.0), (steady_ppm(2.0, 0.866, 92.13, flow), 50.0)]
    assert vapour.mixture_index(pairs) == pytest.approx(1.0, rel=CONSTANT_403)


def v3() -> None:
    # same chapter; formula as 29 CFR 1910.1000(d)(2)(i)
    assert vapour.mixture_index([(150.0, 200.0), (50.0, 50.0)]) == 1.75


def v4() -> None:
    # same chapter, batch oven: a tenth of the LEL (Sf = 10), divided by B = 0.7; from memory
    air = vapour.lel_air(2.0 * ML_PER_US_PINT, 0.88, 106.0, 1.0, molar_volume_l=LITRES_70F)
    cfm = air.air_at_tenth_m3 / M3_PER_FT3 / 60.0 / 0.7
    assert cfm == pytest.approx(159.0, abs=1.0)
    assert cfm * (460.0 + 350.0) / (460.0 + 70.0) == pytest.approx(243.0, abs=1.0)


def v5() -> None:
    # 29 CFR 1910.94(c)(6)(ii): a quarter of the LEL, air counted without the vapour; LEL 1.4 % is out of date
    air = vapour.lel_air(1000.0, 0.87, 92.1, 1.4)
    ft3_of_vapour = 30.4
    ft3_at_lel = ft3_of_vapour * air.air_at_lel_m3 / air.vapour_m3
    assert 4.0 * (ft3_at_lel - ft3_of_vapour) == pytest.approx(8564.0, abs=1.0)


def v6() -> None:
    # ACGIH Industrial Ventilation, purge of a room; from memory. 1,500 cfm in 75,000 ft3 is 1.2 changes/h
    assert purge(69.2, 1.2) > 25.0 / 100.0 > purge(69.4, 1.2)


def v7() -> None:
    # as V6
    assert 85.0 * purge(60.0, 1.2) == pytest.approx(25.6, abs=0.1)


def v8() -> None:
    # ACGIH Industrial Ventilation, build-up; from memory. 1.2 cfm of vapour, 2,000 cfm, 100,000 ft3
    per_min = 1.2e6
    assert build_up(per_min, 1e5, 1.2, 20.2) < 200.0 < build_up(per_min, 1e5, 1.2, 20.4)


def v9() -> None:
    # as V8; printed "about 420", worked out 419.3
    assert build_up(1.2e6, 1e5, 1.2, 60.0) == pytest.approx(419.3, abs=0.1)


def v10() -> None:
    # US Bureau of Reclamation, Design Guide for HVAC Systems (2006) p. 106: mixing 0.2 of 2 changes a minute
    mixed = 0.2 * 2.0 * 60.0
    assert purge(6.64, mixed) > 1.4 / 20.0 > purge(6.66, mixed)


def v11() -> None:
    # a ventilation teacher's page on tracer-gas decay, 2013: half gone after 1.4 h in 20 m3 at 9.9 m3/h
    assert purge(84.0, 9.85 / 20.0) > 0.5 > purge(84.0, 9.95 / 20.0)


def v12() -> None:
    # a web handbook's table of c = q/(nV) (1 - e^-nt), q = 1 m3/h, V = 1 m3
    per_min = 1.0 / 60.0
    for n, minutes, printed in ((1, 10, 0.1535), (1, 20, 0.2835), (1, 40, 0.4866), (1, 80, 0.7364),
                                (4, 10, 0.1216), (8, 10, 0.0921)):
        assert build_up(per_min, 1.0, n, minutes) == pytest.approx(printed, abs=5e-5)


def e1() -> None:
    # 29 CFR 1910.1000(d)(1)(ii)
    assert vapour.average_8h([(120.0, 150.0), (120.0, 75.0), (240.0, 50.0)]) == 81.25


def e2() -> None:
    # 29 CFR 1910.1000(d)(2)(ii)
    assert vapour.mixture_index([(500.0, 1000.0), (45.0, 200.0), (40.0, 200.0)]) == pytest.approx(0.925, abs=1e-12)


def n1() -> None:
    # a page paraphrasing 29 CFR 1910.95 App. A: it works with the rounded T = 6.1 h; unrounded it is 131.9 %
    hours = round(noise.OSHA.hours(92.0), 1)
    assert hours == 6.1
    assert 100.0 * 8.0 / hours == pytest.approx(131.0, abs=0.5)
    assert noise.osha_dose([(480.0, 92.0)]).dose_percent == pytest.approx(131.95, abs=0.01)


def n2() -> None:
    # 29 CFR 1910.95 App. A, Table A-1 (values worked out from its formula); 400 % as 16 h at 95 dB(A)
    for percent, printed in ((10, 73.4), (25, 80.0), (50, 85.0), (100, 90.0), (131, 91.95), (200, 95.0)):
        dose, twa = noise.osha_dose([(4.8 * percent, 90.0)])
        assert dose == pytest.approx(percent)
        assert twa == pytest.approx(printed, abs=0.05)
    assert noise.osha_dose([(960.0, 95.0)]) == pytest.approx((400.0, 100.0), abs=0.05)


def n3() -> None:
    # NIOSH page topics/noise/app
    assert [noise.NIOSH.hours(level) for level in (88.0, 94.0)] == [4.0, 1.0]


def h1() -> None:
    # ISO 5349-1:2001 example; from memory
    assert vibration.a8([(60.0, 2.0), (180.0, 3.5), (30.0, 10.0)]) == pytest.approx(3.4, abs=0.05)


def h2() -> None:
    # a forestry case in an ISO 5349-2 style report: partial values, their root-sum-square, points
    tools = [(120.0, 4.6), (60.0, 6.0), (120.0, 3.6)]
    partial = [vibration.a8([tool]) for tool in tools]
    assert partial == pytest.approx([2.30, 2.12, 1.80], abs=0.005)
    assert math.hypot(*partial) == pytest.approx(3.61, abs=0.005)
    assert vibration.a8(tools) == pytest.approx(3.61, abs=0.005)
    # the case prints 208.5 points from the rounded 3.61; the unrounded tools give 208.48
    assert vibration.points(tools) == pytest.approx(208.5, abs=0.5)


def h3() -> None:
    # inputs hse.gov.uk/VIBRATION/hav/calcinst.htm; outputs worked out
    tools = [(15.0, 10.0), (30.0, 6.0), (90.0, 3.5)]
    assert [vibration.points([tool]) for tool in tools] == pytest.approx([50.0, 36.0, 36.75])
    assert vibration.a8(tools) == pytest.approx(2.77, abs=0.005)
    assert [vibration.minutes_to(2.5, a) for _, a in tools] == pytest.approx([30.0, 83.0, 245.0], abs=0.5)
    assert [vibration.minutes_to(5.0, a) for _, a in tools] == pytest.approx([120.0, 333.0, 980.0], abs=0.5)


def h4() -> None:
    # hse.gov.uk/VIBRATION/hav/readyreckoner.htm
    assert vibration.points([(180.0, 5.0)]) == 150.0
    assert vibration.a8([(180.0, 5.0)]) > 2.5


def h5() -> None:
    # a hand tool's manual quoting the UK level before 2005
    assert vibration.a8([(480.0, 2.8)]) == pytest.approx(2.8)
    assert vibration.a8([(30.0, 11.2)]) == pytest.approx(2.8)


ALL_KNOWN = respirator.MaskFacts(*[True] * len(respirator.FACTS))


def r1() -> None:
    # NIOSH Pocket Guide npgd0571, respirator bands of styrene: up to 500 with 10, up to 700 with 25 or 50
    found = {mask: mask_ceiling("styrene", mask, ALL_KNOWN, Law()).value
             for mask in ("half mask", "full face", "powered, hood")}
    assert found == {"half mask": 500.0, "full face": 700.0, "powered, hood": 700.0}


def r2() -> None:
    # OSHA 3352; numbers from memory: lead 50 ug/m3 with 10
    assert respirator.ceilings(50.0, 10.0, None, None, "ug/m3") == {"protection factor x limit": 500.0}


def r3() -> None:
    # NIOSH Pocket Guide npgd0359: 2,000 ppm with 25 and with 50; no half mask
    for mask in ("powered, hood", "full face"):
        assert mask_ceiling("isopropyl alcohol", mask, ALL_KNOWN, Law()).value == 2000.0
    assert mask_ceiling("isopropyl alcohol", "half mask", ALL_KNOWN, Law()).value is None


def s1() -> None:
    # 40 CFR 63 subpart VVVV Table 3; a state rule prints 46 kg/Mg for production resin of 35 %
    assert vapour.styrene_release(1000.0, 35.0).resin_mg / 1000.0 == pytest.approx(46.0, abs=0.5)


def p1() -> None:
    # NIOSH Pocket Guide, toluene and npgd0359: printed mg/m3 are rounded, held to 1 %
    assert vapour.mg_per_m3(100.0, 92.1) == pytest.approx(375.0, rel=0.01)
    assert vapour.mg_per_m3(400.0, 60.1) == pytest.approx(980.0, rel=0.01)
    assert vapour.ppm(375.0, 92.1) == pytest.approx(100.0, rel=0.01)


CASES: dict[str, Callable[[], None]] = {
    "V1": v1, "V2": v2, "V3": v3, "V4": v4, "V5": v5, "V6": v6, "V7": v7, "V8": v8, "V9": v9, "V10": v10,
    "V11": v11, "V12": v12, "E1": e1, "E2": e2, "N1": n1, "N2": n2, "N3": n3, "H1": h1, "H2": h2, "H3": h3,
    "H4": h4, "H5": h5, "R1": r1, "R2": r2, "R3": r3, "S1": s1, "P1": p1,
}

ONLY_IN_PART = {
    "V1": "the case sizes a fan and multiplies by K = 5 for mixing; this program sizes no ventilation, so the "
          "flow before K is put in and the concentration must come out",
    "V2": "as V1, with K = 4; both flows together must bring the shared index to 1",
    "V5": "the rule counts air without the vapour in it and a quarter of the limit; our sum counts both",
    "N1": "the printed 131 % follows from T rounded to 6.1 h",
    "R2": "lead is no substance of this program's tables: the bare formula is held against it",
}
"""Rows whose printed answer is reached by another road, and why."""


@pytest.mark.parametrize("row_id", ROWS)
def test_worked_example(row_id: str) -> None:
    assert ROWS[row_id]["source"], "a published case names its source"
    CASES[row_id]()


def test_every_row_is_used() -> None:
    assert set(CASES) == set(ROWS)
    assert set(ONLY_IN_PART) <= set(ROWS)


def half_digit(printed: str) -> float:
    """Half of the last digit that ``printed`` shows."""
    places = len(printed.partition(".")[2])
    return 0.5 * 10.0**-places + 1e-12


NOISE = reference.rows("noise_table")


@pytest.mark.parametrize("row", NOISE, ids=lambda row: f"{row['table']} {row['level_dBA']}")
def test_noise_table(row: dict[str, str]) -> None:
    """29 CFR 1910.95 Tables G-16 and G-16a, SCENIHR 2008 table 3, NIOSH noise page; each row names its own."""
    assert row["source"]
    level, hours = float(row["level_dBA"]), float(row["permitted_hours"])
    if row["table"].startswith("EU"):
        target = row["table"].rpartition("=")[2]
        # 3 dB is taken for a halving (exactly 3.01): the table's last row is five halvings away
        assert noise.lex_8h([(hours * 60.0, level)]) == pytest.approx(float(target), abs=0.06)
        return
    rule = noise.OSHA if row["table"].startswith("OSHA") else noise.NIOSH
    assert rule.hours(level) == pytest.approx(hours, abs=half_digit(row["permitted_hours"]))


def test_printed_misprint_is_not_copied() -> None:
    """29 CFR 1910.95 App. A prints 21.2 h at 83 dB(A) on the present page, 21.1 on the older; 21.11 is right."""
    row = next(r for r in NOISE if r["level_dBA"] == "83" and r["table"].startswith("OSHA"))
    assert row["permitted_hours"] == "21.1" and "misprint" in row["source_seen"]
    assert noise.OSHA.hours(83.0) == pytest.approx(21.1, abs=0.05)


@pytest.mark.parametrize("row", published("flammability_iec_nfpa.csv"), ids=lambda row: row["substance"])
def test_substances_against_iec_and_nfpa(row: dict[str, str]) -> None:
    """IEC 60079-20-1:2010 and NFPA 497:2008 as an open chemistry library carries them: the lower figure counts."""
    found = find_substance(row["substance"])
    assert found is not None and found.molar_mass_g_per_mol is not None
    assert found.molar_mass_g_per_mol == pytest.approx(float(row["molar_mass_g_per_mol"]), abs=0.06)
    if row["lel_iec_percent"]:
        assert found.lel_percent == min(float(row["lel_iec_percent"]), float(row["lel_nfpa_percent"]))
        assert found.flash_point_c == min(float(row["flash_iec_c"]), float(row["flash_nfpa_c"]))


def test_hazard_line_is_a_tenth_of_the_lel_in_the_niosh_records() -> None:
    """NIOSH IDLH of isopropyl alcohol and ethanol is printed as 10 % of the LEL (2.0 % and NIOSH's own 3.3 %)."""
    for name, niosh_lel_percent in (("isopropyl alcohol", 2.0), ("ethanol", 3.3)):
        found = find_substance(name)
        assert found is not None
        assert found.idlh_ppm == pytest.approx(niosh_lel_percent * 1e4 * vapour.TENTH)
