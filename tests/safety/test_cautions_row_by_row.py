"""Every row of the table of cautions: a job that trips it, and one, changed in one fact, that does not."""

from __future__ import annotations

from typing import Any

import pytest
from made_situations import CHIP, DRY, NICK_OF_NO_SIZE, SCRATCH, SWIRLS, Raw, panel, powered_by, raised, raw_job, zone

from finishplan import reference
from finishplan.safety.cautions import SEVERITIES, sums_not_worked_out
from finishplan.safety.triggers import FACTS, KEYS, SUMS

Case = tuple[Raw, Raw | None]
ROWS = {row["id"]: row for row in reference.rows("cautions")}


def wipe(substance: str = "isopropyl alcohol", ml: float = 5.0, minutes: float | None = 10.0) -> Raw:
    return {"substance": substance, "ml": ml, "minutes": minutes}


def job(*defects: Raw, shop: Raw | None = None, **more: Any) -> Case:
    return raw_job(panel(*defects), **more), shop


def lid(area_m2: float = 1.2, off: bool = True, **more: Any) -> Case:
    return raw_job(panel(SWIRLS, name="lid, top", area_m2=area_m2, off=off), **more), None


def hardware(*tasks: str, brass: str = "unknown", **more: Any) -> Case:
    return raw_job(hardware=[{"task": task, "brass": brass} for task in tasks], **more), None


def buffed(way: str, *defects: Raw, off: bool = False, shop: Raw | None = None, **more: Any) -> Case:
    return raw_job(panel(*(defects or (SWIRLS,)), compounds_by=way, off=off), **more), shop


def filled(resin: str = "polyester", chip: Raw = CHIP, shop: Raw | None = None, fill: Raw | None = None,
           **more: Any) -> Case:
    return raw_job(panel(chip), fill={"resin": resin, **(fill or {})}, **more), shop


def big_fill(percent: float, **more: Any) -> Case:
    """Half a litre of resin."""
    chip = {"kind": "chip", "length_mm": 200, "width_mm": 150, "depth_um": 440.0, "count": 8, "seen_in": "detail"}
    return filled(chip=chip, fill={"styrene_percent": percent, "gel_min": 20}, **more)


def wide(area_m2: float, way: str = "rotary", shop: Raw | None = None, **more: Any) -> Case:
    """A face of ``area_m2`` buffed: minutes grow with it."""
    swirls = {**SWIRLS, "area_m2": area_m2}
    return raw_job(panel(swirls, area_m2=area_m2, compounds_by=way, off=way == "wheel"), **more), shop


def thin(film_um: float) -> Raw:
    """A face to be levelled all over."""
    readings = [{"um": film_um, "spot": n} for n in (1, 2, 3)]
    return panel(zones=[{**zone({"kind": "orange_peel", "area_m2": 1.0, "depth_um": 40.0, "seen_in": "detail"}),
                         "readings": readings}])


WHEEL = {"way": "wheel", "for": "compound", "diameter_m": 0.2, "rpm": 1800.0, "marked_rpm": 3000.0, "noise_dba": 75.0,
         "noise_from": "measured"}
QUIET = {**WHEEL, "rpm": 1000.0}
MASK: Raw = {"equipment": {"respirator": "half mask"}}
FULL_FACTS = dict.fromkeys(
    ("exposure_measured", "no_spraying", "oxygen_sure", "cartridge_life_known", "fit_tested", "clean_shaven"), True)
KNOWN_MASK: Raw = {"equipment": {"respirator": {"mask": "full face", **FULL_FACTS}}}
LEAD_FREE = "Laboratory report of 3 March: none found"
LOUD = powered_by("battery", noise_dba=95.0, noise_from="measured at the ear")
OLD = {"instrument": {"year": 1989}}

