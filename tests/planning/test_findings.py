"""What ``check`` finds: each gap has a job that has it and one that does not."""

from __future__ import annotations

from typing import Any

import pytest

from finishplan.planning.findings import findings
from finishplan.planning.plan import make_plan
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict


def whole() -> dict[str, Any]:
    """A job that leaves nothing open."""
    zone = {"name": "field", "area_m2": 1.9, "readings": [{"um": um} for um in (400, 405, 398)],
            "defects": [{"kind": "scratch", "depth_um": 12.0, "length_mm": 60, "at": {"x": 0.5, "y": 0.5}}]}
    return {
        "format": "finishplan-job", "version": 1, "title": "whole", "build": "pigmented through",
        "finish_id": {"result": "polyester"}, "instrument": {"kind": "grand", "year": 1994}, "site": {"room_m3": 90},
        "panels": [{"name": "lid", "part": "main and front lid, one face", "size_m": {"width": 1.4, "height": 1.4},
                    "zones": [zone]}],
    }


def found(data: dict[str, Any]) -> tuple[str, ...]:
    job = read_job_dict(data)
    return findings(job, make_plan(job, default_profile()), default_profile())


def test_a_whole_job_leaves_nothing_open() -> None:
    assert found(whole()) == ()


GAPS = {
    "finish: unknown; identify it": lambda d: d.pop("finish_id"),
    "build: unknown": lambda d: d.pop("build"),
    "instrument: year unknown": lambda d: d.pop("instrument"),
    "room: its volume is not given (Survey page, Instrument, place and people)": lambda d: d.pop("site"),
    "main and front lid, one face: 0.50 m2 in all; the table has 2.10": lambda d: zone_of(d).update(area_m2=0.5),
    "the panel no width and height (Survey page, Panel)": lambda d: d["panels"][0].pop("size_m"),
    "no reading; film is guessed from the usual film": lambda d: zone_of(d).pop("readings"),
    "no reading; film is guessed": lambda d: (zone_of(d).pop("readings"), zone_of(d).update(film_estimate_um=300)),
    "two readings; 3 are the least": lambda d: zone_of(d)["readings"].pop(),
    "a reading may be a surface echo": lambda d: zone_of(d)["readings"].append({"um": 90}),
    "depth guessed from kind": lambda d: zone_of(d)["defects"][0].pop("depth_um"),
    "no size for the fill": lambda d: zone_of(d)["defects"].append({"kind": "nick", "depth_um": 100}),
}


def zone_of(data: dict[str, Any]) -> dict[str, Any]:
    zone: dict[str, Any] = data["panels"][0]["zones"][0]
    return zone


@pytest.mark.parametrize("words", GAPS)
def test_a_gap_is_named(words: str) -> None:
    data = whole()
    GAPS[words](data)
    assert any(words in finding for finding in found(data)), found(data)
