"""SAFETY.md: every number in it comes out of the tables or the sums, and it promises nothing."""

import json
import re
from math import ceil, floor
from pathlib import Path

import pytest

from finishplan import reference
from finishplan.safety import air_figures, dust, lifting, noise, vapour, vibration, wheels
from finishplan.safety.air_figures import Law, fill_figures, solvent_figures, workroom
from finishplan.safety.body_figures import NoiseTime, TriggerTime, noise_figures, vibration_figures, with_background
from finishplan.safety.card import emergency_card
from finishplan.safety.cautions import SEVERITIES
from finishplan.safety.day_air import FROM_SHOP, named_mask
from finishplan.safety.handling_figures import mask_ceiling
from finishplan.safety.lead import laboratory_found_none
from finishplan.safety.limits import PLACES, limit_for, read_local_limits
from finishplan.safety.respirator import FACTS, MASKS, MaskFacts
from finishplan.safety.tables import FIGURES, TRUST, find_substance, protection_factor, substances, workplace
from finishplan.safety.worked import BANDS, Worked, number_of, typed
from finishplan.shop.policy import NEAR_FACE, SAFETY_FIGURES, Policy

PAGE = (Path(__file__).parents[2] / "SAFETY.md").read_text(encoding="utf-8")
FLAT = " ".join(PAGE.split())
HEADINGS = (
    "Read this first", "What the program does with your job", "What it can't know", "Words", "Dust",
    "Water and electricity", "Wheels, polishers and heat", "Noise and vibration", "Solvents and fire",
    "Polyester fills", "Respirators", "Lifting and moving", "People and places", "Waste", "Emergency card",
    "Where the numbers come from", "Keep it current", "Sign-off",
)
SOURCES = (
    r"29 CFR [\d.]+(\([a-z0-9]+\))*(\([A-Z]\))? ?(Table 1)?|40 CFR 63 subpart VVVV Table 3|UK EH40"
    r"|LEX,8h|A\(8\)|m/s2|m2\b|m3\b|cm3\b|[Ss]ections? \d+|\b[BDEFLMPSV]\d+\b"
)


def figure(agent: str, what: str) -> float:
    return number_of(workplace(agent, what).likely)


def limit(name: str, span: str) -> float:
    used = limit_for(name, span).used
    assert used is not None
    return used.value


def by_name(figures: tuple[Worked, ...]) -> dict[str, Worked]:
    return {one.what: one for one in figures}


def value(one: Worked) -> float:
    assert one.value is not None
    return one.value


def upward(one: Worked, places: int) -> str:
    """A value as it is printed where more is worse: never rounded down."""
    return f"{ceil(round(value(one) * 10 ** places, 9)) / 10 ** places:.{places}f}"


def share(one: Worked) -> float:
    assert one.share is not None
    return one.share


def dust_words() -> list[str]:
    scale = dust.dust_scale(2.1, 40.0, 60.0)
    return [
        f"under {figure('compressed air for cleaning', 'below, with chip guard and eye protection'):.0f} psi",
        f"all of it | {figure('dust not otherwise regulated, total', 'OSHA PEL'):.0f} mg/m3 | OSHA",
        f"reaches the lung | {figure('dust not otherwise regulated, respirable', 'OSHA PEL'):.0f} mg/m3 | OSHA",
        f"wood | {figure('wood dust', 'NIOSH REL'):.0f} mg/m3 | NIOSH, and law in France",
        f"silica, fine part | {figure('respirable crystalline silica', 'OSHA PEL'):.2f} mg/m3 | OSHA",
        f"lead | {figure('lead, airborne', 'OSHA PEL'):.0f} ug/m3 | OSHA",
        f"levelling 40 um off a lid face of 2.1 m2 makes {scale.removed_cm3:.0f} cm3 or about {scale.dust_g:.0f} g",
        f"about {scale.cloud_m3:.1f} m3 of explosible cloud (at {dust.CLOUD_G_PER_M3:.0f} g/m3, from memory)",
        f"about {figure('dust layer', 'act at'):.1f} mm over a twentieth",
        f"those {scale.dust_g:.0f} g hanging in 60 m3 of air would be {scale.room_mg_per_m3:.1f} mg/m3",
    ]