CASES: dict[str, tuple[Case, Case]] = {
    "D1": (job(SCRATCH, shop=DRY), job(SCRATCH)),
    "D2": (job(SCRATCH, shop=DRY), job(SCRATCH)),
    "D3": (job(SCRATCH), job(SWIRLS)),
    "D4": (job(SCRATCH), job(SCRATCH, shop=DRY)),
    "D5": (job(**OLD), job(**OLD, finish_id={"lead_test": LEAD_FREE})),
    "D6": (job(**OLD, finish_id={"lead_test": LEAD_FREE}), job(instrument={"year": 1990})),
    "D7": (job(CHIP), job(SCRATCH)),
    "D8": (hardware("fallboard off"), hardware("music desk off")),
    "D9": (job(SWIRLS), job()),
    "E1": (job(SCRATCH), job(SCRATCH, shop=powered_by("battery"))),
    "E2": (job(SCRATCH), job(SWIRLS)),
    "E3": (job(SWIRLS), job(SWIRLS, shop=powered_by("air"))),
    "M1": (buffed("wheel", off=True), buffed("rotary", off=True)),
    "M2": (hardware("polish one caster", brass="solid"), hardware("polish one caster", brass="plated")),
    "M3": (buffed("wheel", off=True), buffed("wheel", off=True, shop={"tools": [WHEEL]})),
    "M4": (buffed("rotary"), buffed("random orbit")),
    "M5": (buffed("random orbit"), buffed("hand")),
    "M6": (buffed("wheel", off=True), buffed("hand", off=True)),
    "M7": (buffed("random orbit"), buffed("hand")),
    "N1": (wide(5.0), wide(0.5)),
    "N2": (wide(3.0, shop=LOUD), wide(3.0)),
    "N3": (wide(1.0, shop=powered_by("mains", noise_dba=80.0, noise_from="maker's sheet")),
           wide(1.0, shop=powered_by("mains", noise_dba=80.0, noise_from="measured, our meter"))),
    "N4": (wide(5.0, solvents=[wipe("toluene")]), wide(5.0, solvents=[wipe()])),
    "V1": (wide(8.0), wide(1.0)),
    "V2": (wide(20.0, shop=powered_by("mains", a_m_s2=8.0)), wide(20.0)),
    "V3": (buffed("hand"), buffed("rotary")),
    "S1": (job(solvents=[wipe()]), job()),
    "S2": (job(solvents=[wipe(ml=32.0)]), job(solvents=[wipe(ml=31.0)])),
    "S3": (job(solvents=[wipe(ml=10.5)]), job(solvents=[wipe(ml=10.0)])),
    "S4": (job(SWIRLS, solvents=[wipe()]), buffed("hand", solvents=[wipe()])),
    "S5": (job(solvents=[wipe(ml=130.0), wipe("acetone", 120.0)]),
           job(solvents=[wipe(ml=130.0), wipe("acetone", 119.0)])),
    "S6": (job(solvents=[wipe(ml=2500.0), wipe(ml=2500.0)]), job(solvents=[wipe(ml=4999.0)])),
    "S7": (filled(), filled("cyanoacrylate")),
    "S8": (job(solvents=[wipe()]), filled()),
    "S9": (filled(chip={**CHIP, "count": 6}), filled()),
    "S10": (job(solvents=[wipe(), wipe("acetone")]), job(solvents=[wipe(), wipe("IPA")])),
    "S11": (filled(), job(SCRATCH)),
    "F1": (filled(), filled("cyanoacrylate")),
    "F2": (big_fill(40.0), filled()),
    "F3": (filled(), filled("UV-curing resin")),
    "F4": (filled(), filled("epoxy")),
    "F5": (filled("our own resin"), filled("cyanoacrylate")),
    "F6": (job(solvents=[wipe("acetone")]), job(solvents=[wipe()])),
    "F7": (filled(), job(SCRATCH)),
    "F8": (filled(), filled("UV polyester pen")),
    "F9": (filled(chip=NICK_OF_NO_SIZE), filled()),
    "F10": (filled(), filled("epoxy")),
    "F11": (filled(shop={"equipment": {"lamp": "infrared, 1 kW"}}), filled(shop={"equipment": {"lamp": "none"}})),
    "F12": (filled(), job(SCRATCH)),
    "F13": (filled("cyanoacrylate, thin"), filled()),
    "F14": ((raw_job(thin(110.0)), None), (raw_job(thin(450.0)), None)),
    "F15": (filled("UV-curing resin"), filled()),
    "B1": (job(SWIRLS, shop=MASK), job(SWIRLS)),
    "B2": (job(solvents=[wipe("lacquer thinner")]), job(solvents=[wipe("toluene")])),
    "B3": (job(solvents=[wipe("ethanol")]), job(solvents=[wipe("lacquer thinner")])),
    "L1": (lid(off=True), lid(off=False)),
    "L2": (lid(2.1), lid(1.2)),
    "L3": (lid(off=False), job(SWIRLS)),
    "L4": (hardware("three legs and lyre off with a tilter"), hardware("lock off")),
    "L5": (hardware("lock off"), job(SWIRLS)),
    "P1": (job(SWIRLS, crew={"worker": "trainee"}, solvents=[wipe(ml=51.0)]), job(SWIRLS, solvents=[wipe(ml=51.0)])),
    "P2": (job(site={"kind": "home"}), job()),
    "P3": (job(solvents=[wipe()]), job(SCRATCH)),
    "P4": (job(SCRATCH), job(SWIRLS)),
    "P5": (filled("cyanoacrylate"), job(solvents=[wipe("styrene")])),
}
"""A job that trips each row, and one that does not. P6 stands on every job, and is looked at by itself."""

