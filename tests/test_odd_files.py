"""Files that are odd in ways nobody listed: a good job and shop with values changed at random.

Whatever stands in them, a command either prints what it is asked for or refuses in one line; it never
crashes, warns, or prints a number that is none. Odd values keep to what the file formats let through at
the first look as often as not, so that the sums behind them are reached.
"""

from __future__ import annotations

import contextlib
import copy
import io
import json
import random
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishplan import cli
from finishplan.errors import FinishplanError
from finishplan.models import control_letters
from finishplan.shop.policy import Policy
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.shop.steps import shipped_steps
from finishplan.survey.job import read_job_dict

GOOD = Path(__file__).parent / "broken" / "good.job.json"
ANYTHING: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 1e-300, 5e-324, 1e-9, 1e308, -1e308, 10**25, "", "x", "\0", "\ud800", "\u202e",
    "é" * 3000, "P800", "US 600", "a\nb", "\x1b[2J", [], {}, [[]], {"x": 1}, 5000, "2026-02-30",
)
FIGURES = (0, 0.0, 1e-6, 1e-3, 0.5, 1, 2, 3.5, 10, 49.9, 50, 100, 999, 1000, 4999.9, 5000, 100_000, 1e6, 1e9)
WORDS = (
    "leave", "soften", "scratch", "nick", "chip", "crack", "blister", "swirls", "corner", "edge", "curve", "moulded",
    "curved", "upright", "hand", "wheel", "rotary", "estimate", "clear over veneer", "lacquer", "polyester", "trainee",
    "lean", "quick", "keep film", "overall", "lamp", "hidden", "x" * 199, "äöü 漢字", "P800", "P2500", "satin",
)
PLAIN = [name for name, field in Policy.model_fields.items()
         if name not in ("keep", "favours", "spot_ladder", "fill_ladder", "barred_steps")]


def places(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place inside a JSON value."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in inner:
        yield (*at, key)
        yield from places(part, (*at, key))


def changed(value: Any, dice: random.Random, anything: bool) -> Any:
    """A copy with one value changed: to anything at all, or to another of its own kind."""
    found = copy.deepcopy(value)
    *way, last = dice.choice(list(places(found)))
    here = found
    for key in way:
        here = here[key]
    old = here[last]
    if anything:
        here[last] = dice.choice(ANYTHING)
    elif isinstance(old, list):
        here[last] = [] if dice.random() < 0.3 or not old or len(old) > 5 else [*old, copy.deepcopy(dice.choice(old))]
    elif isinstance(old, str):
        here[last] = dice.choice(WORDS)
    elif isinstance(old, (int, float)) and not isinstance(old, bool):
        here[last] = dice.choice(FIGURES)
    else:
        here[last] = dice.choice((None, True, False))
    return found


def kept(value: Any, read: Any, dice: random.Random, changes: int) -> Any:
    """A value changed many times over, each change that is refused at reading taken back."""
    for _ in range(changes):
        other = changed(value, dice, anything=False)
        with contextlib.suppress(FinishplanError):
            read(other)
            value = other
    return value


def full_job() -> dict[str, Any]:
    """The good job with something in every place that a change may strike."""
    job: dict[str, Any] = json.loads(GOOD.read_bytes())
    (panel,) = job["panels"]
    panel |= {"face": "flat", "position": "horizontal", "off": True, "exposure": "seen", "seen_from": "detail",
              "worker": "finisher", "sheets_by": "machine", "compounds_by": "rotary",
              "size_m": {"width": 1.4, "height": 1.1}}
    (zone,) = panel["zones"]
    zone |= {"kind": "field", "sheets_allowed": True, "film_estimate_um": 300, "previous_step": "P1500"}
    zone["defects"].append({"kind": "nick", "count": 2, "length_mm": 4, "width_mm": 2, "missing_ml": 0.1,
                            "seen_in": "detail", "wish": "remove", "at": {"x": 0.5, "y": 0.5}, "note": "invented"})
    zone["defects"].append({"kind": "scratch", "depth_um": {"low": 5, "likely": 9, "high": 20}, "note": "invented"})
    panel["zones"].append({"name": "edge", "kind": "edge", "area_m2": 0.05,
                           "readings": [{"um": 200, "method": "estimate"}]})
    return job | {
        "finish_id": {"result": "polyester"}, "build": "pigmented through", "seen_from": "detail",
        "crew": {"worker": "finisher", "first_cut": "levels", "favour": "balanced"},
        "site": {"kind": "shop", "room_m3": 90, "air_changes_per_h": 2, "temperature_c": 20, "humidity_percent": 50},
        "solvents": [{"substance": "isopropyl alcohol", "ml": 30, "minutes": 10}],
        "fill": {"styrene_percent": 40, "gel_min": 30, "catalyst_percent": 1.5},
    }


def full_shop(dice: random.Random) -> dict[str, Any]:
    """A shop with a few figures of its own, and policy figures to strike."""
    step, policy = Policy(), dice.sample(PLAIN, 8)
    name = dice.choice(shipped_steps()).name
    return {
        "format": "finishplan-shop", "version": 1,
        "steps": [{"step": name, "removal_rate_cm3_per_min": 0.5, "scratch_depth_um": 2.0, "change_min": 3.0,
                   "max_level_um": 9.0, "in_default_plan": True}],
        "tools": [{"way": "rotary", "for": "compound", "speed_factor": 1.0, "max_level_cutting_um": 5.0},
                  {"way": "machine", "for": "sheet", "speed_factor": 1.0}],
        "policy": {figure: value for figure in policy if (value := getattr(step, figure)) is not None},
    }


def run(arguments: list[str]) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), warnings.catch_warnings():
        warnings.simplefilter("error")
        status = cli.main(arguments)
    return status, out.getvalue(), err.getvalue()