def wheel_words() -> list[str]:
    return [
        f"warns from {wheels.WARN_M_PER_S:.0f} m/s and says \"not this way\" from {wheels.REFUSE_M_PER_S:.0f} m/s",
        f"0.20 m at 1800 rpm runs at {wheels.rim_speed(0.20, 1800.0):.1f} m/s, one of 0.25 m at 2800 rpm at "
        f"{wheels.rim_speed(0.25, 2800.0):.1f} m/s",
    ]


def noise_words() -> list[str]:
    row = {what: figure("noise", what) for what in (
        "EU lower action value", "EU upper action value", "EU limit value at the ear", "OSHA action level")}
    lower, upper, most = (round(row[f"EU {name}"]) for name in (
        "lower action value", "upper action value", "limit value at the ear"))
    louder = workplace_range("orbital and random-orbital sander noise")
    found = [
        f"| OSHA | 8 h at {noise.OSHA.criterion_dba:.0f} dB(A) | {noise.OSHA.exchange_db:.0f} dB | yes | "
        f"{noise.CUT_OFF_DBA:.0f} dB(A), from memory |",
        f"| NIOSH | 8 h at {noise.NIOSH.criterion_dba:.0f} dB(A) | {noise.NIOSH.exchange_db:.0f} dB | yes | "
        f"{noise.CUT_OFF_DBA:.0f} dB(A), from memory |",
        f"LEX,8h against {lower}, {upper} and {most} dB(A) | 3 dB |",
        f"half a dose ({row['OSHA action level']:.0f} dB(A)). In Europe {lower} and {upper} are the lower and "
        f"upper action values, and protectors count only against {most}",
        f"{louder[0]:.0f} to {louder[1]:.0f} dB louder in use",
        f"a second line with {noise.DECLARED_ADD_DB:.0f} dB on top",
    ]
    for level in (90.0, 95.0, 100.0):
        minutes = [60.0 * rule.hours(level) for rule in (noise.OSHA, noise.NIOSH)]
        found.append(f"| {level:.0f} dB(A) | {minutes[0]:.0f} min | {minutes[1]:.0f} min |")
    tools = ((140.0, "random-orbit sander"), (80.0, "rotary polisher"), (30.0, "buffing lathe"))
    day = with_background([NoiseTime(m, workplace(tool, "noise").likely, True) for m, tool in tools])
    sander, polisher, lathe, rest = (number_of(part.level_dba) for part in day)
    osha, niosh, lex, _, _, louder_lex = noise_figures(day)
    found += [
        f"140 min of sander at {sander:.0f}, 80 min of polisher at {polisher:.0f}, 30 min at the lathe at {lathe:.0f}, "
        f"the rest of the day at {rest:.0f} dB(A). OSHA dose {upward(osha, 1)} % "
        f"(like {osha.notes[0].split()[3]} dB(A) all day), NIOSH dose {upward(niosh, 1)} % "
        f"({niosh.notes[0].split()[3]}), LEX,8h {upward(lex, 1)} dB(A)",
        f"the same day comes to {upward(louder_lex, 1)} dB(A)",
    ]
    return found


def workplace_range(agent: str) -> tuple[float, float]:
    row = next(r for r in reference.rows("workplace") if r["agent"] == agent)
    low, high = reference.number(row, "low"), reference.number(row, "high")
    assert low is not None and high is not None
    return low, high


def vibration_words() -> list[str]:
    sander, polisher = workplace("random-orbit sander", "vibration, typical"), workplace("rotary polisher", "vibration")
    a, b = number_of(sander.likely), number_of(polisher.likely)
    likely, low, high = vibration_figures([
        TriggerTime(140.0, sander.likely, sander.low, sander.high),
        TriggerTime(110.0, polisher.likely, polisher.low, polisher.high)])
    action, most = vibration.ACTION_M_PER_S2, vibration.LIMIT_M_PER_S2
    minutes = {(line, tool): vibration.minutes_to(line, tool) or 0.0 for line in (action, most) for tool in (a, b)}
    return [
        f"action value of {action:.1f} m/s2 ({vibration.points([(480.0, action)]):.0f} points) and a limit value of "
        f"{most:.0f} m/s2 ({vibration.points([(480.0, most)]):.0f} points) in Europe",
        f"sander at {a:.1f} m/s2 reaches the first after {floor(minutes[action, a])} min and the second after "
        f"{floor(minutes[most, a])} min; a polisher at {b:.1f} m/s2 (from memory) reaches the first after "
        f"{floor(minutes[action, b])} min",
        f"140 min of that sander and 110 min of that polisher come to A(8) {upward(likely, 2)}, and to anything from "
        f"{upward(low, 2)} to {upward(high, 2)}",
    ]


