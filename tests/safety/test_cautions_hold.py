"""Whatever a valid job says: the cautions come, in order, in plain numbers; and words never promise."""

from __future__ import annotations

import json
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_situations import CHIP, DRY, NICK_OF_NO_SIZE, SCRATCH, SWIRLS, Raw, made, panel, powered_by, raw_job

from finishplan import reference
from finishplan.planning.result import Plan
from finishplan.safety.as_json import LOCAL_FIRST, safety_json
from finishplan.safety.card import emergency_card
from finishplan.safety.cautions import SEVERITIES, cautions
from finishplan.safety.day_sums import day_sums
from finishplan.safety.situation import Situation
from finishplan.safety.tables import ALSO_CALLED, substances
from finishplan.shop.profile import Profile, apply_shop
from finishplan.survey.job import Job, read_job_dict

PROMISES = re.compile(r"\bsafe\b|\bsafely\b|complian|within (the |its )?limits?\b|no risk\b|guarantee|\bOK\b|✓|✔|✅",
                      re.IGNORECASE)
PANELS = (panel(SCRATCH), panel(CHIP, name="lid", off=True), panel(NICK_OF_NO_SIZE, SWIRLS, name="rim"),
          panel(SWIRLS, name="leg", compounds_by="wheel", off=True), panel())
SHOPS: tuple[Raw | None, ...] = (None, DRY, powered_by("air", noise_dba=140.0, a_m_s2=40.0))


def worked(panels: tuple[Raw, ...], shop: Raw | None) -> tuple[Job, Plan, Profile]:
    return made(raw_job(*({**p, "name": f"{p['name']} {n}"} for n, p in enumerate(panels))), shop)


PLANNED = [worked(PANELS, shop) for shop in SHOPS] + [worked((p,), None) for p in PANELS]
"""Plans do not change with the air, the law or the resin: they are made once."""

ml = st.none() | st.floats(1e-6, 100_000.0)
names = st.one_of(st.sampled_from([*substances(), *ALSO_CALLED]), st.text("abc {}%\"'", min_size=1, max_size=12).filter(
    lambda text: bool(text.strip())))
minutes = st.none() | st.floats(1e-6, 1440.0)
solvents = st.lists(st.fixed_dictionaries({"substance": names, "ml": ml, "minutes": minutes}), max_size=4)
sites = st.fixed_dictionaries({
    "kind": st.sampled_from(["shop", "home"]), "room_m3": st.none() | st.floats(1e-6, 100_000.0),
    "air_changes_per_h": st.none() | st.just(0.0) | st.floats(1e-6, 200.0),
    "temperature_c": st.none() | st.floats(-20.0, 60.0).filter(lambda c: c == 0.0 or abs(c) > 1e-6),
    "alone": st.booleans()})
fills = st.fixed_dictionaries({
    "resin": st.sampled_from(["polyester", "", "cyanoacrylate", "UV polyester", "epoxy", "burn-in stick", "XY {0}"]),
    "styrene_percent": st.none() | st.just(0.0) | st.floats(1e-6, 100.0),
    "gel_min": st.none() | st.floats(1e-6, 10_000.0), "catalyst_percent": st.none() | st.floats(0.01, 20.0)})
shops = st.fixed_dictionaries({
    "place": st.sampled_from(["", "Oslo", "France", "California, USA", "UK", "Ontario", "x {y}"]),
    "equipment": st.dictionaries(st.sampled_from(["respirator", "lamp", "eyewash"]), st.one_of(
        st.booleans(), st.sampled_from(["half mask", "none", "powered, hood", "?"]), st.fixed_dictionaries({
            "mask": st.sampled_from(["full face", "half mask", "mask"]), "fit_tested": st.booleans()})), max_size=3)})


@settings(max_examples=150)
@given(plan=st.sampled_from(PLANNED), solvents=solvents, site=sites, fill=fills, shop=shops)
def test_any_job_gets_its_cautions(
    plan: tuple[Job, Plan, Profile], solvents: list[Raw], site: Raw, fill: Raw, shop: Raw
) -> None:
    base, planned, profile = plan
    raw = base.model_dump(mode="json") | {"solvents": solvents, "site": site, "fill": fill}
    job = read_job_dict(raw)
    profile = apply_shop(profile, {"format": "finishplan-shop", "version": 1, **shop})
    found = cautions(job, planned, profile)
    assert "P6" in {c.id for c in found} and len({c.id for c in found}) == len(found)
    order = [list(SEVERITIES).index(c.severity) for c in found]
    assert order == sorted(order)
    told = safety_json(Situation(job, planned, profile))
    json.dumps(told, allow_nan=False)
    for caution in found:
        assert "None" not in caution.text
        for figure in caution.figures:
            assert figure.value is None or (math.isfinite(figure.value) and figure.value >= 0.0)
            assert figure.said and not re.search(r"\de[-+]\d|\bnan\b|\binf\b", figure.said.split(":", 1)[1])
    rooms = [f for f in told["cautions"] for f in f["figures"] if f["sum"] in ("vapour", "styrene") and f["value"]]
    assert not (rooms and site["room_m3"] is None), "no air figure without a room"


@pytest.mark.parametrize("column", ["text", "hazard", "trigger", "check_locally"])
def test_no_caution_promises(column: str) -> None:
    for row in reference.rows("cautions"):
        assert not PROMISES.search(row[column]), row["id"]


def test_no_other_text_promises() -> None:
    texts = [LOCAL_FIRST, *SEVERITIES.values(), *(f"{x.what} {x.do}" for x in emergency_card())]
    for job, plan, profile in PLANNED:
        sums = day_sums(Situation(job, plan, profile))
        texts += [*sums.notes, *(" ".join((f.said, *f.notes, *f.warnings)) for f in sums.figures)]
        texts += [" ".join((c.text, *c.notes, c.without_figure)) for c in cautions(job, plan, profile)]
    assert len(texts) > 200
    for text in texts:
        assert not PROMISES.search(text), text


def test_a_plan_of_any_job_keeps_its_lean_imports() -> None:
    """The sums sit on the planning path: they bring nothing heavy with them."""
    import subprocess
    import sys
    heavy = ("pandas", "streamlit", "sqlalchemy", "scipy.stats", "scipy.optimize")
    code = f"import sys, finishplan.workup; print([m for m in {heavy!r} if m in sys.modules])"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


def test_cautions_take_no_time_beside_the_plan() -> None:
    import time
    job, plan, profile = PLANNED[0]
    job = read_job_dict(job.model_dump(mode="json") | {"solvents": [
        {"substance": "isopropyl alcohol", "ml": 30.0}, {"substance": "acetone", "ml": 30.0}]})
    start = time.perf_counter()
    for _ in range(20):
        cautions(job, plan, profile)
    assert (time.perf_counter() - start) / 20 < 0.1
