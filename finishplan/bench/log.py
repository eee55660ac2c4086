"""The bench log as plain data: lines that are only added, read from a file or a store and written back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from pydantic import ValidationError

from finishplan.bench.log_lines import LINES, POINTS, LogLine
from finishplan.errors import BadValue, FinishplanError, UnknownName, as_filed
from finishplan.models import say_first

LOG_FORMAT = "finishplan-log"
LOG_VERSION = 1


@dataclass(frozen=True)
class Log:
    """The log of one job."""

    title: str
    lines: tuple[LogLine, ...]


class KeptLine(Protocol):
    """A line as a store hands it out: the zone stands among the values."""

    @property
    def number(self) -> int:
        """Its number."""

    @property
    def at(self) -> datetime:
        """When it was written."""

    @property
    def who(self) -> str:
        """Who wrote it."""

    @property
    def kind(self) -> str:
        """Its kind."""

    @property
    def panel(self) -> str:
        """Its panel, or nothing."""

    @property
    def step(self) -> str:
        """Its step, or nothing."""

    @property
    def values(self) -> Mapping[str, Any]:
        """What was measured."""

    @property
    def set_aside(self) -> str | None:
        """Why it does not count, if it does not."""


def read_log_dict(raw: Any) -> Log:
    """Return the log in ``raw``, a dict as the file holds it.

    Raises a FinishplanError of one line that names the place, the value and the remedy.
    """
    if not isinstance(raw, dict):
        raise FinishplanError("this is not a bench log; a bench log is one JSON object in { }")
    if raw.get("format") != LOG_FORMAT:
        raise BadValue("format", as_filed(raw.get("format")), f'a bench log says "format": "{LOG_FORMAT}"')
    version = raw.get("version")
    if version != LOG_VERSION or isinstance(version, bool):
        raise BadValue("version", as_filed(version),
                       f"this program reads bench logs of version {LOG_VERSION}; a newer log needs a newer program")
    unknown = next((key for key in raw if key not in ("format", "version", "title", "lines")), None)
    if unknown is not None:
        raise FinishplanError(f"a bench log has no key {unknown!r}; it has: format, version, title, lines")
    if not isinstance(raw.get("title", ""), str):
        raise BadValue("title", as_filed(raw["title"]), "give text in quotes")
    if not isinstance(raw.get("lines", []), (list, tuple)):
        raise BadValue("lines", as_filed(raw["lines"]), "give a list in [ ]")
    return Log(raw.get("title", ""), checked(tuple(read_line(line) for line in raw.get("lines", []))))


def log_as_dict(log: Log) -> dict[str, Any]:
    """Return ``log`` as plain data, fit for JSON; reading it back gives an equal log."""
    lines = [line.model_dump(mode="json") for line in log.lines]
    return {"format": LOG_FORMAT, "version": LOG_VERSION, "title": log.title, "lines": lines}


def read_line(raw: Any) -> LogLine:
    """Return one line from plain data; raises a FinishplanError of one line naming it."""
    if not isinstance(raw, Mapping):
        raise BadValue("log line", as_filed(raw), "a line is an object in { }")
    where = f"log line {raw['number']}" if isinstance(raw.get("number"), int) else "log line"
    kind = raw.get("kind")
    if not isinstance(kind, str) or kind not in LINES:
        raise UnknownName("kind", as_filed(kind), LINES, where)
    data = dict(raw)
    data["at"] = moment(raw.get("at"), "at", where)
    values = data.get("values")
    if isinstance(values, Mapping) and values.get("started") is not None:
        data["values"] = {**values, "started": moment(values["started"], "started", where)}
    try:
        return LINES[kind].model_validate(data)
    except ValidationError as error:
        raise FinishplanError(f"{where}, {kind}: {say_first(error, data, LINES[kind])}") from None


def moment(value: Any, name: str, where: str) -> datetime:
    """Return a time with its offset from UTC; raises BadValue for anything else."""
    try:
        found = value if isinstance(value, datetime) else datetime.fromisoformat(value)
    except (TypeError, ValueError):
        found = None
    if found is None or found.utcoffset() is None:
        raise BadValue(name, as_filed(value), "give day, time and offset, as 2031-05-12T09:30:00+02:00", where)
    return found


def checked(lines: tuple[LogLine, ...]) -> tuple[LogLine, ...]:
    """Return ``lines`` where their numbers rise and what they point at stands before them."""
    last, seen = 0, set[int]()
    for line in lines:
        if line.number <= last:
            raise BadValue("number", line.number, f"it follows {last}; numbers rise from line to line",
                           f"log line {line.number}")
        values = getattr(line, "values", None)
        points = POINTS.get(type(values))
        target = getattr(values, points) if points else None
        if points and target is not None and target not in seen:
            raise BadValue(points, target, "no earlier line has that number", f"log line {line.number}")
        last = line.number
        seen.add(last)
    return lines


def from_kept(kept: Sequence[KeptLine]) -> tuple[LogLine, ...]:
    """Return lines as a store hands them out; the zone is taken from among their values."""
    return checked(tuple(
        read_line({
            "number": line.number, "at": line.at, "who": line.who, "kind": line.kind, "panel": line.panel,
            "zone": line.values.get("zone", ""), "step": line.step, "set_aside": line.set_aside,
            "values": {name: value for name, value in line.values.items() if name != "zone"},
        }) for line in kept
    ))


def kept_values(line: LogLine) -> dict[str, Any]:
    """Return a line's values as a store keeps them, its zone among them."""
    found: dict[str, Any] = line.model_dump(mode="json", exclude_none=True).get("values", {})
    return {"zone": line.zone, **found} if line.zone else found