def solvent_words() -> list[str]:
    found = by_name(solvent_figures("isopropyl alcohol", typed("wipe", 60.0, "ml"), typed("dries", 10.0, "min"),
                                    workroom(60.0), Law()))
    lines = [
        f"60 ml isopropyl alcohol that dries over 10 min, in 60 m3 with "
        f"{figure('room air change when nothing mechanical', 'default'):.0f} air change an hour, stay "
        f"{air_figures.DEFAULT_STAY_MIN:.0f} min",
        f"of {limit('isopropyl alcohol', '8 h'):.0f} ppm | worst 15 min | "
        f"of {limit('isopropyl alcohol', '15 min'):.0f} ppm",
    ]
    for shown, where in (("middle of the room", "in the room"), ("near the face", "near the face")):
        eight, short = (found[f"isopropyl alcohol, {where}, {span}"] for span in ("8 h", "15 min"))
        lines.append(f"| {shown} | {value(eight):.1f} ppm | {share(eight):.2f} | {value(short):.0f} ppm | "
                     f"{share(short):.2f} | {short.band} |")
    spill, alcohol = vapour.lel_air(250.0, 0.791, 58.08, 2.5, 60.0), find_substance("isopropyl alcohol")
    assert alcohol is not None and alcohol.vapour_pressure_mmhg is not None and spill.room_share is not None
    return [
        *lines,
        f"The sum takes {vapour.NEAR_FACE_CLASSES['low']:.0f} m3/min of air between face and room",
        f"250 ml acetone can bring {spill.air_at_lel_m3:.1f} m3 of air to its lower explosive limit and "
        f"{spill.air_at_tenth_m3:.0f} m3 to a tenth of it: think of the {spill.air_at_lel_m3:.1f} m3 first",
        f"over 60 m3 it is {100.0 * spill.room_share:.1f} % of the limit",
        f"at 20 C the air holds {vapour.saturation_ppm(alcohol.vapour_pressure_mmhg) / 1e4:.1f} % vapour "
        f"and burns from {alcohol.lel_percent:.0f} %",
        f"room temperature plus {vapour.FLASH_MARGIN_C:.0f} C (assumed)",
        "metal cans of 5 litres and more",
    ]


def fill_words() -> list[str]:
    found = by_name(fill_figures(typed("resin", 60.0, "g"), None, None, workroom(60.0), Law()))
    release = vapour.styrene_release(60.0, air_figures.DEFAULT_STYRENE_PERCENT)
    lines = []
    for line, mass in (("the most it can be", release.most_mg), ("gel-coat law", release.gel_coat_mg),
                       ("resin law", release.resin_mg)):
        eight, short = (found[f"styrene, {line.removeprefix('the ')}, near the face, {s}"] for s in ("8 h", "15 min"))
        lines.append(f"| {line} | {mass:.0f} mg | {value(eight):.1f} ppm | {value(short):.0f} ppm |")
    decides = found["styrene, gel-coat law, near the face, 15 min"]
    twas = [10.0, *(row_value for row_value in (
        reference.number(row, "osha_pel_twa_ppm") for row in reference.rows("substances")
        if row["substance"] == "styrene") if row_value is not None)]
    lower = limit_for("styrene", "8 h").lower_guidelines[0].value
    return [
        *lines,
        f"60 g of resin with {air_figures.DEFAULT_STYRENE_PERCENT:.0f} % styrene, "
        f"{air_figures.DEFAULT_GEL_MIN:.0f} min to gel, 60 m3, 1 air change",
        f"{value(decides):.0f} of {limit('styrene', '15 min'):.0f} ppm is {share(decides):.2f}, \"act\"",
        f"from {lower:.0f} to {max(twas):.0f} ppm by place",
        "holds for 20 to 60 % styrene",
        f"within {figure('eyewash', 'reach within'):.0f} seconds, "
        f"{figure('eyewash', 'time at least'):.0f} minutes of flow",
        f"At least **{figure('eyewash', 'time at least'):.0f} minutes** without stopping",
        "From 20 g on",
    ]


