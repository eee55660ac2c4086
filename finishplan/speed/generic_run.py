"""One run of the solver on a program, and what its answer costs by the plain formulas."""

from __future__ import annotations

from typing import Any

from finishplan.errors import FinishplanError
from finishplan.speed.generic_milp import Columns, Program, read_choices
from finishplan.speed.generic_model import Model
from finishplan.speed.generic_price import price_choice


class NotFinished(FinishplanError):
    """The solver had no proven answer when its time was over."""


def run_program(program: Program, presolve: bool, time_limit_s: float) -> tuple[Any, float, bool]:
    """Return the columns' values (None where there are none), the objective, and whether it is proved best."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    data = [value for row in program.rows for value in row.values()]
    rows = [number for number, row in enumerate(program.rows) for _ in row]
    places = [column for row in program.rows for column in row]
    matrix = csr_array((data, (rows, places)), shape=(len(program.rows), len(program.cost)))
    # coefficients that came out as nothing have misled the presolve
    matrix.eliminate_zeros()
    result = milp(
        np.array(program.cost), integrality=np.array(program.whole), bounds=Bounds(program.low, program.high),
        constraints=LinearConstraint(matrix, program.at_least, program.at_most),
        options={"presolve": presolve, "mip_rel_gap": 0.0, "time_limit": time_limit_s})
    if result.x is None:
        return None, float("inf"), False
    return result.x, float(result.fun) + program.constant, result.status == 0


def run_once(program: Program, time_limit_s: float) -> Any:
    """Return the values of one presolved run; raises NotFinished where it does not end as a proven optimum."""
    values, _, proved = run_program(program, True, time_limit_s)
    if values is None or not proved:
        raise NotFinished(f"the solver did not finish in {time_limit_s:g} s")
    return values


def objective_of(model: Model, columns: Columns, values: Any) -> float:
    """Return the objective [minutes] of the solver's values, priced by the plain formulas."""
    return price_choice(model, tuple(read_choices(model, columns, values))).objective_min
