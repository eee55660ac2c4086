"""Drawings kept to compare with: our own output, made from plans by hand. Renew them after a look at each with

    python tests/paper/drawing_snapshots.py
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import made_plans

from finishplan.bench.sheet import sheets_of
from finishplan.office.schedule import Days, JobDays, Row
from finishplan.paper.curve import curve_drawing
from finishplan.paper.panel import panel_drawing
from finishplan.paper.schedule_bars import day_bars, page_bars
from finishplan.paper.section import film_section
from finishplan.paper.sheets_drawing import sheet_drawing
from finishplan.planning.result import CurvePoint

CURVE = (CurvePoint("quick", 300.0, 40.0), CurvePoint("balanced", 330.0, 30.0), CurvePoint("keep film", 380.0, 20.0))
KEPT = Path(__file__).parent / "snapshots"


def two_days() -> Days:
    """Two people, two days."""
    def at(hour: int, day: int = 2) -> datetime:
        return datetime(2026, 3, day, hour)

    rows = (Row("j0", "sand something", "sand", ("F1",), 180, ((at(8), at(11)),)),
            Row("j0", "buff something", "buff", ("F1", "T1"), 120, ((at(9, 3), at(11, 3)),)))
    held = (JobDays("j0", "an invented lid", date(2026, 3, 2), None, at(9), at(9), 1, 1),)
    return Days(at(0), held, rows, at(9), at(9), 0, 0, 1, 1, False, {"F1": 1, "T1": 1},
                {"F1": "a finisher", "T1": "a trainee"}, ())


def on_sheet() -> str:
    """The lid as its bench sheet draws it: tape, spots, marks, a ring."""
    import printed
    answer = printed.answer(
        printed.panel(printed.zone(
            {**printed.SCRATCH, "at": {"x": 0.3, "y": 0.6}}, {**printed.NICK, "at": {"x": 0.7, "y": 0.3}},
            printed.SCRATCH | {"wish": "leave", "at": {"x": 0.85, "y": 0.8}},
            readings=[{"um": 400 + k, "spot": k + 1, "at": {"x": 0.15 + 0.2 * k, "y": 0.2}} for k in range(4)]),
            name="lid", size_m={"width": 1.0, "height": 0.5}))
    return sheet_drawing(answer.job.panels[0], sheets_of(answer)[0]).svg


DRAWINGS: dict[str, Callable[[], str]] = {
    "panel": lambda: panel_drawing(made_plans.surveyed_lid(), ("P800", "P1500")),
    "section": lambda: film_section(made_plans.lid(), 500.0),
    "curve": lambda: curve_drawing(CURVE, (CURVE[0].minutes, CURVE[0].film_um_m2)),
    "days": lambda: day_bars(two_days()),
    "days_on_paper": lambda: page_bars(two_days())[0][0],
    "sheet": on_sheet,
}


def lines_of(svg: str) -> str:
    """A drawing with an element a line, so that a change can be read."""
    return svg.replace("><", ">\n<") + "\n"


def main() -> int:
    """Write every drawing anew and say which changed."""
    KEPT.mkdir(exist_ok=True)
    for name, draw in DRAWINGS.items():
        path, made = KEPT / f"{name}.svg", lines_of(draw())
        same = path.exists() and path.read_text(encoding="utf-8") == made
        path.write_text(made, encoding="utf-8")
        sys.stdout.write(f"{path.name}: {'the same' if same else 'new'}, {len(made)} letters\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