def mask_words() -> list[str]:
    known = MaskFacts(*[True] * len(FACTS))
    half, full = (mask_ceiling("styrene", mask, known, Law()).value for mask in ("half mask", "full face"))
    bare = protection_factor("full face").apf * limit("styrene", "8 h")
    factors = {mask: protection_factor(mask).apf for mask in MASKS}
    assert factors["powered, hood"] == factors["powered, loose-fitting"]
    shown = {"quarter mask": "quarter mask", "half mask, filtering facepiece": "half mask", "full face": "full face",
             "powered, half mask": "powered, half mask", "powered, full face": "powered, full face",
             "powered, hood or loose-fitting": "powered, hood"}
    return [
        f"styrene (limit {limit('styrene', '8 h'):.0f} ppm) a half mask stops at {half:.0f} ppm; a full face mask at "
        f"{full:.0f} ppm, not at {bare:.0f}",
        *(f"| {words} | {factors[mask]:.0f} |" for words, mask in shown.items()),
    ]


def lid_words() -> list[str]:
    lid = lifting.lid_share(2.1, 22.0, 0.8, 2)
    return [
        f"A lid of 2.1 m2, 22 mm thick, with 0.8 mm film on both faces together, weighs about {lid.lid_kg:.1f} kg",
        f"that is {lid.even_kg:.1f} kg each, and {lid.uneven_kg:.1f} kg for the one at the heavy end "
        f"({lifting.UNEVEN_FACTOR:.1f} times, assumed). NIOSH names {lifting.IDEAL_LIFT_KG:.0f} kg (51 lb)",
    ]


def other_words() -> list[str]:
    cautions = {row["id"]: row for row in reference.rows("cautions")}
    trainee = re.findall(r"over (\d+) ml", cautions["P1"]["trigger"])[0]
    wet = re.findall(r"more than (\d+) min wet", cautions["S9"]["trigger"])[0]
    (own,) = read_local_limits({"styrene": {"twa": 20, "short_term": 40, "unit": "ppm"}}).values()
    return [
        "more than " + trainee + " ml of solvent",
        f"More than {wet} min of wet hands",
        "under {2} \"small by this sum\"; from {2} \"note\"; from {1} \"act: less, slower, more air\"; from {0} "
        "\"not this way\"".format(*(f"{start:g}" for start, _ in BANDS[:3])),
        f'"twa": {own[0].value:.0f}, "short_term": {own[1].value:.0f}, "unit": "ppm"',
        "our hygienist, 2 March",
        '"near_face_class": "low", "stay_min": 45',
        "8 h figure | the day's exposure spread over 8 hours",
        "the worst 15 minutes of the day",
        "holds the 15-minute figure against it",
        "100 % is a full day's",
        "same sound energy in 8 hours",
        "vibration of the day, spread over 8 hours",
        f"at {Policy().wipe_ml_per_m2:.0f} ml to the square metre (assumed, a wet film of "
        f"{Policy().wipe_ml_per_m2:.0f} um; yours takes its place)",
        "`twa` is the 8 h figure, `short_term` the 15 min one",
        "| | 8 h |",
        "| near face, 8 h | near face, 15 min |",
    ]


SECTIONS = {
    "dust": dust_words, "wheels": wheel_words, "noise": noise_words, "vibration": vibration_words,
    "solvents": solvent_words, "fills": fill_words, "masks": mask_words, "lid": lid_words, "other": other_words,
}


@pytest.mark.parametrize("section", SECTIONS)
def test_numbers_are_the_programs_own(section: str) -> None:
    for words in SECTIONS[section]():
        assert words in FLAT, words


def test_no_other_number_stands_in_the_page() -> None:
    rest = re.sub(r"(^|\n)(## )?\d+\. ", "\n", PAGE)
    rest = " ".join(rest.split())
    for words in sorted((w for section in SECTIONS.values() for w in section()), key=len, reverse=True):
        rest = rest.replace(words, " ")
    rest = re.sub(SOURCES, " ", rest)
    left = [rest[max(0, m.start() - 40):m.end() + 40] for m in re.finditer(r"\d+", rest)]
    assert not left, left


def test_headings_stand_in_order() -> None:
    found = re.findall(r"^## (\d+)\. (.+)$", PAGE, re.MULTILINE)
    assert found == [(str(number), words) for number, words in enumerate(HEADINGS, start=1)]


def test_everything_from_memory_is_named() -> None:
    for row in reference.rows("workplace"):
        if row["trust"] == "C":
            what = row["limit_or_source"].split(",")[0]
            assert f"{row['agent']}, {row['limit_or_source']}" in FLAT or f"{row['agent']}, {what}" in FLAT, row
    for row in reference.rows("limits_elsewhere"):
        if row["trust"] == "C":
            assert f"{row['substance']}, {row['jurisdiction']}" in FLAT, row
    for row in reference.rows("assigned_protection_factors"):
        if row["trust"] == "C":
            assert row["shipped"] != "yes"
            assert f"{row['class']}, {row['facepiece']}" in FLAT, row


