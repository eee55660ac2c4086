"""Inspection: which angle, which difference is accepted, what cannot be read, what stays by agreement."""

from __future__ import annotations

import bench_jobs as jobs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishplan.bench import inspection
from finishplan.bench.inspection import Agreed, Found, GlossPair, inspect, inspect_all, read_found
from finishplan.errors import BadValue, FinishplanError, UnknownKey, UnknownName
from finishplan.planning.gloss import gloss_ceiling_gu

LID = Agreed("lid", "detail", 1.0, "diffuse light", True, None, (), ())


def found(angle: float = 20.0, face: float = 88.0, neighbour: float = 90.0, rating: int | None = 4,
          **more: object) -> Found:
    gloss = {"angle_deg": angle, "face_gu": face, "neighbour_gu": neighbour}
    return read_found({"panel": "lid", "gloss": gloss, "image_rating": rating, **more})


@pytest.mark.parametrize(("face", "neighbour", "state"), [
    (85.0, 90.0, "accepted"), (90.0, 85.0, "accepted"), (84.9, 90.0, "not accepted"), (90.0, 84.9, "not accepted"),
    (90.0, 90.0, "accepted"),
])
def test_five_gloss_units_either_way_are_accepted(face: float, neighbour: float, state: str) -> None:
    assert inspect(found(face=face, neighbour=neighbour), LID).state == state


def test_rounding_of_the_readings_does_not_move_the_limit() -> None:
    assert 64.4 - 59.4 > 5.0, "a hair over 5 in binary numbers"
    assert inspect(found(face=64.4, neighbour=59.4), LID).state == "accepted"
    assert inspect(found(angle=60.0, face=59.4, neighbour=64.4), LID).state == "accepted"


def test_over_70_at_60_degrees_is_read_at_20() -> None:
    """ASTM D523: 20 degrees where 60 reads over 70."""
    assert inspect(found(angle=60.0, face=70.0, neighbour=66.0), LID).state == "accepted"
    over = inspect(found(angle=60.0, face=66.0, neighbour=70.1), LID)
    assert over.state == "read again"
    assert over.messages == ("70.1 GU at 60 degrees is over 70, where faces look alike to it: read both at 20 degrees",)


@pytest.mark.parametrize("angle", [20.0, 60.0])
def test_more_than_a_perfect_face_can_read_is_read_again(angle: float) -> None:
    """ISO 2813 by Fresnel, n = 1.55: 95.4 GU at 20 degrees, 97.3 at 60."""
    ceiling = {20.0: 95.4, 60.0: 97.3}[angle]
    assert gloss_ceiling_gu(angle_deg=angle) == pytest.approx(ceiling, abs=0.05)
    said = inspect(found(angle=angle, face=ceiling + 0.1, neighbour=ceiling - 1), LID)
    assert said.state == "read again"
    assert f"more than polyester can read ({ceiling:.1f})" in said.messages[0]
    assert inspect(found(angle=20.0, face=95.3, neighbour=95.0), LID).state == "accepted"


def test_what_gloss_does_not_see_asks_for_a_second_look() -> None:
    low = inspect(found(rating=2), LID)
    assert low.state == "finisher decides"
    assert low.messages[1] == ("image rating 2, lines broken or swimming: gloss does not see ripple, look at it "
                               "together")
    assert inspect(found(rating=3), LID).state == "accepted"
    assert inspect(found(leftovers_as_agreed=False), LID).state == "finisher decides"
    assert inspect(found(leftovers_as_agreed=True), LID).state == "accepted"
    asked = Agreed("lid", "detail", 1.0, "", True, 93.0, (), ())
    assert inspect(found(face=87.9, neighbour=88.0), asked).messages[1:] == ("93 GU were asked for",)
    assert inspect(found(face=88.0, neighbour=88.0), asked).state == "accepted"


def test_what_is_not_read_yet_is_not_accepted() -> None:
    assert inspect(None, LID).state == "not inspected"
    assert inspect(read_found({"panel": "lid"}), LID).messages == ("gloss and image rating not read yet",)
    assert inspect(read_found({"panel": "lid", "image_rating": 5}), LID).messages == ("gloss not read yet",)
    unrated = inspect(found(rating=None), LID)
    assert (unrated.state, unrated.messages[-1]) == ("not inspected", "image rating not read yet")
    assert inspect(found(face=70.0, rating=None), LID).state == "not accepted"


