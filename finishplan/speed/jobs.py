"""Jobs of any number of panels for timing; all of them are invented."""

from __future__ import annotations

from typing import Any

from finishplan import reference
from finishplan.survey.job import Job, read_job_dict

MOST_IN_A_FILE = 100
"""Panels of one job file; a larger job is put together from several."""
CYCLE = (
    [{"kind": "scratch", "count": 2, "length_mm": 120, "width_mm": 0.3, "depth_um": 24.0}, {"kind": "dull_area"}],
    [{"kind": "swirls", "depth_um": 1.2}],
    [{"kind": "orange_peel", "depth_um": 12.0}, {"kind": "nick", "count": 1, "depth_um": 180.0}],
)
"""Damage dealt out over the parts in turn."""


def invented(panels: int) -> Job:
    """Return a job of so many panels, one or more; over what one file may hold, files are put together."""
    jobs = [read_job_dict(job_dict(first, min(panels, first + MOST_IN_A_FILE)))
            for first in range(0, panels, MOST_IN_A_FILE)]
    return jobs[0].model_copy(update={"panels": tuple(p for job in jobs for p in job.panels)})


def job_dict(first: int, end: int) -> dict[str, Any]:
    """Return a job file of panels over the grand's parts of the table, again from the first after the last."""
    parts = [row for row in reference.rows("part_areas") if row["instrument"] == "grand"]
    return {
        "format": "finishplan-job", "version": 1, "title": "invented for timing",
        "finish_id": {"result": "polyester"}, "build": "pigmented through",
        "panels": [panel(i, parts[i % len(parts)], i // len(parts)) for i in range(first, end)],
    }


def panel(i: int, part: dict[str, str], again: int) -> dict[str, Any]:
    """Return the ``i``-th panel: a part with its field and edges, readings and damage in turn."""
    area = float(part["area_m2"])
    readings = [{"um": 360.0 + 7.0 * ((3 * i + k) % 9)} for k in range(4)]
    field = {"name": "field", "area_m2": 0.95 * area, "readings": readings, "defects": CYCLE[i % len(CYCLE)]}
    edge = {"name": "edges", "kind": "edge", "area_m2": 0.05 * area,
            "readings": [{"um": 240.0 + 5.0 * k} for k in range(3)]}
    name = part["part"] + (f" ({again + 1})" if again else "")
    return {"name": name, "part": part["part"], "zones": [field, edge]}
