"""The printed safety list: width, order, each sum with its inputs once, the card on a page of its own."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from typing import Any

import pytest

from finishplan.paper.emergency_card import PAGE_LINES, card_lines, card_text
from finishplan.paper.safety_text import safety_text
from finishplan.paper.safety_words import number_words, shown_sums
from finishplan.records.files import as_text, demo_job_path, demo_shop_path
from finishplan.reference import SOURCE_KINDS
from finishplan.safety.as_json import caution_json, safety_json
from finishplan.safety.card import emergency_card
from finishplan.safety.day_sums import day_sums
from finishplan.safety.situation import Situation
from finishplan.safety.worked import BANDS
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import Answer, work_up

PROMISES = re.compile(
    r"\bsafe\b|\bsafely\b|complian|\bcomply\b|complies|within (the |its |all |any )?limits?\b|\bno risks?\b|risk-free"
    r"|\bpermitted\b|\bharmless\b(?! just)|\bpassed?\b(?! it)|not dangerous|\ball clear\b|\bOK\b"
    r"|✓|✔|✅|🟢", re.IGNORECASE)
"""Words and signs that would promise something. D1 says that dust is not harmless just because it has no limit."""

CHIP = {"kind": "chip", "length_mm": 30, "width_mm": 20, "depth_um": 380.0, "count": 6, "seen_in": "detail"}
PEEL = {"kind": "orange_peel", "area_m2": 1.9, "depth_um": 30.0, "seen_in": "detail"}
SHEETS = ("P180", "P220", "P240", "P320", "P400", "P500", "P600", "P800", "P1000", "P1200", "P1500", "P2000", "P2500")


def demo(**changes: Any) -> Answer:
    raw = json.loads(demo_job_path().read_text(encoding="utf-8")) | changes
    shop = json.loads(demo_shop_path().read_text(encoding="utf-8"))
    return work_up(read_job_dict(raw), apply_shop(default_profile(), shop))


def hard_job() -> Answer:
    """Invented: a big pour in a small closed room, a dry-sanded lid, an old finish of unknown colour."""
    zone = {"name": "field", "area_m2": 1.9, "readings": [{"um": 480, "spot": n} for n in (1, 2, 3)],
            "defects": [PEEL, CHIP]}
    raw = {
        "format": "finishplan-job", "version": 1, "title": "Invented: old parlour grand",
        "instrument": {"kind": "grand", "year": 1968}, "finish_id": {"result": "polyester", "how": "solvent"},
        "site": {"kind": "shop", "room_m3": 22, "air_changes_per_h": 0, "temperature_c": 24, "alone": True},
        "solvents": [{"substance": "naphtha", "ml": 80}, {"substance": "a cleaner nobody listed", "ml": 15}],
        "fill": {"resin": "polyester", "styrene_percent": 43, "gel_min": 20, "catalyst_percent": 2},
        "panels": [{"name": "lid, top", "off": True, "zones": [zone]}],
        "hardware": [{"task": "lid off"}, {"task": "polish one long hinge on its own wheel", "brass": "solid"}],
    }
    shop = {"format": "finishplan-shop", "version": 1, "place": "Lyon, France", "scale_readability_g": 0.1,
            "steps": [{"step": name, "wet": False} for name in SHEETS],
            "equipment": {"respirator": "half mask", "lamp": "infrared"},
            "local_limits": {"styrene": {"twa": 20, "short_term": 40, "unit": "ppm", "source": "our hygienist"}}}
    return work_up(read_job_dict(raw), apply_shop(default_profile(), shop))


ANSWERS = {"demo": demo, "hard": hard_job, "no room": lambda: demo(site={"kind": "shop"})}


@pytest.fixture(scope="module", params=ANSWERS)
def answer(request: pytest.FixtureRequest) -> Answer:
    return ANSWERS[request.param]()


def test_80_columns_and_printable(answer: Answer) -> None:
    text = safety_text(answer)
    for line in re.split(r"[\n\f]", text):
        assert len(line) <= 80 and line == line.rstrip(), line
    assert all(c.isprintable() or c in "\n\f" for c in text)
    assert "None" not in text and not re.search(r"\bnan\b|\binf\b|e[-+]\d\d", text)


def test_worst_first_each_caution_once_with_its_words(answer: Answer) -> None:
    flat = " ".join(safety_text(answer).split())
    places = [flat.index(f"{caution.id} {caution.hazard} ") for caution in answer.cautions]
    assert places == sorted(places)
    for caution in answer.cautions:
        assert flat.count(caution.text) == 1
        assert all(note in flat for note in caution.notes)
    heads = [flat.index(word) for word in ("STOP: do not start", "HIGH: can injure", "MEDIUM: do it", "INFO: know it")]
    assert heads == sorted(heads)


def test_local_rules_first_and_what_a_short_list_means(answer: Answer) -> None:
    flat = " ".join(safety_text(answer).split())
    assert flat.index("Local rules come first: ") < flat.index("STOP: ")
    assert "what is not shown has not been cleared" in flat


def test_every_sum_stands_once_with_inputs_kinds_formula_and_limit(answer: Answer) -> None:
    flat = " ".join(safety_text(answer).split())
    sums = day_sums(Situation(answer.job, answer.plan, answer.profile))
    behind = [f for caution in answer.cautions for f in caution.figures]
    for shown in shown_sums(dict.fromkeys([*behind, *sums.figures])):
        assert flat.count(" ".join(shown.name.split())) >= 1
        for given in shown.inputs:
            assert f"{given.name} {number_words(given.value)} {given.unit} ({given.kind})" in flat
            assert given.kind in SOURCE_KINDS
        for result in shown.results:
            assert " ".join(result.words.split()) in flat
        assert " ".join(shown.formula.split()) in flat
    for figure in sums.figures:
        if figure.limit is not None:
            assert figure.limit.whose in flat
            assert any(word in figure.said for _, word in BANDS) or figure.word


def test_a_sum_is_printed_once_and_then_named(answer: Answer) -> None:
    flat = " ".join(safety_text(answer).split())
    behind = {f for caution in answer.cautions for f in caution.figures if f.value is not None}
    for figure in (f for f in behind if f.sum in ("noise", "LEL", "vapour", "vibration")):
        said = " ".join(figure.said.removesuffix(f" ({figure.basis})").split())
        assert flat.count(said) == 1, said


def test_every_stop_has_a_strip_to_sign(answer: Answer) -> None:
    text = safety_text(answer)
    strips = re.findall(r"^\[ \] (\S+) +done about it _+ name _+ date _+$", text, re.M)
    assert strips == [caution.id for caution in answer.cautions if caution.severity == "stop"]


def test_nothing_is_ever_promised(answer: Answer) -> None:
    sums = day_sums(Situation(answer.job, answer.plan, answer.profile))
    texts = [safety_text(answer), *(f.said for f in sums.figures), *sums.notes]
    for text in texts:
        found = PROMISES.search(" ".join(text.split()))
        assert found is None, found


def test_json_says_the_same_and_is_plain(answer: Answer) -> None:
    told = safety_json(Situation(answer.job, answer.plan, answer.profile))
    back = json.loads(as_text(told))
    assert back == told
    assert (told["format"], told["version"], told["title"]) == ("finishplan-safety", 1, answer.plan.title)
    assert told["cautions"] == [caution_json(caution) for caution in answer.cautions]
    text = " ".join(safety_text(answer).split())
    for caution in told["cautions"]:
        assert caution["text"] in text
        for figure in caution["figures"]:
            assert figure["formula"] and figure["basis"] == "worked out, not measured" and figure["not_claimed"]
            assert (figure["value"] is None) == bool(figure["no_number"])
            assert all(given["kind"] in SOURCE_KINDS and given["unit"] for given in figure["inputs"])
    assert not PROMISES.search(as_text(told))


def test_the_hard_job_says_all_that_is_hard_about_it() -> None:
    answer = hard_job()
    found = {caution.id: caution for caution in answer.cautions}
    for row in ("D1", "D2", "D5", "D6", "D7", "S2", "S3", "S10", "F1", "F2", "F3", "F4", "F5", "F11", "B1", "B2", "L1",
                "L3", "M1", "M3", "P1", "E3"):
        assert row in found, row
    assert "at least" in found["S2"].text and "at least" in found["S3"].text
    (decides,) = [f for f in found["F2"].figures if f.what == "styrene, gel-coat law, near the face, 15 min"]
    assert decides.limit is not None and decides.limit.whose == "our shop's own limit" and decides.limit.value == 40.0
    assert decides.band == "not this way"
    assert "40 ppm (our shop's own limit" in found["F2"].text or "20 ppm (our shop's own limit" in found["F2"].text
    assert {f.about for f in found["B2"].figures if f.sum == "vapour"} == {"a cleaner nobody listed"}
    assert all(f.value is None for f in found["B2"].figures)
    text = " ".join(safety_text(answer).split())
    assert "air changes 0 1/h (measured here)" in text
    assert "those on file for France" in text and "measured here, our hygienist (trust A)" in text


def test_text_does_not_change_the_answer() -> None:
    answer = demo()
    before = deepcopy(answer.cautions)
    assert safety_text(answer) == safety_text(answer)
    assert answer.cautions == before


def test_card_is_one_page_with_every_line_of_the_table() -> None:
    lines = card_lines()
    assert len(lines) <= PAGE_LINES
    assert max(map(len, lines)) <= 80
    flat = " ".join(" ".join(lines).split())
    for line in emergency_card():
        assert (line.what.upper() if line.part == "do" else line.what) in flat
    for line in emergency_card():
        words = line.do.split()
        assert not words or words[0] in flat
    assert flat.count("_" * 30) == sum(line.part == "fill in" for line in emergency_card())
    assert not PROMISES.search(flat)


def test_card_stands_on_its_own_page_after_the_list(answer: Answer) -> None:
    first, second = safety_text(answer).split("\f")
    assert second == card_text() and "EMERGENCY CARD" not in first
