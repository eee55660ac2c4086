"""The choice of the plan as a generic mixed-integer program, solved by HiGHS through scipy.

It is the outside check of the exact planner and the other side of the speed comparison: it starts from the
plain job dict and the reference tables, shares no code with the planner, and lists no sequences. The
whole-number answer is priced again by the plain formulas; the solver's rounding never enters the objective.
Readings of the rules that had to be chosen where more than one was possible:

- a written wish (also `remove`) closes `leave` for an entry that is not seen; a hidden panel shows nothing,
  even defects without `seen_in`; half seen counts as seen from `overall` whatever the panel's own view;
- a zone with a broken-off step that is worked at all takes that step's scratches (D >= c r_0); untouched, it
  refers them; the entry stands last in its zone's list;
- a local ladder ends with (and includes) the first sheet that v1 may follow or that is as fine as v1; where
  no sheet of it qualifies (v1 is a polishing or finishing compound), neither spot nor fill is open;
- a spot's minutes use the rate of the ladder's first sheet and the hand factor alone, no person or position;
- a width under the least and no known depth closes the fill; a dam is added after the edge and clear factors;
- curve readings count as field readings for the default film of an edge, and a curve without readings has the
  default film of a field; estimates of fields are not readings for that;
- a panel's sequence must be valid by the panel's own compound tool, a zone's suffix also by the zone's;
- a satin panel may start and end only on sheets no finer than its last sheet;
- a test spot narrows a typed or guessed depth; where it contradicts the range, the trial counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from finishplan.speed.generic_milp import build_program, read_choices
from finishplan.speed.generic_model import SLACK, Model, Zone, build_model
from finishplan.speed.generic_price import PanelChoice, Price, ZoneChoice, price_choice
from finishplan.speed.generic_run import run_program
from finishplan.speed.generic_tables import read_tables


@dataclass(frozen=True)
class GenericAnswer:
    """A solved job: the model, what is chosen, its exact price, and whether the solver proved it best.

    `solver_min` is the solver's own objective, kept to compare; `price.objective_min` is the one to use.
    """

    model: Model
    choices: tuple[PanelChoice, ...]
    price: Price
    solver_min: float
    proved: bool

    @property
    def objective_min(self) -> float:
        """The minimised sum, priced by the formulas [minutes]."""
        return self.price.objective_min


def solve_job(job: Mapping[str, Any], reference_folder: Path, shop: Mapping[str, Any] | None = None,
              time_limit_s: float = 60.0) -> GenericAnswer:
    """Build and solve one job from its plain dict (found valid before) and the tables in a folder."""
    return solve_model(build_model(job, read_tables(reference_folder, shop)), time_limit_s)


def solve_model(model: Model, time_limit_s: float = 60.0) -> GenericAnswer:
    """Solve with and without presolve, keep the answer that is cheaper after exact pricing.

    With presolve the solver has called dear plans optimal, and feasible programs infeasible (doing nothing is
    always a plan), so neither run is trusted alone. `proved` where the run of the kept answer ended as a proven
    optimum and the answer breaks no rule. Raises RuntimeError where no run returns an answer.
    """
    program, columns = build_program(model)
    answers = []
    for presolve in (True, False):
        values, objective, optimal = run_program(program, presolve, time_limit_s)
        if values is None:
            continue
        choices = tuple(_first_in_table(model, read_choices(model, columns, values)))
        price = price_choice(model, choices)
        answers.append(GenericAnswer(model, choices, price, objective, optimal and not price.broken))
    if not answers:
        raise RuntimeError("the solver returned no plan; raise its time limit")
    return min(answers, key=lambda answer: (bool(answer.price.broken), answer.objective_min, not answer.proved))


def _first_in_table(model: Model, choices: list[PanelChoice]) -> list[PanelChoice]:
    """Entries that are free either way go with the zone where it takes them anyway (table order)."""
    answer = []
    for panel, choice in zip(model.panels, choices, strict=True):
        zones = tuple(_zone_first_in_table(model, zone, done) for zone, done
                      in zip(panel.zones, choice.zones, strict=True))
        answer.append(replace(choice, zones=zones))
    return answer


def _zone_first_in_table(model: Model, zone: Zone, done: ZoneChoice) -> ZoneChoice:
    if not done.suffix:
        return done
    taken = max([zone.must_take_um] + [entry.need_um or 0.0 for entry, repair
                                       in zip(zone.entries, done.repairs, strict=True) if repair == "zone"])
    sheet_first = model.steps[done.suffix[0]].sheet
    repairs = tuple(
        "zone" if repair in ("leave", "clean") and entry.with_zone and (entry.need_um or 0.0) <= taken + SLACK
        and (sheet_first or not entry.needs_sheet) else repair
        for entry, repair in zip(zone.entries, done.repairs, strict=True))
    return replace(done, repairs=repairs)
