"""Film against time against a listing of every plan of a tiny job, priced by the separate model."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from finishplan.planning.problem import build_problem
from finishplan.planning.search import JobTables
from finishplan.planning.tradeoff import film_against_time
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.speed.generic_model import Model, Panel, build_model
from finishplan.speed.generic_price import REPAIRS, PanelChoice, Price, ZoneChoice, price_choice, price_panel
from finishplan.speed.generic_tables import read_tables
from finishplan.survey.job import read_job_dict
from tests.oracle.enumeration import sequences
from tests.oracle.random_jobs import tiny_case
from tests.oracle.test_planner_agrees import REFERENCE

Row = tuple[float, float, float]


def zone_choices(model: Model, panel: Panel, sequence: tuple[int, ...], z: int) -> list[ZoneChoice]:
    """Every allowed choice of one zone beside a sequence, without those another with the same kits beats.

    Those that take the whole sequence are kept apart from those that do not.
    """
    alone = Panel(panel.name, panel.steps, panel.arcs, panel.ends, (panel.zones[z],))
    kept: dict[tuple[frozenset[str], bool], list[tuple[Row, ZoneChoice]]] = {}
    for taken in range(len(sequence) + 1):
        for repairs in product(REPAIRS, repeat=len(panel.zones[z].entries)):
            done, price = ZoneChoice(sequence[len(sequence) - taken:], repairs), Price()
            price_panel(model, alone, PanelChoice(sequence, (done,)), price)
            if price.broken:
                continue
            film = sum(sum(h) for h in price.removal_um)
            row = (price.untouched + price.refer, price.look + price.work + price.repairs, film)
            kits = frozenset(repairs) & {"spot", "fill"}
            mine = kept.setdefault((kits, taken == len(sequence)), [])
            if not any(all(a <= b + 1e-12 for a, b in zip(other, row, strict=True)) for other, _ in mine):
                mine.append((row, done))
    return [done for found in kept.values() for _, done in found]


def every_row(model: Model, named: tuple[str, ...] | None = None) -> list[Row]:
    """(penalty, minutes, film) of every plan worth a look, or of those in which each worked panel goes by one name."""
    panels: list[list[PanelChoice]] = []
    for panel in model.panels:
        found = []
        for sequence in sequences(panel):
            if named is not None and sequence and names_of(model, sequence) != named:
                continue
            by_zone = [zone_choices(model, panel, sequence, z) for z in range(len(panel.zones))]
            found += [
                PanelChoice(sequence, picks) for picks in product(*by_zone)
                if named is None or any(len(pick.suffix) == len(sequence) for pick in picks)
            ]
        panels.append(found)
    rows = []
    for choice in product(*panels):
        price = price_choice(model, choice)
        film = price.film / model.film_weight if model.film_weight else film_of(model, price)
        minutes = price.change + price.kits + price.look + price.work + price.repairs
        rows.append((price.untouched + price.refer, minutes, film))
    return rows


def film_of(model: Model, price: Price) -> float:
    return sum(
        zone.area_m2 * removal
        for panel, removals in zip(model.panels, price.removal_um, strict=True)
        for zone, removal in zip(panel.zones, removals, strict=True)
    )


def front(rows: list[Row], penalty: float) -> list[tuple[float, float]]:
    """The best (minutes, film) pairs among plans of no more penalty."""
    pairs = sorted((m, f) for p, m, f in rows if p <= penalty + 1e-6)
    best: list[tuple[float, float]] = []
    for minutes, film in pairs:
        if not best or film < best[-1][1] - 1e-6:
            best.append((minutes, film))
    return best


def model_of(case: tuple[dict[str, Any], dict[str, Any]]) -> Model:
    job, shop = case
    return build_model(job, read_tables(REFERENCE, shop))


@pytest.mark.parametrize("seed", range(0, 60))
def test_curve_is_the_whole_front(seed: int) -> None:
    case = tiny_case(seed)
    model = model_of(case)
    job, shop = case
    tables = JobTables(build_problem(read_job_dict(job), apply_shop(default_profile(), shop)))
    curve = film_against_time(tables, [("quick", 0.0), ("balanced", 1.0), ("keep film", 3.0)])
    assert curve.complete
    ours = [(point.minutes, point.film_um_m2) for point in curve.points]
    rows = every_row(model)
    best = min(rows, key=lambda row: row[0] + row[1] + tables.problem.film_weight * row[2])
    expected = front(rows, best[0])
    assert len(ours) == len(expected), (ours, expected)
    for (minutes, film), (want_minutes, want_film) in zip(ours, expected, strict=True):
        assert minutes == pytest.approx(want_minutes, abs=2e-6, rel=1e-9)
        assert film == pytest.approx(want_film, abs=2e-6, rel=1e-9)


def names_of(model: Model, sequence: tuple[int, ...]) -> tuple[str, ...]:
    return tuple(model.steps[i].name for i in sequence)


@pytest.mark.parametrize("seed", range(0, 40))
def test_curve_of_a_named_sequence_is_the_whole_front(seed: int) -> None:
    """Every worked panel goes by the named sequence, and one zone of it takes all of it."""
    case = tiny_case(seed)
    model = model_of(case)
    job, shop = case
    common = set.intersection(*({names_of(model, s) for s in sequences(panel) if s} for panel in model.panels))
    if not common:
        pytest.skip("the panels end differently")
    named = max(sorted(common), key=len)
    tables = JobTables(build_problem(read_job_dict(job), apply_shop(default_profile(), shop), None, named))
    curve = film_against_time(tables, [("quick", 0.0), ("balanced", 1.0), ("keep film", 3.0)])
    ours = [(point.minutes, point.film_um_m2) for point in curve.points]
    rows = every_row(model, named)
    best = min(rows, key=lambda row: row[0] + row[1] + tables.problem.film_weight * row[2])
    assert ours == [pytest.approx(pair, abs=2e-6, rel=1e-9) for pair in front(rows, best[0])]
