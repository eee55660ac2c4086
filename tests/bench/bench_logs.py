"""Logs for the bench tests: lines typed short, and a bench that works exactly as planned. All invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from finishplan.bench.course import Course, Task, course_of
from finishplan.bench.log import read_line
from finishplan.bench.log_lines import LogLine
from finishplan.bench.progress import Progress, progress

DAY = "2031-05-12T"
NINE = datetime.fromisoformat("2031-05-12T09:00:00+02:00")


@dataclass
class Book:
    """A log that grows line by line."""

    lines: list[LogLine] = field(default_factory=list)
    panel: str = "part"
    zone: str = "field"

    def add(self, kind: str, clock: str = "09:00", who: str = "F1", **changes: Any) -> LogLine:
        line = {"number": len(self.lines) + 1, "at": f"{DAY}{clock}:00+02:00", "who": who, "kind": kind, **changes}
        self.lines.append(read_line(line))
        return self.lines[-1]

    def read(self, um: float, spot: int | None = None, step: str = "", **changes: Any) -> LogLine:
        values = {"um": um, "spot": spot, **changes.pop("values", {})}
        place = {"panel": self.panel, "zone": self.zone, "step": step}
        return self.add("reading", **{**place, "values": values, **changes})

    def minutes(self, step: str, minutes: float, **changes: Any) -> LogLine:
        values = {"minutes": minutes, **changes.pop("values", {})}
        return self.add("minutes", **{"panel": self.panel, "step": step, "values": values, **changes})

    def done(self, step: str, **changes: Any) -> LogLine:
        return self.add("step done", **{"panel": self.panel, "step": step, **changes})

    def sign(self, hold: str, role: str = "finisher", **changes: Any) -> LogLine:
        return self.add("hold signed", **{"panel": self.panel, "values": {"hold": hold, "role": role}, **changes})


def work_step(book: Book, job: Any, plan: Any, panel_at: int, step: str) -> None:
    """Log one full step of a panel as planned: fills and spots before it, then done, then the film read again."""
    panel, planned = job.panels[panel_at], plan.panels[panel_at]
    for zone in planned.zones:
        for entry in zone.defects:
            if entry.repair in ("fill", "spot"):
                book.add("repair done", panel=panel.name, zone=zone.name,
                         values={"defect": entry.index, "repair": entry.repair})
    book.done(step, panel=panel.name)
    taken = {part.zone: part.removal_um for s in planned.steps if s.step == step for part in s.zones}
    for zone in panel.zones:
        if zone.name in taken:
            for reading in zone.readings:
                book.read(reading.um - taken[zone.name], reading.spot, step, panel=panel.name, zone=zone.name,
                          values={"method": reading.method})


def course(found: Any, order: str = "by grade") -> Course:
    return course_of(found.job, found.profile, found.plan, order)


def at(found: Any, book: Book, now: datetime | None = None, order: str = "by panel") -> Progress:
    return progress(course(found, order), book.lines, now)


def do(book: Book, task: Task, um: float = 390.0) -> None:
    """Log a task as done."""
    if task.hold is not None:
        book.sign(task.hold.key, panel=task.panel)
    elif task.check is not None:
        for spot in range(task.readings):
            book.read(um, spot + 1, task.step, panel=task.panel, zone=task.zones[0])
    elif task.what == "wash":
        book.add("wash-down", panel=task.panel)
    elif task.what == "step":
        book.done(task.step, panel=task.panel)
    else:
        kind = "poured" if task.what == "pour" else "repair done"
        book.add(kind, panel=task.panel, zone=task.zones[0], values={"defect": task.defect, "repair": task.repair})


def until(found: Any, book: Book, what: str, order: str = "by panel") -> Task:
    """Do what comes next until a task of a kind is next."""
    for _ in range(200):
        task = at(found, book, order=order).next
        assert task is not None
        if task.what == what:
            return task
        do(book, task)
    raise AssertionError(what)
