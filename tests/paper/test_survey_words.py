"""The survey in words: the first line is the plan's own, and every entry reads as a person would say it."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from finishplan.paper import lines, survey_words
from finishplan.planning.findings import findings
from finishplan.planning.next_reading import reading_words
from finishplan.records.files import demo_job_path
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict
from finishplan.survey.typed_row import Odd
from finishplan.workup import work_up

RAW: dict[str, Any] = json.loads(demo_job_path().read_text(encoding="utf-8"))
JOB = read_job_dict(RAW)
PROFILE = default_profile()


def test_first_line_and_what_is_missing_are_those_of_the_whole_answer() -> None:
    whole = work_up(JOB, PROFILE)
    quick = survey_words.standing(JOB, PROFILE)
    assert quick.first_line == lines.first_line(whole.plan, whole.labour_minutes)
    assert quick.missing == findings(JOB, whole.plan, PROFILE)
    assert whole.risk is not None
    assert survey_words.next_reading_line(JOB, PROFILE, quick.plan) == reading_words(whole.risk.next_readings[0])
    lid = quick.zone("main lid, top", "field")
    assert lid is not None and lid.film_low_um == whole.plan.panels[0].zones[0].film_low_um
    assert quick.zone("main lid, top", "x") is None


def test_a_survey_without_anything_to_do_needs_no_reading() -> None:
    raw = copy.deepcopy(RAW)
    for zone in (zone for panel in raw["panels"] for zone in panel["zones"]):
        zone["defects"] = []
    job = read_job_dict(raw)
    quick = survey_words.standing(job, PROFILE)
    assert quick.first_line == "No defect is entered yet, so there is nothing to plan."
    assert survey_words.next_reading_line(job, PROFILE, quick.plan) == (
        "No further reading would change anything in the plan.")


@pytest.mark.parametrize(("missing", "said"), [
    ((), "Nothing is missing."),
    (("build: unknown",), "Build: unknown."),
    (("build: unknown", "x"), "Build: unknown, and one thing more."),
    (("build: unknown", "x", "y"), "Build: unknown, and two things more."),
])
def test_what_is_missing_in_one_sentence(missing: tuple[str, ...], said: str) -> None:
    assert survey_words.missing_line(missing) == said


def test_a_panel_s_tally() -> None:
    assert survey_words.panel_tally(JOB.panels[0]) == "9 readings, 6 defects"
    bare = copy.deepcopy(RAW)
    bare["panels"][0]["zones"][1]["readings"] = []
    bare["panels"][5]["zones"][0] |= {"readings": [], "defects": []}
    job = read_job_dict(bare)
    assert survey_words.panel_tally(job.panels[0]) == "6 readings, 6 defects, none at front edge"
    assert survey_words.panel_tally(job.panels[5]) == "no reading yet, no defect"
    assert survey_words.walk_words(2, 7) == "Panel 3 of 7"


def test_a_zone_s_film_is_measured_or_called_a_guess() -> None:
    quick = survey_words.standing(JOB, PROFILE)
    lid = JOB.panels[0].zones[0]
    said = survey_words.film_line(lid, quick.zone("main lid, top", "field"))
    assert said.startswith("Film 405 um, measured, 6 readings, we count on")
    guess = survey_words.film_line(lid.model_copy(update={"readings": ()}), quick.zone("main lid, top", "field"))
    assert guess.startswith("No reading yet") and guess.endswith("a guess.")
    assert survey_words.film_line(lid, None) == ""


def test_readings_as_cells() -> None:
    assert survey_words.reading_cells({"um": 412, "spot": 3, "at": {"x": 0.2, "y": 0.7}, "note": "n"}) == (
        "412", "ultrasonic", "3", "20 across, 70 up", "n")
    assert survey_words.reading_cells({"um": 412.5, "method": "loupe at chip"}) == (
        "412.5", "loupe at chip", "–", "–", "")


@pytest.mark.parametrize(("defect", "said"), [
    ({"kind": "scratch"}, "scratch, depth guessed from kind: 8 to 60 um, likely 20, no place"),
    ({"kind": "scratch", "count": 3, "length_mm": 140.0, "width_mm": 0.3, "depth_um": 14, "at": {"x": 0, "y": 0},
      "seen_in": "detail", "wish": "soften", "note": "by the lock", "photos": ["a", "b"]},
     "3 scratches, 140 mm long, 0.3 mm wide, 14 um deep, measured, shows from detail, wish: soften, 2 photos, by the "
     "lock"),
    ({"kind": "dull_area", "area_m2": 0.4, "depth_um": {"low": 1, "likely": 2, "high": 4}, "at": {"x": 0, "y": 0}},
     "dull area, 0.4 m2, 1 to 4 um deep, likely 2"),
    ({"kind": "chip", "missing_ml": 0.5, "photos": ["a"], "depth_um": 300, "at": {"x": 0, "y": 0}},
     "chip, 0.5 ml missing, 300 um deep, measured, 1 photo"),
])
def test_a_defect_in_one_line(defect: dict[str, Any], said: str) -> None:
    assert survey_words.defect_line(defect) == said


@pytest.mark.parametrize(("odd", "said"), [
    (Odd(4120, 405.0, 412), "4120 um beside a usual 405 um: is it 412?"),
    (Odd(1700, 405.0, None), "1700 um beside a usual 405 um: is it right?"),
    (Odd(4120, None, 412), "4120 um is not what this finish has: is it 412?"),
])
def test_an_odd_reading_is_asked_about(odd: Odd, said: str) -> None:
    assert survey_words.odd_words(odd) == said


def test_a_test_spot_in_lines() -> None:
    spot = {"panel": "lid", "zone": "field", "defect": 0, "before": [405, 401.5], "after": [],
            "steps": [{"step": "P1500", "minutes": 4}, {"step": "P1000", "minutes": 5.5, "cleared": True}]}
    assert survey_words.spot_lines(spot) == (
        "lid, field", "P1500, 4 min: still there", "P1000, 5.5 min: gone", "film before: 405, 401.5 um")
