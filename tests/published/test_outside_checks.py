"""Every row of outside_checks.csv: a check against what others print, each with its source beside it.

Rows that bear on no quantity of the method stand in NOT_A_QUANTITY with the reason; rows that concern
rooms with their own published tests stand in ELSEWHERE. A row that fails is shown to fail, with why.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from finishplan.errors import NoSequence
from finishplan.planning.gloss import gloss_ceiling_gu, mirror_reflectance
from finishplan.planning.plan import make_plan
from finishplan.planning.repairs import DISH, feather_radius_m
from finishplan.planning.result import PanelPlan, Plan
from finishplan.planning.sequences import check_sequence
from finishplan.reference import rows
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.shop.steps import d50_of, nearest_p_grade
from finishplan.survey.choices import VIEWS
from finishplan.survey.defects import pert_mean_um, pert_quantile_um
from finishplan.survey.film import film_from, tolerance_factor
from finishplan.survey.job import Job, read_job_dict
from finishplan.units import UM_PER_MIL, volume_cm3

HERE = Path(__file__).parent
with (HERE / "outside_checks.csv").open(encoding="utf-8", newline="") as handle:
    ROWS = {row["id"]: row for row in csv.DictReader(handle)}

GLOSS = ("cutting compound", "polishing compound", "finishing compound")
FILM = [412.0, 398.0, 405.0, 391.0, 420.0]


def shop(**fields: object) -> Profile:
    return apply_shop(default_profile(), {"format": "finishplan-shop", "version": 1, **fields})


def job(area_m2: float, defects: list[dict[str, object]], **panel: object) -> Job:
    zone = {"name": "face", "area_m2": area_m2, "readings": [{"um": um} for um in FILM], "defects": defects}
    return read_job_dict({
        "format": "finishplan-job", "version": 1, "title": "a check", "build": "pigmented through",
        "finish_id": {"result": "polyester"}, "panels": [{"name": "panel", "zones": [zone], **panel}],
    })


def hours(plan: Plan) -> float:
    """Work, change and look of a plan in hours."""
    return (plan.parts.work + plan.parts.change + plan.parts.look) / 60.0


def only(plan: Plan) -> PanelPlan:
    return plan.panels[0]


def test_m01_restorers_sequence_takes_about_five_hours() -> None:
    # Source: a restorer's published account of a 1.86 m grand top (sequence and 5 h; 2.1 m2 and 30 um are
    # assumed here). The shipped rates were set on this row, so it is a check of consistency, not independent.
    sequence = ("P320", "P500", "P800", "P1500", *GLOSS)
    plan = make_plan(job(2.1, [{"kind": "ripple", "depth_um": 30.0}]), default_profile(), sequence=sequence)
    assert only(plan).sequence == sequence
    assert 4.5 <= hours(plan) <= 5.5


@pytest.mark.parametrize("depth_um", [3.0, 8.0, 20.0, 45.0, 90.0])
def test_m04_last_sheet_before_rotary_compound_is_p1500_or_finer(depth_um: float) -> None:
    # Source: four trade accounts of piano black end at P1500 or finer before compound (two others are
    # ambiguous or against). It is the optimum that is judged. With orange peel a sheet is always needed.
    plan = make_plan(job(1.0, [{"kind": "orange_peel", "depth_um": depth_um}]), default_profile())
    sheets = [s.step for s in only(plan).steps if s.is_sheet]
    assert sheets
    assert d50_of(sheets[-1]) <= 12.6


def test_m08_aviation_acrylic_sequence_on_the_wheel_and_not_on_the_rotary() -> None:
    # Source: US Navy Aviation Structural Mechanic manuals NAVEDTRA 14315 and 14018: US 320, 400, 500, 600
    # wet, then a stiff stitched wheel with compound (acrylic, not polyester).
    sequence = ("US 320", "US 400", "US 500", "US 600", *GLOSS)
    defects: list[dict[str, object]] = [{"kind": "ripple", "depth_um": 30.0}]
    plan = make_plan(job(0.5, defects, off=True, compounds_by="wheel"), default_profile(), sequence=sequence)
    assert only(plan).sequence == sequence
    with pytest.raises(NoSequence, match=r"cutting compound by rotary needs P1500 or finer before it, and US 600 is"):
        make_plan(job(0.5, defects), default_profile(), sequence=sequence)


def test_m10_gelcoat_by_hand_block_takes_about_an_hour() -> None:
    # Source: a dinghy class page on gelcoat scratch repair: "1 hour to finish 2-3 square foot", bracket
    # 0.75 to 1.25 h chosen here. Priced as a fragment that ends at cutting compound, step ratio 2.4.
    steps = [{"step": "P180", "in_default_plan": True}]
    sequence = ("P180", "P400", "P800", "P1500", "cutting compound")
    profile = shop(steps=steps, policy={"max_step_ratio": 2.4, "target_scratch_um": 0.7})
    depth = [{"kind": "ripple", "depth_um": 30.0}]
    plan = make_plan(job(0.232, depth, sheets_by="hand block"), profile, sequence=sequence)
    assert only(plan).sequence == sequence
    assert 0.75 <= hours(plan) <= 1.25


def test_m10_default_refuses_the_jump_and_names_the_nearest_step() -> None:
    with pytest.raises(NoSequence, match=r"P180 to P400 is a jump of 2\.34, over 1\.8; put P240 between them"):
        check_sequence(default_profile(), ("P180", "P400", "P800", "P1500", *GLOSS), "rotary", "gloss", None)


def test_m16_three_compounds_take_two_to_three_um() -> None:
    # Source: detailing handbook page 10.3 (clear-coat): a whole polish with three compounds takes 2 to 3 um.
    plan = make_plan(job(1.0, [{"kind": "swirls", "depth_um": 1.0}]), default_profile(), sequence=GLOSS)
    assert 2.0 <= only(plan).zones[0].removal_um <= 3.0


@pytest.mark.parametrize(("first", "taken_um", "inside"), [("P2000", 8.08, False), ("P2500", 6.94, True)])
def test_wet_sand_and_buff_row_is_shown_to_fail_from_p2000(first: str, taken_um: float, inside: bool) -> None:
    # Source: forum, clear-coat, low trust: 2.5 to 7.5 um from P2000. We take 8.1: the last-grit factor 2
    # takes 4.1 um after P2000 alone. Kept as a row that fails; no figure was moved for it. P2500 is inside.
    plan = make_plan(job(1.0, [{"kind": "orange_peel", "depth_um": 1.5}]), default_profile(), sequence=(first, *GLOSS))
    removal = only(plan).zones[0].removal_um
    assert removal == pytest.approx(taken_um, abs=0.005)
    assert (2.5 <= removal <= 7.5) is inside


def test_m20_high_gloss_takes_at_least_two_hours_a_square_metre() -> None:
    # Source: a do-it-yourself site (low trust): at least 2 h per m2 polished to high gloss. Held for one m2
    # sanded and polished with set-up; a polish alone is quicker here and is not what the page means.
    sequence = ("P500", "P800", "P1500", *GLOSS)
    plan = make_plan(job(1.0, [{"kind": "ripple", "depth_um": 20.0}]), default_profile(), sequence=sequence)
    assert hours(plan) >= 2.0


def test_m21_removal_rate_exponent_of_wood() -> None:
    # Source: Efficiency of Machine Sanding of Wood, Appl. Sci. 2021, 11, 2860 (doi 10.3390/app11062860):
    # complete-removal times on P60, P120, P180; least squares of ln(1/t) on ln d50.
    d50 = np.log([269.0, 125.0, 82.0])
    soft = np.polyfit(d50, -np.log([87.0, 150.0, 188.0]), 1)[0]
    hard = np.polyfit(d50, -np.log([87.0 * 2.4, 150.0 * 1.5, 188.0 * 1.8]), 1)[0]
    assert soft == pytest.approx(0.656, abs=0.001)
    assert hard == pytest.approx(0.369, abs=0.001)
    sheets = [row for row in rows("steps") if row["kind"] == "sheet"]
    ours = np.polyfit(np.log([float(r["d50_um"]) for r in sheets]),
                      np.log([float(r["removal_rate_cm3_per_min"]) for r in sheets]), 1)[0]
    assert hard <= ours <= soft + 0.01


@pytest.mark.parametrize(("d50_um", "d3_um", "ratio"), [(57, 103, 1.81), (25, 50, 2.00), (11.5, 27, 2.35)])
def test_m22_last_grit_factor_lies_in_the_coarse_tail(d50_um: float, d3_um: float, ratio: float) -> None:
    # Source: JIS R 6001:1987 table as reproduced: most allowed d3 over d50 is 1.81 (#240) to 2.54 (#2000).
    assert d3_um / d50_um == pytest.approx(ratio, abs=0.01)
    assert 1.8 <= default_profile().policy.clearing <= 2.54


@pytest.mark.parametrize(("grade", "d50_um"), [("JIS #240", 57.0), ("JIS #600", 20.0)])
def test_g01_g02_jis_grades(grade: str, d50_um: float) -> None:
    # Source: JIS R 6001:1987, electrical resistance, 50 % point, as reproduced.
    assert d50_of(grade) == d50_um


@pytest.mark.parametrize(("us", "p"), [("US 240", "P280"), ("US 320", "P400"), ("US 400", "P800")])
def test_g06_g08_us_grades_as_p_grades(us: str, p: str) -> None:
    # Source: a finish maker's published grit chart.
    assert nearest_p_grade(d50_of(us)) == p


def test_g11_p_medians() -> None:
    # Source: a finish maker's published grit chart, whole um.
    printed = {"P280": 52, "P320": 46, "P360": 40, "P400": 35, "P500": 30, "P600": 26, "P800": 22, "P1000": 18,
               "P1200": 15, "P1500": 13, "P2000": 10, "P2500": 8}
    for grade, d50_um in printed.items():
        assert abs(d50_of(grade) - d50_um) <= 0.5


@pytest.mark.parametrize("key", ["T02", "T03", "T07", "T08", "T09"])
def test_tolerance_factors(key: str) -> None:
    # Sources: CMH-17-1G tables as quoted in an open statistics package's tests (T02 to T07); exact
    # noncentral t recomputed by three libraries (T08, T09).
    row = ROWS[key]
    words = dict(part.strip().split("=") for part in row["inputs"].replace("coverage ", "coverage=")
                 .replace("confidence ", "confidence=").split(","))
    n = int(words["n"])
    k = tolerance_factor(n, n - 1, float(words["coverage"]), float(words["confidence"]))
    assert k == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_t01_natrella_approximation_and_exact() -> None:
    # Source: NIST/SEMATECH e-Handbook 7.2.6.3 prints 1.8752 (Natrella's approximation); exact 1.87395.
    z, zg, n = 1.2815515655446004, 2.3263478740408408, 43
    a = 1 - zg**2 / (2 * (n - 1))
    b = z**2 - zg**2 / n
    assert (z + math.sqrt(z**2 - a * b)) / a == pytest.approx(1.8752, abs=1e-4)
    assert tolerance_factor(43, 42, 0.90, 0.99) == pytest.approx(1.87395, abs=1e-4)


with (HERE / "tolerance_factors.csv").open(encoding="utf-8", newline="") as handle:
    FACTORS = list(csv.DictReader(handle))


@pytest.mark.parametrize("row", FACTORS, ids=lambda r: f"n{r['n']}")
def test_printed_tolerance_factors(row: dict[str, str]) -> None:
    # Sources: in each row (a published worked example; ISO 16269-6 values from memory, recomputed).
    k = tolerance_factor(int(row["n"]), int(row["n"]) - 1, float(row["coverage"]), float(row["confidence"]))
    assert k == pytest.approx(float(row["k_one_sided"]), abs=0.5 * 10.0 ** -len(row["k_one_sided"].split(".")[1]))


def test_t11_whole_limit_from_raw_data() -> None:
    # Source: a published worked data set with 90/95 and 99/95 lower limits, as quoted in an open statistics
    # package: the numbers, not code.
    data = [float(x) for x in ROWS["T11"]["inputs"].split(";")[0].split()]
    low = film_from(data, ["estimate"] * 18, coverage=0.90, confidence=0.95, prior_worth=0.0)
    high = film_from(data, ["estimate"] * 18, coverage=0.99, confidence=0.95, prior_worth=0.0)
    assert low.low_um + low.bias_um == pytest.approx(129.287, abs=0.02)
    assert high.low_um + high.bias_um == pytest.approx(120.336, abs=0.02)


def test_q01_pert_by_its_beta_form() -> None:
    # Source: documentation example of an open PERT library: min 0, mode 3, max 12: mean 4, cdf(5) 0.6912...
    assert pert_mean_um(0.0, 3.0, 12.0) == 4.0
    assert pert_quantile_um(0.0, 3.0, 12.0, 0.691229423868313) == pytest.approx(5.0, abs=1e-9)


@pytest.mark.parametrize(("span", "q90", "mean"), [((8, 20, 60), 37.6020, 24.6667), ((10, 30, 80), 52.7270, 35.0)])
def test_q02_q03_planning_depth(span: tuple[float, float, float], q90: float, mean: float) -> None:
    # Computed by three libraries, no printed table.
    assert pert_quantile_um(*span, 0.90) == pytest.approx(q90, abs=0.0005)
    assert pert_mean_um(*span) == pytest.approx(mean, abs=0.0005)


def test_o01_o02_gloss_reference() -> None:
    # Source: ISO 2813 values from memory, recomputed by an independent thin-film library (O01); ISO 2813:1997 (O02).
    printed = {20.0: 0.049078, 60.0: 0.100056, 85.0: 0.619148}
    for angle, reflectance in printed.items():
        assert mirror_reflectance(1.567, angle) == pytest.approx(reflectance, abs=1e-6)
        assert gloss_ceiling_gu(1.567, angle) == 100.0


def test_o03_gloss_ceilings() -> None:
    # Computed two ways, no printed table.
    for index, at20, at60 in ((1.5, 82.05, 89.14), (1.54, 92.67, 95.68), (1.55, 95.37, 97.29), (1.6, 109.12, 105.18)):
        assert gloss_ceiling_gu(index, 20.0) == pytest.approx(at20, abs=0.01)
        assert gloss_ceiling_gu(index, 60.0) == pytest.approx(at60, abs=0.01)


with (HERE / "gloss_ceiling.csv").open(encoding="utf-8", newline="") as handle:
    CEILINGS = list(csv.DictReader(handle))


def test_gloss_ceiling_table() -> None:
    # Source: in each row: Fresnel against n = 1.567 (ISO 2813), agreed by an independent thin-film library.
    for row in CEILINGS:
        for angle in (20, 60, 85):
            got = gloss_ceiling_gu(float(row["refractive_index"]), float(angle))
            assert got == pytest.approx(float(row[f"gloss_{angle}_GU"]), abs=0.051)


def test_i01_units() -> None:
    # SI identity.
    assert volume_cm3(1.0, 1.0) == 1.0
    assert UM_PER_MIL == 25.4


def test_i02_feather_dish() -> None:
    # Calculus: both criteria give 62.8 mm at 20 um; the dish's volume by numerical integration.
    assert 1000 * feather_radius_m(20.0) == pytest.approx(62.8, abs=0.05)
    assert 1000 * feather_radius_m(20.0, 0.5, 1e9) == pytest.approx(62.83, abs=0.01)
    r = np.linspace(0.0, 1.0, 200_001)
    profile = (1 + np.cos(np.pi * r)) / 2
    assert np.trapezoid(profile * 2 * np.pi * r, r) == pytest.approx(DISH, abs=1e-5)
    assert np.trapezoid(np.concatenate([profile[::-1], profile[1:]]), np.linspace(-1, 1, 400_001)) == pytest.approx(1.0)


def test_w01_w03_viewing_distances() -> None:
    # Sources: EN 17214:2019 as reported (overall 2 to 3 m); AS/NZS 2311:2009 as quoted (1.5 to 2.0 m, 0.6 m
    # for fixtures).
    distance = {row["seen_from"]: float(row["distance_m"]) for row in rows("viewing")}
    assert set(distance) == set(VIEWS)
    assert 2.0 <= distance["overall"] <= 3.0
    assert distance["detail"] < 1.5 and 0.6 <= distance["hand"] <= 0.62


def test_s01_film_per_coat_and_m07_factory_film_rows() -> None:
    # Sources: wood-finishing textbook table 6.1; a finishing firm's process page. Exact rows of film.csv.
    facts = {row["fact"]: (row["low"], row["high"]) for row in rows("film")}
    assert facts["polyester per poured or curtain-coated pass"] == ("150", "350")
    assert facts["nitrocellulose per sprayed pass"] == ("8", "25")
    assert facts["polyester as first applied"] == ("500", "700")
    assert facts["same, after factory levelling"] == ("300", "500")
    assert d50_of("JIS #1200") == 9.5 and d50_of("P1200") == 15.3


def test_g12_coarse_p_grades_are_not_planned_with() -> None:
    # Source: a secondary coated-abrasives table: P60 269, P80 201, P100 162, P120 125 um. No step of the
    # shipped table is so coarse: a sheet like that has no place on a polyester film.
    assert max(float(row["d50_um"]) for row in rows("steps") if row["kind"] == "sheet") < 125.0


def test_u01_shrinkage_is_told_within_the_published_range() -> None:
    # Source: an answer page (low trust): unsaturated polyester shrinks 5 to 13 % by volume.
    from finishplan.planning.materials import materials

    nick: list[dict[str, object]] = [{"kind": "nick", "depth_um": 200.0, "length_mm": 5.0, "width_mm": 2.0}]
    lines = materials(make_plan(job(1.0, nick), default_profile()), default_profile())
    resin = next(line for line in lines if line.item == "fill resin")
    assert "shrinks 5 to 8 % by volume, some to 13" in resin.note


NOT_A_QUANTITY = {
    "M15": "optics: loose-abrasive grinding steps, no quantity of the method",
    "M17": "one rotary pass on clear-coat; the method counts steps, not passes",
    "M23": "scratch depth over grain for metals and glass; brackets 0.20 from both sides, no value to hold",
    "F01": "acceptance rule for applied coatings, not for a survey",
    "F02": "survey counts for large areas, not for a piano",
    "F07": "a rule for discarding readings; here suspect readings are kept and flagged",
}
ELSEWHERE = {
    "V03": "tests of the wheel sums", "C01": "tests of the risk draws", "L01": "tests of learning",
    "I03": "tests of money rounding", "M07": "the film rows above",
}


def test_m23_scratch_share_lies_between_the_published_materials() -> None:
    # Sources: Samuels on metals (from memory) 0.03 to 0.07; an optics course on glass, 2 to 3 x grain.
    assert 0.07 < default_profile().policy.sheet_scratch_share < 2.0


def test_every_row_is_checked_or_has_its_reason() -> None:
    text = Path(__file__).read_text(encoding="utf-8").lower()
    for key in ROWS:
        named = f"_{key.lower()}_" in text or f'"{key.lower()}"' in text
        assert named or key in NOT_A_QUANTITY or key in ELSEWHERE or key in {"G02", "G07", "Q03", "O02"}, key