def no_constant(name: str) -> None:
    raise AssertionError(f"{name} stands in the JSON")


def check(command: str, as_json: bool, job: Any, shop: Any, folder: Path) -> int:
    """Run one command over two files and hold what it says against the rules; return its status."""
    job_file, shop_file = folder / "odd.job.json", folder / "odd.shop.json"
    job_file.write_text(json.dumps(job), encoding="utf-8")
    shop_file.write_text(json.dumps(shop), encoding="utf-8")
    status, out, err = run([command, str(job_file), "--shop", str(shop_file), *(["--json"] if as_json else [])])
    if status == 2:
        assert out == ""
        assert err.startswith((f"finishplan: {job_file}: ", f"finishplan: {shop_file}: ",
                               f"finishplan: {job_file} with {shop_file}: "))
        assert err.endswith("\n") and err[:-1].isprintable()
        return status
    assert (status in (0, 1), err) == (True, "")
    if as_json:
        json.loads(out, parse_constant=no_constant)
    else:
        assert [line for line in out.splitlines() if len(line) > 80] == []
        assert not control_letters(out, but="\n\f")
        assert not {"nan", "inf", "-inf", "None", "nan,", "inf,"} & set(out.split())
    return status


COMMANDS = st.sampled_from([("plan", False), ("plan", True), ("check", False), ("sheet", False), ("safety", False)])
SEEDS = st.integers(0, 999_999)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("odd")


def test_the_starting_files_are_good(folder: Path) -> None:
    for command in ("plan", "check", "sheet", "safety"):
        assert check(command, False, full_job(), full_shop(random.Random(1)), folder) in (0, 1)


@settings(max_examples=150)
@given(seed=SEEDS, command=COMMANDS)
def test_anything_anywhere_is_planned_or_refused(folder: Path, seed: int, command: tuple[str, bool]) -> None:
    dice = random.Random(seed)
    job, shop = full_job(), full_shop(dice)
    for _ in range(dice.randint(1, 3)):
        if dice.random() < 0.7:
            job = changed(job, dice, anything=True)
        else:
            shop = changed(shop, dice, anything=True)
        if not isinstance(job, dict) or not job or not shop:
            break
    check(*command, job, shop, folder)


@settings(max_examples=40)
@given(seed=SEEDS, command=COMMANDS)
def test_extremes_that_are_read_are_planned(folder: Path, seed: int, command: tuple[str, bool]) -> None:
    dice = random.Random(seed)
    job = kept(full_job(), read_job_dict, dice, 25)
    shop = kept(full_shop(dice), lambda raw: apply_shop(default_profile(), raw), dice, 15)
    check(*command, job, shop, folder)