def test_sentences() -> None:
    assert inspect(found(face=88.0, neighbour=90.5), LID).messages == (
        "88.0 GU at 20 degrees, 2.5 GU under its neighbour; 5 or less is accepted",)
    assert inspect(found(face=90.0, neighbour=90.0), LID).messages == (
        "90.0 GU at 20 degrees, the same as its neighbour; 5 or less is accepted",)


@pytest.mark.parametrize(("raw", "error", "said"), [
    ({"panel": "lid", "image_rating": 6}, BadValue, "image_rating is 6; give a number up to 5"),
    ({"panel": "lid", "image_rating": 0}, BadValue, "image_rating is 0; give a number of 1 or more"),
    ({"panel": "lid", "rating": 3}, UnknownKey, "unknown key 'rating'; did you mean 'image_rating'?"),
    ({"panel": "lid", "gloss": {"angle_deg": 85.0, "face_gu": 1.0, "neighbour_gu": 1.0}}, BadValue,
     "lid: angle_deg is 85; read gloss at 20 or at 60 degrees"),
    ({"panel": "lid", "gloss": {"angle_deg": 20.0, "face_gu": -1.0, "neighbour_gu": 1.0}}, BadValue,
     "gloss: face_gu is -1; give a number of 0 or more"),
    ({"gloss": None}, FinishplanError, "panel is missing; add 'panel'"),
])
def test_bad_findings_are_refused_in_one_line(raw: dict[str, object], error: type[Exception], said: str) -> None:
    with pytest.raises(error) as told:
        read_found(raw)
    assert str(told.value) == said


def test_an_odd_angle_made_in_code_is_refused_too() -> None:
    pair = GlossPair(angle_deg=45.0, face_gu=80.0, neighbour_gu=80.0)
    with pytest.raises(BadValue, match="read gloss at 20 or at 60 degrees"):
        inspect(Found(panel="lid", gloss=pair), LID)


def test_what_was_agreed_comes_from_survey_and_plan() -> None:
    answer = jobs.answer(
        jobs.panel(jobs.zone(jobs.SCRATCH | {"photos": ["lid-1.jpg", "lid-2.jpg"]},
                             {"kind": "scratch", "depth_um": 250.0, "wish": "leave", "photos": ["lid-2.jpg"]},
                             jobs.PEEL | {"wish": "soften"}), name="lid", seen_from="overall",
                   target={"finish": "gloss", "gloss_gu": 85.0}),
        jobs.panel(jobs.zone(), name="rim"), seen_from="hand",
    )
    lid, rim = inspection.agreed(answer.job, answer.plan)
    assert (lid.seen_from, lid.distance_m, lid.target_gu, lid.worked) == ("overall", 2.5, 85.0, True)
    assert lid.light == "whole piece from 2 to 3 m, ordinary light"
    assert lid.leftovers == ("b: scratch, field: stays as it is", "c: orange peel, field: softened, not gone")
    assert lid.photos_before == ("lid-1.jpg", "lid-2.jpg")
    assert (rim.seen_from, rim.distance_m, rim.worked, rim.leftovers) == ("hand", 0.61, False, ())


def test_all_panels_get_a_verdict_and_strangers_are_named() -> None:
    answer = jobs.answer(jobs.panel(jobs.zone(jobs.SCRATCH), name="lid"), jobs.panel(jobs.zone(), name="rim"))
    verdicts = inspect_all(answer.job, answer.plan, [found()])
    assert [(v.panel, v.state) for v in verdicts] == [("lid", "accepted"), ("rim", "not inspected")]
    with pytest.raises(UnknownName, match="panel is 'lit'; choose one of: lid, rim"):
        inspect_all(answer.job, answer.plan, [Found(panel="lit")])


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([20.0, 60.0]), st.floats(0, 100), st.floats(0, 100), st.integers(1, 5))
def test_verdict_is_one_of_five_and_does_not_mind_who_is_glossier(
    angle: float, face: float, neighbour: float, rating: int
) -> None:
    face, neighbour = round(face, 1), round(neighbour, 1)
    one = inspect(found(angle, face, neighbour, rating), LID)
    other = inspect(found(angle, neighbour, face, rating), LID)
    assert one.state == other.state
    assert one.state in inspection.STATES
    if one.state == "accepted":
        assert abs(face - neighbour) <= 5.0001
        assert max(face, neighbour) <= (70.0001 if angle == 60.0 else 95.5)