ALSO: dict[str, tuple[str, Case, bool]] = {
    "lead, no year": ("D5", job(instrument={"year": None}), True),
    "lead, colour coat": ("D5", job(build="clear over colour"), True),
    "lead, build unknown": ("D5", job(build="unknown"), True),
    "lead, coated over": ("D5", job(instrument={"overcoated": True}), True),
    "lead, young and pigmented through": ("D5", job(), False),
    "lead, young but found": ("D5", job(finish_id={"lead_test": "laboratory: 900 ppm"}), True),
    "lead, old and found": ("D5", job(**OLD, finish_id={"lead_test": "laboratory: lead found"}), True),
    "lead, swab only": ("D5", job(**OLD, finish_id={"lead_test": "swab test, not detected"}), True),
    "asbestos, lead found": ("D6", job(**OLD, finish_id={"lead_test": "laboratory: lead found"}), True),
    "wood, film nobody read": ("D7", (raw_job(panel(zones=[{"name": "field", "area_m2": 1.0, "defects": [
        {"kind": "orange_peel", "area_m2": 1.0, "depth_um": 2.0, "seen_in": "detail"}]}])), None), True),
    "wood, chip left alone": ("D7", job({**CHIP, "wish": "leave"}), False),
    "mains at the wheel, hardware only": ("E3", hardware("polish one caster", brass="solid"), True),
    "eyes at the wheel, hardware only": ("M5", hardware("polish one caster", brass="solid"), True),
    "wheel, plastic keytops": ("M1", hardware("buff a set of plastic keytops"), True),
    "wheel over its mark": ("M3", buffed("wheel", off=True, shop={"tools": [{**WHEEL, "marked_rpm": 1500.0}]}), True),
    "wheel without a mark": ("M3", buffed("wheel", off=True, shop={"tools": [{**QUIET, "marked_rpm": None}]}), True),
    "wheel at 33 m/s": ("M3", buffed("wheel", off=True, shop={"tools": [
        {**WHEEL, "rpm": 3160.0, "marked_rpm": 4000.0}]}), True),
    "wheel just under 33 m/s": ("M3", buffed("wheel", off=True, shop={"tools": [
        {**WHEEL, "rpm": 3140.0, "marked_rpm": 4000.0}]}), False),
    "noise, half an OSHA dose": ("N1", wide(20.0, shop=powered_by(
        "mains", noise_dba=86.0, noise_from="measured")), True),
    "noise, maker's level with 10 dB": ("N2", wide(12.0, shop=powered_by(
        "mains", noise_dba=77.0, noise_from="declared")), True),
    "noise, level of unknown origin": ("N3", wide(1.0, shop=powered_by("mains", noise_dba=80.0)), True),
    "styrene with noise": ("N4", (raw_job(panel(CHIP), panel({**SWIRLS, "area_m2": 5.0}, name="b", area_m2=5.0)), None),
                           True),
    "styrene without noise": ("N4", filled(), False),
    "vapour, over 50 ml in a hall": ("S2", job(solvents=[wipe("acetone", 51.0)], site={"room_m3": 5000.0}), True),
    "vapour, two entries of one": ("S2", job(solvents=[wipe("acetone", 26.0), wipe("acetone", 26.0)]), True),
    "vapour, over 50 ml of two together": ("S2", job(solvents=[wipe("acetone", 30.0), wipe("ethanol", 25.0)],
                                                     site={"room_m3": 5000.0}), False),
    "fire, two small ones": ("S3", job(solvents=[wipe(ml=6.0), wipe("acetone", 6.0)]), True),
    "fire, flash point unknown": ("S3", job(solvents=[wipe("lacquer thinner", 11.0)]), True),
    "fire, warm room": ("S3", job(solvents=[wipe("styrene", 11.0)], site={"temperature_c": 21.0}), True),
    "fire, cool room": ("S3", job(solvents=[wipe("styrene", 11.0)], site={"temperature_c": 20.0}), False),
    "lamp after a wipe": ("S4", (raw_job(panel(CHIP, compounds_by="hand"), solvents=[wipe()]),
                                 {"equipment": {"lamp": True}}), True),
    "oil": ("S7", job(solvents=[wipe("linseed oil polish")]), True),
    "toluene is no oil": ("S7", job(solvents=[wipe("toluene")]), False),
    "resin and solvent": ("S10", filled("cyanoacrylate", solvents=[wipe()]), True),
    "resin alone": ("S10", filled(), False),
    "resin, 20 g by the least batch": ("F9", filled(shop={"scale_readability_g": 0.1},
                                                    fill={"catalyst_percent": 2.0}), True),
    "resin, cyanoacrylate does not heat in a pot": ("F9", filled("cyanoacrylate", NICK_OF_NO_SIZE), False),
    "styrene, hall with much air": ("F2", big_fill(40.0, site={"air_changes_per_h": 20.0, "room_m3": 9000.0}), True),
    "styrene-free resin": ("F2", big_fill(0.0), False),
    "peroxide by the bottle": ("F3", job(solvents=[wipe("MEKP")]), True),
    "no air known, cyanoacrylate": ("B2", filled("cyanoacrylate"), True),
    "no air known, epoxy": ("B2", filled("epoxy"), True),
    "room unknown is asked for": ("B2", job(solvents=[wipe()], site={"room_m3": None}), False),
    "fill of no size is asked for": ("B2", filled(chip=NICK_OF_NO_SIZE), False),
    "mask named, air not measured": ("B2", job(solvents=[wipe()], shop=MASK), True),
    "mask named, all known": ("B2", job(solvents=[wipe()], shop=KNOWN_MASK), False),
    "mask named, two substances": ("B2", job(solvents=[wipe(), wipe("acetone")], shop=KNOWN_MASK), True),
    "mask named, over the immediate danger": ("B2", job(
        solvents=[wipe("toluene", 200.0, 5.0)], site={"room_m3": 3000.0}, shop=KNOWN_MASK), True),
    "mask named, a little of it": ("B2", job(
        solvents=[wipe("toluene", 20.0, 5.0)], site={"room_m3": 3000.0}, shop=KNOWN_MASK), False),
    "mask named, over a tenth of the explosive limit": ("B2", job(
        solvents=[wipe("MEK", ml=400.0, minutes=1440.0)], site={"room_m3": 30.0, "air_changes_per_h": 20.0},
        shop=KNOWN_MASK), True),
    "mask named, as much in a hall": ("B2", job(
        solvents=[wipe("MEK", ml=400.0, minutes=1440.0)], site={"room_m3": 3000.0, "air_changes_per_h": 20.0},
        shop=KNOWN_MASK), False),
    "mask named, lead in mind": ("B2", job(solvents=[wipe()], shop=KNOWN_MASK, **OLD), True),
    "mask named, no vapour": ("B2", job(SCRATCH, shop=MASK), False),
    "mask by D1": ("B1", job(SCRATCH, shop=DRY), True),
    "no mask in the file": ("B1", job(SWIRLS, shop={"equipment": {"respirator": "none"}}), False),
    "cartridge not seen": ("B3", job(solvents=[wipe("mineral spirits")]), False),
    "lid task alone": ("L1", hardware("lid off"), True),
    "lid prop": ("L1", (raw_job(panel(SWIRLS, name="lid prop", off=True)), None), False),
    "solid side": ("L1", (raw_job(panel(SWIRLS, name="solid side", off=True)), None), False),
    "lid at a home, steps": ("L2", lid(1.5, site={"kind": "home"}), True),
    "lid in the shop": ("L2", lid(1.5), False),
    "lid, alone": ("L2", lid(1.5, site={"alone": True}), True),
    "hinge": ("L3", hardware("long hinge off"), True),
    "lid off by its hinge": ("L3", hardware("lid off"), True),
    "upright in our shop": ("L4", job(instrument={"kind": "upright"}), True),
    "upright at a home": ("L4", job(instrument={"kind": "upright"}, site={"kind": "home"}), False),
    "leg panel off": ("L4", (raw_job(panel(SWIRLS, name="front leg", off=True)), None), True),
    "alone with the lid": ("P1", lid(site={"alone": True}), True),
    "alone with a rotary": ("P1", job(SWIRLS, site={"alone": True}), False),
    "trainee with 50 ml": ("P1", job(SWIRLS, crew={"worker": "trainee"}, solvents=[wipe(ml=50.0)]), False),
}
"""Other ways to trip a row, and cases near by that must not: row, job, whether it appears."""


