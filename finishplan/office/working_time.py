"""Working hours: the week of a shop, days off, and minutes of work counted along the calendar.

Time is whole minutes from midnight of the first day, so that 480 is 8:00 of that day and 1440 the next midnight.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from finishplan.errors import BadValue, FinishplanError
from finishplan.shop.shop_file import DAYS

DAY_MIN = 1440
Opening = tuple[int, int]
DEFAULT_HOURS = dict.fromkeys(DAYS[:5], (("08:00", "12:00"), ("12:30", "16:00")))
"""Monday to Friday, eight to four with half an hour at noon (assumed)."""
CLOCK = re.compile(r"([01]?\d|2[0-4]):([0-5]\d)")
MOST_DAYS = 20_000


def clock_minutes(text: str, where: str) -> int:
    """Return a clock time as minutes after midnight; raises BadValue for what is none.

    >>> clock_minutes("08:30", "mon")
    510
    """
    found = CLOCK.fullmatch(text.strip())
    minutes = int(found[1]) * 60 + int(found[2]) if found else DAY_MIN + 1
    if minutes > DAY_MIN:
        raise BadValue("time", text, 'give a clock time such as "08:00", at most "24:00"', where)
    return minutes


def read_week(hours: Mapping[str, Sequence[tuple[str, str]]]) -> tuple[tuple[Opening, ...], ...]:
    """Return the openings of each day, Monday first; no hours at all mean the default week.

    Raises BadValue for times out of order and FinishplanError for a week without work.
    """
    spoken = hours or DEFAULT_HOURS
    week = tuple(read_day(day, spoken.get(day, ())) for day in DAYS)
    if not any(week):
        raise FinishplanError('hours: the week has no working time; give a day, such as "mon": [["08:00", "16:00"]]')
    return week


def read_day(day: str, pairs: Sequence[tuple[str, str]]) -> tuple[Opening, ...]:
    """Return one day's openings in order; raises BadValue where they end before they begin, or overlap."""
    where, last = f"hours, {day}", 0
    found: list[Opening] = []
    for begin_text, end_text in pairs:
        begin, end = clock_minutes(begin_text, where), clock_minutes(end_text, where)
        if end <= begin:
            raise BadValue("end of work", end_text, f"it must be after {begin_text}", where)
        if begin < last:
            raise BadValue("start of work", begin_text, "it must not be before the end of the one before", where)
        if found and begin == last:
            found[-1] = (found[-1][0], end)
        else:
            found.append((begin, end))
        last = end
    return tuple(found)


@dataclass
class Calendar:
    """One set of working hours from a first day on: who shares it works in the same openings.

    ``off`` are dates without work. Openings are laid out as far as they are asked for.
    """

    first_day: date
    week: tuple[tuple[Opening, ...], ...]
    off: frozenset[date] = frozenset()
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    worked: list[int] = field(default_factory=list)
    """Working minutes before each opening."""
    days: int = 0

    def lay_out(self, until_min: int) -> None:
        """Lay out openings at least to ``until_min``; raises FinishplanError beyond some fifty years."""
        while self.days * DAY_MIN <= until_min:
            if self.days > MOST_DAYS:
                raise FinishplanError("no day with working hours is left for this; check the hours and the days off")
            day = self.first_day + timedelta(days=self.days)
            if day not in self.off:
                for begin, end in self.week[day.weekday()]:
                    self.add(self.days * DAY_MIN + begin, self.days * DAY_MIN + end)
            self.days += 1

    def add(self, begin: int, end: int) -> None:
        """Add one opening after the last."""
        done = self.worked[-1] + self.ends[-1] - self.starts[-1] if self.starts else 0
        self.starts.append(begin)
        self.ends.append(end)
        self.worked.append(done)

    def count(self, moment: int) -> int:
        """Return the working minutes before ``moment``."""
        self.lay_out(moment)
        at = bisect_right(self.starts, moment) - 1
        if at < 0:
            return 0
        return self.worked[at] + min(moment, self.ends[at]) - self.starts[at]

    def moment(self, worked_min: int) -> int:
        """Return when the working minute ``worked_min`` begins: the first moment with that many before it."""
        while not self.starts or self.worked[-1] + self.ends[-1] - self.starts[-1] <= worked_min:
            self.lay_out((self.days + 7) * DAY_MIN)
        at = bisect_right(self.worked, worked_min) - 1
        return self.starts[at] + worked_min - self.worked[at]

    def end_of(self, start: int, minutes: int) -> int:
        """Return when work of ``minutes`` begun at ``start`` or at the next opening is done."""
        if minutes == 0:
            return self.next_opening(start)
        return self.moment(self.count(start) + minutes - 1) + 1

    def start_of(self, end: int, minutes: int) -> int:
        """Return the latest start of work of ``minutes`` that is done by ``end``; negative where there is none."""
        if minutes == 0:
            return end
        begin = self.count(end) - minutes
        return self.moment(begin) if begin >= 0 else begin

    def next_opening(self, moment: int) -> int:
        """Return ``moment`` where the shop is open then, else the next opening."""
        return self.moment(self.count(moment))

    def day_left(self, moment: int) -> int:
        """Return the working minutes from ``moment`` to the end of its day."""
        midnight = (moment // DAY_MIN + 1) * DAY_MIN
        return self.count(midnight) - self.count(moment)

    def longest_day(self) -> int:
        """Return the working minutes of the longest day of the week."""
        return max(sum(end - begin for begin, end in day) for day in self.week)

    def at(self, moment: int) -> datetime:
        """Return a moment as date and time."""
        return datetime.combine(self.first_day, datetime.min.time()) + timedelta(minutes=moment)

    def minutes_at(self, when: datetime) -> int:
        """Return a date and time as minutes from the first day's midnight, rounded up."""
        passed = when - datetime.combine(self.first_day, datetime.min.time())
        return math.ceil(passed.total_seconds() / 60)


def day_of(moment: int) -> int:
    """Return the day a moment lies in, counted from 0."""
    return moment // DAY_MIN


def morning_after(end: int) -> int:
    """Return the first midnight after work that ended at ``end``: the earliest next day.

    >>> morning_after(960), morning_after(1440)
    (1440, 1440)
    """
    return -(-end // DAY_MIN) * DAY_MIN if end > 0 else 0


def intersect(
    first: tuple[Sequence[int], Sequence[int]], second: tuple[Sequence[int], Sequence[int]], begin: int
) -> tuple[list[int], list[int]]:
    """Return the times both lists of openings have, from ``begin`` on, as starts and ends."""
    (a_starts, a_ends), (b_starts, b_ends) = first, second
    a, b = bisect_left(a_ends, begin + 1), bisect_left(b_ends, begin + 1)
    starts: list[int] = []
    ends: list[int] = []
    while a < len(a_starts) and b < len(b_starts):
        low, high = max(a_starts[a], b_starts[b]), min(a_ends[a], b_ends[b])
        if low < high:
            starts.append(low)
            ends.append(high)
        if a_ends[a] < b_ends[b]:
            a += 1
        else:
            b += 1
    return starts, ends


def dates_of(days: Iterable[int], first_day: date) -> tuple[date, ...]:
    """Return days counted from the first as dates, in order."""
    return tuple(first_day + timedelta(days=day) for day in sorted(set(days)))