def test_cautions_from_memory_are_named_and_no_others() -> None:
    named = re.search(r"Cautions, by number: ([^.]+)\.", FLAT)
    assert named is not None
    assert named[1].split(", ") == [row["id"] for row in reference.rows("cautions") if row["trust"] == "C"]


def test_figures_of_substances_from_memory_are_named() -> None:
    listed = FLAT[FLAT.index("Single figures of substances"):FLAT.index("Protection factors, none")]
    recalled, guessed = listed.split("Assumed: ")
    for name, found in substances().items():
        for fields, part in ((found.from_memory, recalled), (found.assumed, guessed)):
            entry = next((entry for entry in part.split("; ") if entry.partition(":")[0] and f"{name}, " in entry), "")
            for field in fields:
                assert FIGURES[field][0] in entry, (name, field)
            assert bool(entry) == bool(fields), name


def test_masks_without_a_cartridge_are_named() -> None:
    none = FLAT[FLAT.index("For ethanol"):FLAT.index("record lists no cartridge")]
    not_seen = FLAT[FLAT.index("record lists no cartridge"):FLAT.index("none was seen")]
    for name, found in substances().items():
        if not found.no_vapour_sum and not found.cartridge_listed:
            assert name.split(" (")[0] in (none if found.no_cartridge else not_seen), name


def test_words_for_the_shop_file_are_the_programs_own() -> None:
    ticked = re.findall(r'"(\w+)": true', FLAT)
    assert set(ticked) == set(FROM_SHOP)
    assert named_mask({"mask": "half mask", "fit_tested": True, "oxygen_sure": "yes"}) == (
        "half mask", frozenset({"fit_tested"}), None)
    places = FLAT[FLAT.index("California, France"):FLAT.index("are on file")]
    assert set(re.split(r", | and ", places.replace("the ", "").strip())) == set(PLACES)
    assert laboratory_found_none(re.findall(r'such as "(laboratory[^"]*)"', FLAT)[0])


def test_own_figures_are_named_as_the_shop_file_calls_them() -> None:
    names = FLAT[FLAT.index("**Your own figure"):FLAT.index("**Your own limit**")]
    assert {"near_face_class", "safety_measured", "a_from", "noise_from", *SAFETY_FIGURES} == set(
        re.findall(r"`(\w+)`", names)) - {"policy"}
    assert all(re.search(rf"\b{name}\b", names) for name in NEAR_FACE)
    example = json.loads(re.findall(r'"policy": (\{.*?\]\})', names)[0])
    assert Policy.model_validate({**example, "safety_measured": tuple(example["safety_measured"])}).stay_min == 45.0


def test_card_is_the_tables_card() -> None:
    card = PAGE[PAGE.index("## 15."):PAGE.index("## 16.")].replace("**", "")
    for line in emergency_card():
        told = f"| {line.what} | {line.do or '_' * 30} |" if line.part != "first" else f"{line.what}: {line.do}"
        assert told in card, line
    assert len(re.findall(r"^\| [A-Z]", card, re.MULTILINE)) == sum(x.part != "first" for x in emergency_card())


def test_severities_and_trust_letters_are_explained_as_the_program_does() -> None:
    for letter, meaning in TRUST.items():
        assert f"| trust {letter} | {meaning} |" in FLAT
    assert all(f"| {severity} |" in FLAT for severity in SEVERITIES)


def test_page_promises_nothing_and_defers() -> None:
    low = FLAT.lower()
    assert not re.search(r"\bsafe\b|complian|no risk|within the limit|guarantee", low)
    for must in ("not a risk assessment, not a measurement and not legal advice", "data sheet", "law of the place",
                 "qualified", "worked out and not measured", "no number: ask a qualified person"):
        assert must in low.replace("**", ""), must


def test_card_covers_what_can_happen() -> None:
    card = PAGE[PAGE.index("## 15."):PAGE.index("## 16.")]
    for what in ("Eye", "Skin", "Breathing", "Fire", "Spill", "Crushed", "Shock", "Emergency number", "Data sheets"):
        assert f"**{what}" in card
    assert card.count("______") >= 7
