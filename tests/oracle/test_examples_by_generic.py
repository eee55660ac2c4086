"""The ten worked jobs, each with its answer beside it, come out of the generic program.

They are worked examples of the method, made outside this package (invented jobs; answers to full precision).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from finishplan.speed.generic import GenericAnswer, solve_job

ROOT = Path(__file__).parents[2]
WORKED = ROOT / "tests" / "published" / "worked_jobs"
REFERENCE = ROOT / "data" / "reference"
NAMES = sorted(path.name.removesuffix(".job.json") for path in WORKED.glob("*.job.json"))
NEAR = {"abs": 1e-6, "rel": 0}


def solved(name: str) -> tuple[GenericAnswer, dict[str, Any]]:
    job = json.loads((WORKED / f"{name}.job.json").read_text(encoding="utf-8"))
    expected = json.loads((WORKED / f"{name}.expected.json").read_text(encoding="utf-8"))
    return solve_job(job, REFERENCE), expected


def test_all_ten_are_there() -> None:
    assert len(NAMES) == 10


@pytest.mark.parametrize("name", NAMES)
def test_worked_job(name: str) -> None:
    answer, expected = solved(name)
    assert answer.proved
    assert answer.objective_min == pytest.approx(expected["objective_min"], **NEAR)
    for part, minutes in expected["parts_min"].items():
        assert getattr(answer.price, part) == pytest.approx(minutes, **NEAR), part
    names = [step.name for step in answer.model.steps]
    used = {k for choice in answer.choices for k in choice.sequence}
    assert [names[k] for k in sorted(used)] == expected["set_up"]["steps"]
    for panel, choice, removals, told in zip(answer.model.panels, answer.choices, answer.price.removal_um,
                                             expected["panels"], strict=True):
        assert panel.name == told["name"]
        assert told["only_one_best_sequence"]
        assert [names[k] for k in choice.sequence] == told["sequence"]
        for zone, done, removal, want in zip(panel.zones, choice.zones, removals, told["zones"], strict=True):
            assert zone.name == want["name"]
            assert zone.film_low_um == pytest.approx(want["film_low_um"], **NEAR)
            assert zone.keep_um == want["keep_um"]
            assert (names[done.suffix[0]] if done.suffix else None) == want["starts_at"]
            assert removal == pytest.approx(want["removal_um"], **NEAR)
            assert list(done.repairs) == want["repairs"]
            depths = [entry.planning_um for entry in zone.entries]
            assert depths == [None if depth is None else pytest.approx(depth, **NEAR)
                              for depth in want["planning_depth_um"]]
