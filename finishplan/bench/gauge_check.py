"""The gauge on a shim of known thickness: which readings it sets aside where it has drifted, and what follows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from finishplan import wording
from finishplan.bench.log_lines import LogLine, ReadingLine, ShimLine, ShimValues
from finishplan.bench.log_sums import allowed_um, bad_gauges, drift_words, why_aside
from finishplan.bench.new_line import task_words
from finishplan.bench.progress import Progress, progress

Gauge = tuple[str, str]
"""A gauge: its method, and its name where the shop has several."""


def gauges_of(lines: Sequence[LogLine], here: Gauge) -> tuple[Gauge, ...]:
    """Return the gauges that a log knows, the one in hand first."""
    known = [(line.values.method, line.values.gauge) for line in lines if isinstance(line, (ReadingLine, ShimLine))]
    return tuple(dict.fromkeys([here, *known]))


def gauge_words(gauge: Gauge) -> str:
    """Return a gauge as it is named.

    >>> gauge_words(("ultrasonic", "2")), gauge_words(("ultrasonic", ""))
    ('ultrasonic, 2', 'ultrasonic')
    """
    return ", ".join(part for part in gauge if part)


def off_words(lines: Sequence[LogLine], gauge: Gauge) -> str:
    """Return why what a gauge reads now does not count, or nothing where its last check was good."""
    why = bad_gauges(lines).get(gauge)
    return f"{wording.sentence(why)} Check it again when it is mended; until then read with another." if why else ""


def check_words(values: ShimValues) -> str:
    """Return how a check came out: within what the gauge may be off, or not."""
    told = f"The {gauge_words((values.method, values.gauge))} gauge read {values.um:g} um on a shim of " \
           f"{values.shim_um:g} um"
    kind = "within" if abs(values.um - values.shim_um) <= allowed_um(values) else "and not within"
    return f"{told}, {kind} the {allowed_um(values):.0f} um it may be off."


def effect(before: Progress, line: ShimLine, now: datetime) -> tuple[str, ...]:
    """Return what a check of the gauge does, one sentence each: to readings, stops, checks, plan and rates."""
    after = progress(before.course, (*before.lines, line), now)
    gone = sorted(set(why_aside(after.lines)) - set(why_aside(before.lines)))
    readings = [old for old in before.lines if old.number in gone and isinstance(old, ReadingLine)]
    if not drift_words(line):
        again = (line.values.method, line.values.gauge) in bad_gauges(before.lines)
        return (check_words(line.values), "From here on its readings count again; those before stay set aside."
                if again else "Its readings stand.")
    return (check_words(line.values), *aside_words(readings), *open_words(before, after),
            "Readings of the survey are not in this log: read the spots anew where this gauge was used for them.")


def aside_words(readings: Sequence[ReadingLine]) -> tuple[str, ...]:
    """Return which readings are set aside, and what they are missed for."""
    if not readings:
        return ("None of this log's readings since its last good check is set aside; what it reads from now on is, "
                "until a check is good.",)
    places: dict[str, int] = {}
    for line in readings:
        places[f"{line.panel}, {line.zone}"] = places.get(f"{line.panel}, {line.zone}", 0) + 1
    where = "; ".join(f"{place} ({count})" for place, count in places.items())
    return (f"Set aside: {wording.counted(len(readings), 'reading')} since its last good check, and what it reads "
            f"until the next good one: {where}.",
            "They teach no removal rate. The plan in force stays; planned again, it goes by what still counts.")


def open_words(before: Progress, after: Progress) -> tuple[str, ...]:
    """Return which checks are open again, and which stops went with their readings."""
    left = {(stop.panel, stop.zone) for stop in after.stops}
    found = [f"The stop at {stop.reading_um:g} um in {stop.panel}, {stop.zone} rested on it: read there before anyone "
             "goes on." for stop in before.stops if (stop.panel, stop.zone) not in left]
    again = [f"{task.panel}: {task_words(task)}" for task in before.course.tasks
             if task.check is not None and task.key in before.done and task.key not in after.done]
    return (*found, *([f"To be read again: {'; '.join(again)}."] if again else ()))
