"""The same model as a mixed-integer program for a general solver.

Binaries say which steps a panel uses, where a zone starts, and which repair an entry gets. Given those, the
flow of a path from step to step has only one solution, so the arcs stay continuous. First removals are
continuous between bounds that the start switches on; the only other big constant is one per local repair.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from finishplan.speed.generic_model import SLACK, Entry, Model, Panel, Zone
from finishplan.speed.generic_price import PanelChoice, ZoneChoice


@dataclass
class Program:
    """Columns and rows of a program, gathered one by one."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[dict[int, float]] = field(default_factory=list)
    at_least: list[float] = field(default_factory=list)
    at_most: list[float] = field(default_factory=list)
    constant: float = 0.0

    def add(self, cost: float = 0.0, high: float = 1.0, whole: bool = False) -> int:
        """A new column from 0 to `high`."""
        self.cost.append(cost)
        self.low.append(0.0)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, terms: Mapping[int, float], low: float = float("-inf"), high: float = float("inf")) -> None:
        """A new row low <= sum of terms <= high."""
        self.rows.append(dict(terms))
        self.at_least.append(low)
        self.at_most.append(high)

    def no_more(self, column: int, columns: list[int]) -> None:
        """`column` <= sum of `columns`."""
        terms = dict.fromkeys(columns, -1.0)
        terms[column] = terms.get(column, 0.0) + 1.0
        self.row(terms, high=0.0)


@dataclass
class Path:
    """Columns of one path through the steps: worked or not, steps used, entered at, left after, arcs.

    A zone's path also has its first removal [um] per start.
    """

    worked: int
    used: dict[int, int]
    enter: dict[int, int]
    leave: dict[int, int]
    arcs: dict[tuple[int, int], int]
    firsts: dict[int, int] = field(default_factory=dict)


@dataclass
class Columns:
    """Where the answer stands: a path per panel, and per zone its path (or None) and its entries' repairs."""

    panels: list[Path] = field(default_factory=list)
    zones: list[list[Path | None]] = field(default_factory=list)
    repairs: list[list[list[dict[str, int]]]] = field(default_factory=list)


def build_program(model: Model) -> tuple[Program, Columns]:
    """Write the whole job as one program."""
    program, columns = Program(), Columns()
    set_up = {k: program.add(cost=step.change_min) for k, step in enumerate(model.steps)}
    kits = {kit: program.add(cost=float(model.policy[f"{kit}_kit_min"])) for kit in ("spot", "fill")}
    for panel in model.panels:
        path = _path(program, panel.steps, panel.steps, panel.arcs, panel.ends, whole_steps=True)
        columns.panels.append(path)
        columns.zones.append([])
        columns.repairs.append([])
        for k, used in path.used.items():
            program.cost[used] += float(model.policy["look_min"])
            program.no_more(used, [set_up[k]])
        tail = _tail(program, model, panel, path)
        for zone in panel.zones:
            zone_path = _zone_path(program, model, panel, zone, path, tail)
            columns.zones[-1].append(zone_path)
            columns.repairs[-1].append(_entries(program, model, zone, zone_path, kits))
        for k, entered in path.enter.items():
            program.no_more(entered, [zone_path.enter[k] for zone_path in columns.zones[-1]
                                      if zone_path and k in zone_path.enter])
    return program, columns


def _path(program: Program, steps: tuple[int, ...], starts: Iterable[int], arcs: Iterable[tuple[int, int]],
          ends: Container[int], whole_steps: bool) -> Path:
    """One unit of flow (or none) from a start over arcs to an end."""
    path = Path(
        worked=program.add(),
        used={k: program.add(whole=whole_steps) for k in steps},
        enter={k: program.add(whole=not whole_steps) for k in starts},
        leave={k: program.add() for k in steps if k in ends},
        arcs={arc: program.add() for arc in sorted(arcs)})
    program.row({path.worked: -1.0, **dict.fromkeys(path.enter.values(), 1.0)}, 0.0, 0.0)
    program.row({path.worked: -1.0, **dict.fromkeys(path.leave.values(), 1.0)}, 0.0, 0.0)
    for k in steps:
        into = {column: 1.0 for (_, after), column in path.arcs.items() if after == k}
        out = {column: 1.0 for (before, _), column in path.arcs.items() if before == k}
        if k in path.enter:
            into[path.enter[k]] = 1.0
        if k in path.leave:
            out[path.leave[k]] = 1.0
        program.row({**into, path.used[k]: -1.0}, 0.0, 0.0)
        program.row({**out, path.used[k]: -1.0}, 0.0, 0.0)
    return path


