"""A kept demo job walked at the bench without a screen: everything is logged the way the Bench page logs it."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

from store_examples import QUICK, at

from finishplan.bench.course import Task
from finishplan.records import bench_signed, bench_work, pins
from finishplan.records.at_bench import AtBench, at_bench
from finishplan.records.files import demo_job_path, demo_shop_path
from finishplan.records.store import SHOP_ID, Store

PIN = "4711"
FINISHERS = [{"id": "F1", "name": "a finisher (invented)", "role": "finisher"},
             {"id": "F2", "name": "another finisher (invented)", "role": "finisher"},
             {"id": "T1", "name": "a trainee (invented)", "role": "trainee"}]


def people(store: Store, *ids: str) -> None:
    """Give our shop the demo's figures and these people, all with the same PIN."""
    body = json.loads(demo_shop_path().read_text(encoding="utf-8"))
    body["people"] = [one for one in FINISHERS if one["id"] in (ids or ("F1", "F2", "T1"))]
    store.save(SHOP_ID, body, store.shop("F1", at()).revision, "F1", at())
    for one in body["people"]:
        pins.set_pin(store, one["id"], PIN, "F1", at(), QUICK)


def demo(store: Store, only: tuple[str, ...] = (), **changes: Any) -> str:
    """Keep the demo job, or some of its panels only; return its number."""
    body = json.loads(demo_job_path().read_text(encoding="utf-8"))
    if only:
        body.update(panels=[panel for panel in body["panels"] if panel["name"] in only], test_spot=None)
    return store.start({**body, **changes}, "F1", at()).id


class Walk:
    """Someone at the bench whose every step takes just what is planned, but for what is told otherwise."""

    def __init__(self, store: Store, job_id: str, now: datetime | None = None, stops_signed: bool = True) -> None:
        self.store, self.job_id, self.now = store, job_id, now or at()
        self.more_um: dict[tuple[str, str], float] = {}
        self.film: dict[tuple[str, str], dict[int | None, float]] = {}
        bench = self.bench()
        for panel in bench.answer.job.panels:
            for zone in panel.zones:
                self.film[(panel.name, zone.name)] = {r.spot: float(r.um) for r in zone.readings}
        if stops_signed:
            self.sign_stops()

    def bench(self) -> AtBench:
        return at_bench(self.store, self.job_id, self.now)

    def sign_stops(self) -> None:
        from finishplan.records import signatures
        bench = self.bench()
        for caution in bench.unsigned:
            signatures.sign(self.store, self.job_id, "stop", caution.id, "F1", "looked at it here",
                            max(bench.leg.revision, bench.opened.revision), self.now)

    def begin(self) -> None:
        bench_work.begin(self.store, self.bench(), "F1", self.now)

    def read(
        self, um: float, spot: int | None, task: Task, beside: int | None = None, bench: AtBench | None = None
    ) -> None:
        values = {"um": um, "spot": spot, "beside": beside}
        raw = {"kind": "reading", "panel": task.panel, "zone": task.zones[0], "step": task.step,
               "values": {name: value for name, value in values.items() if value is not None}}
        assert bench_work.add_line(self.store, bench or self.bench(), raw, "F1", self.now, sure=True).kept

    def do(self, task: Task, bench: AtBench | None = None) -> None:
        """Do one task as it should be done."""
        bench = bench or self.bench()
        if task.hold is not None:
            out = bench_signed.sign_holds(self.store, bench, [task], "F2", PIN, self.now)
        elif task.check is not None:
            for spot, um in self.film[(task.panel, task.zones[0])].items():
                self.read(um, spot, task, bench=bench)
            return
        else:
            self.work(task, bench)
            out = bench_work.finish_task(self.store, bench, task, "F1", self.now,
                                         task.minutes or None, 1 if task.step.startswith("P") else 0)
        assert out.kept, out

    def work(self, task: Task, bench: AtBench | None = None) -> None:
        if task.what != "step":
            return
        step = next(s for s in (bench or self.bench()).course.panel(task.panel).steps if s.step == task.step)
        for part in step.zones:
            taken = part.removal_um + self.more_um.get((task.panel, task.step), 0.0)
            film = self.film[(task.panel, part.zone)]
            self.film[(task.panel, part.zone)] = {spot: um - taken for spot, um in film.items()}

    def go(self, until: str = "") -> AtBench:
        """Do what comes next until a task begins with ``until``, work stops, or all is done."""
        for _ in range(300):
            bench = self.bench()
            if bench.where.stops or bench.where.finished:
                return bench
            if bench.where.next is None:
                self.now = bench.where.waiting[0].not_before
                continue
            if until and bench.where.next.key.startswith(until):
                return bench
            self.do(bench.where.next, bench)
            self.now += timedelta(minutes=bench.where.next.minutes)
        raise AssertionError("no end")