def test_every_row_has_its_two_jobs_and_every_trigger_a_row() -> None:
    assert set(CASES) | {"P6"} == set(ROWS)
    assert {row["trigger_key"] for row in ROWS.values()} == set(KEYS)
    assert not set(FACTS) & set(SUMS)


@pytest.mark.parametrize("row", CASES)
def test_row_appears_when_its_trigger_is_met(row: str) -> None:
    found = raised(*CASES[row][0])
    assert row in found
    assert found[row].severity == ROWS[row]["severity"]


@pytest.mark.parametrize("row", CASES)
def test_row_stays_away_when_its_trigger_is_not_met(row: str) -> None:
    assert row not in raised(*CASES[row][1])


@pytest.mark.parametrize("name", ALSO)
def test_other_ways_in_and_near_misses(name: str) -> None:
    row, case, appears = ALSO[name]
    assert (row in raised(*case)) is appears


def test_a_job_that_does_nothing_raises_only_what_this_is_not() -> None:
    assert list(raised(*job())) == ["P6"]


@pytest.mark.parametrize("row", CASES)
def test_cautions_come_worst_first_with_no_blank_left(row: str) -> None:
    found = list(raised(*CASES[row][0]).values())
    severities = [list(SEVERITIES).index(caution.severity) for caution in found]
    assert severities == sorted(severities)
    for caution in found:
        assert not {"{", "}"} & set(caution.text), caution.text
        assert "None" not in caution.text and "nan" not in caution.text.split()
        assert caution.sum == ROWS[caution.id]["backed_by_sum"]
        assert bool(caution.figures) or not caution.sum or caution.without_figure


def test_nothing_is_left_out() -> None:
    assert sums_not_worked_out() == ()