def _tail(program: Program, model: Model, panel: Panel, path: Path) -> list[dict[int, int]]:
    """Columns that are at least 1 where a step is the last, the last but one, ... up to `blend_steps`."""
    blend = int(model.policy["blend_steps"])
    tail = [dict(path.leave)] if blend else []
    for _ in range(1, blend):
        place = {k: program.add() for k in panel.steps}
        for (before, after), arc in path.arcs.items():
            if after in tail[-1]:
                program.row({place[before]: 1.0, arc: -1.0, tail[-1][after]: -1.0}, low=-1.0)
        tail.append(place)
    return tail


def _zone_path(program: Program, model: Model, panel: Panel, zone: Zone, whole: Path,
               tail: list[dict[int, int]]) -> Path | None:
    """The zone's own path, held to the panel's; None where it must stay untouched. With costs and film."""
    price = float(model.policy["untouched_price"])
    program.cost[whole.worked] += price
    steps = tuple(k for k in panel.steps if k in zone.rate)
    if zone.barred or zone.spare_um < -SLACK or not steps:
        return None
    arcs = zone.arcs & panel.arcs
    path = _path(program, steps, zone.starts, arcs, panel.ends, whole_steps=False)
    program.cost[path.worked] -= price
    program.no_more(path.worked, [whole.worked])
    for mine, theirs in ((path.used, whole.used), (path.leave, whole.leave)):
        for k, column in mine.items():
            program.no_more(column, [theirs[k]])
    for arc, column in path.arcs.items():
        program.no_more(column, [whole.arcs[arc]])
    for place in tail:
        for k, column in place.items():
            # a worked zone takes each of the panel's last steps
            mine_there = {path.used[k]: 1.0} if k in path.used else {}
            program.row({**mine_there, column: -1.0, path.worked: -1.0}, low=-1.0)
    for used in path.used.values():
        program.cost[used] += float(model.policy["look_min_per_m2"]) * zone.area_m2
    _firsts(program, model, zone, path)
    film = _film(model, path)
    for (before, after), column in path.arcs.items():
        per_um = zone.area_m2 * (1 / zone.rate[after] + model.film_weight)
        program.cost[column] += per_um * model.carry_um[before]
    room = {column: (1 + zone.overcut) * um for column, um in film.items()}
    for k, column in path.leave.items():
        room[column] = room.get(column, 0.0) + model.steps[k].scratch_um
    program.row({**room, path.worked: -zone.spare_um}, high=0.0)
    return path


def _firsts(program: Program, model: Model, zone: Zone, path: Path) -> None:
    """A column for the first removal per start [um], between its bounds where the zone starts there."""
    for k, entered in path.enter.items():
        least, most = zone.starts[k]
        most = max(0.0, min(most, zone.spare_um))
        column = program.add(zone.area_m2 * (1 / zone.rate[k] + model.film_weight), high=most)
        program.row({column: 1.0, entered: -least}, low=0.0)
        program.row({column: 1.0, entered: -most}, high=0.0)
        path.firsts[k] = column


def _film(model: Model, path: Path, first: bool = True, later: bool = True) -> dict[int, float]:
    """Film taken, as terms: the first removal, the later steps (by their arcs), or both [um]."""
    terms = dict.fromkeys(path.firsts.values(), 1.0) if first else {}
    if later:
        terms.update({column: model.carry_um[before] for (before, _), column in path.arcs.items()})
    return terms


def _entries(program: Program, model: Model, zone: Zone, path: Path | None,
             kits: Mapping[str, int]) -> list[dict[str, int]]:
    """Columns of the repairs open to each entry; what is left over is referred.

    An entry that may be left or cleaned costs nothing in any plan, so it has no columns.
    """
    price = float(model.policy["refer_price"])
    answers: list[dict[str, int]] = []
    for entry in zone.entries:
        answers.append({})
        if entry.leave or entry.clean:
            continue
        program.constant += price
        if path is None:
            continue
        columns = answers[-1]
        if entry.with_zone:
            columns["zone"] = _with_zone(program, model, zone, entry, path, price)
        if entry.spot_min is not None:
            columns["spot"] = program.add(entry.spot_min - price, whole=True)
        if entry.fill_min is not None:
            columns["fill"] = program.add(entry.fill_min - price, whole=True)
        for kit in ("spot", "fill"):
            if kit in columns:
                program.no_more(columns[kit], [kits[kit]])
        if columns:
            program.row(dict.fromkeys(columns.values(), 1.0), high=1.0)
    if path is not None:
        _local(program, model, zone, path, "spot", answers)
        _local(program, model, zone, path, "fill", answers)
        counts = {columns["spot"]: float(entry.count)
                  for entry, columns in zip(zone.entries, answers, strict=True) if "spot" in columns}
        if counts:
            program.row(counts, high=zone.spots_max + SLACK)
    return answers


def _with_zone(program: Program, model: Model, zone: Zone, entry: Entry, path: Path, price: float) -> int:
    need = entry.need_um or 0.0
    column = program.add(-price, whole=True)
    # levels: only a start that may take the whole depth; lean: the later steps help
    able = [entered for k, entered in path.enter.items()
            if (zone.lean or zone.starts[k][1] >= need - SLACK)
            and (model.steps[k].sheet or not entry.needs_sheet)]
    program.no_more(column, able)
    program.row({**_film(model, path, later=zone.lean), column: -need}, low=0.0)
    return column


def _local(program: Program, model: Model, zone: Zone, path: Path, repair: str,
           answers: list[dict[str, int]]) -> None:
    """Film inside the rings of each spot or fill of a zone."""
    ladders = zone.spot_ladders if repair == "spot" else zone.fill_ladders
    able = {k: ladders[k] for k in path.enter if k in ladders}
    if not any(repair in columns for columns in answers):
        return
    rest = program.add(high=float("inf"))
    program.row({rest: 1.0, **dict.fromkeys(path.firsts.values(), -1.0)}, low=0.0)
    program.row({rest: 1.0, **{path.enter[k]: -carry for k, (_, carry) in able.items()}}, low=0.0)
    most_local = max((local + carry for local, carry in able.values()), default=0.0)
    for entry, columns in zip(zone.entries, answers, strict=True):
        if repair not in columns:
            continue
        column = columns[repair]
        program.no_more(column, [path.enter[k] for k in able])
        if not able:
            continue
        share = 1 + (entry.spot_overcut if repair == "spot" else zone.overcut)
        depth = (entry.need_um or 0.0) if repair == "spot" else 0.0
        # what the row may exceed the spare film by where this repair is not taken
        big = share * most_local + max(0.0, share / (1 + zone.overcut) - 1) * zone.spare_um
        terms = {um_column: share * um for um_column, um in _film(model, path, first=False).items()}
        terms[rest] = share
        terms.update({path.enter[k]: share * local for k, (local, _) in able.items()})
        terms.update({k: model.steps[step].scratch_um for step, k in path.leave.items()})
        terms[column] = share * depth + big
        program.row(terms, high=zone.spare_um + big)


def read_choices(model: Model, columns: Columns, values: Any) -> list[PanelChoice]:
    """The answer's sequences, starts and repairs, from the values of the whole columns."""
    choices = []
    for panel, path, zone_paths, repairs in zip(model.panels, columns.panels, columns.zones, columns.repairs,
                                                strict=True):
        used = [k for k, column in path.used.items() if values[column] > 0.5]
        sequence = tuple(sorted(used, key=lambda k: -model.steps[k].scratch_um))
        zones = tuple(_zone_choice(zone, zone_path, entries, sequence, values) for zone, zone_path, entries
                      in zip(panel.zones, zone_paths, repairs, strict=True))
        choices.append(PanelChoice(sequence, zones))
    return choices


def _zone_choice(zone: Zone, path: Path | None, entries: list[dict[str, int]], sequence: tuple[int, ...],
                 values: Any) -> ZoneChoice:
    starts = [k for k, column in path.enter.items() if values[column] > 0.5] if path else []
    suffix = sequence[sequence.index(starts[0]):] if starts and starts[0] in sequence else ()
    repairs = []
    for entry, columns in zip(zone.entries, entries, strict=True):
        taken = [repair for repair, column in columns.items() if values[column] > 0.5]
        free = ["leave"] if entry.leave else ["clean"] if entry.clean else ["refer"]
        repairs.append((taken or free)[0])
    return ZoneChoice(suffix, tuple(repairs))
