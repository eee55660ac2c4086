"""The days of a schedule as bars: a row a day and person, the clock across, one bar for work of one kind in a row.

Every bar is to scale and named at its place; what is too short for its name is counted, and stands in the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from finishplan import wording
from finishplan.office.schedule import Days
from finishplan.paper import theme as draw
from finishplan.paper.theme import LIGHT, Theme
from finishplan.units import MINUTES_PER_HOUR

WIDTH_PX = 880.0
LEFT_PX = 300.0
NAME_PX = 112.0
"""Where the names of people start, right of the day."""
RIGHT_PX = 14.0
HEAD_PX = 30.0
ROW_PX = 32.0
BAR_PX = 24.0
DAY_GAP_PX = 8.0
SIZE_PX = 15.5
LEAST_TITLE = 6
"""Fewer letters of a job's title say nothing."""
MOST_ROWS = 60
"""Rows that are drawn; later ones are counted, and stand in the list."""
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True)
class Bar:
    """Work of one kind on one job by one person without a break; minutes after midnight."""

    day: date
    person: str
    job: str
    phase: str
    begin_min: float
    end_min: float


def day_bars(days: Days, theme: Theme = LIGHT) -> str:
    """Return the days as SVG text; raises ValueError for a schedule without work."""
    rows = rows_of(bars_of(days))
    if not rows:
        raise ValueError("there is no work to draw")
    shown = dict(list(rows.items())[:MOST_ROWS])
    first, last = hours_of([bar for row in shown.values() for bar in row])
    per_min = (WIDTH_PX - LEFT_PX - RIGHT_PX) / (MINUTES_PER_HOUR * (last - first))
    body: list[str] = []
    y, before, unnamed = HEAD_PX, None, 0
    for (day, person), row in shown.items():
        y += DAY_GAP_PX if before not in (None, day) else 0.0
        if before != day:
            body.append(draw.text(4, y + 20, day_words(day), theme, SIZE_PX, bold=True))
        name = draw.fitted(days.names.get(person, person), LEFT_PX - NAME_PX - 10, SIZE_PX)
        body.append(draw.text(NAME_PX, y + 20, name, theme, SIZE_PX, quiet=True))
        unnamed += lane(body, row, y, first, per_min, titles_of(days), theme)
        before, y = day, y + ROW_PX
    body += clock(first, last, per_min, y, theme)
    y = notes(body, len(rows) - len(shown), unnamed, y + 6, theme)
    body.insert(0, draw.rect(0, 0, WIDTH_PX, y, theme.ground))
    return draw.svg(WIDTH_PX, y, "The days, hour by hour", bars_words(days), body, draw.style(theme))


def bars_of(days: Days) -> tuple[Bar, ...]:
    """Return all bars in time; work of one kind that goes on without a break is one bar."""
    spans = sorted(
        ((begin, end, person, row.job, row.phase) for row in days.rows for person in row.people
         for begin, end in row.spans if end > begin), key=lambda span: (span[2], span[0]))
    found: list[Bar] = []
    for begin, end, person, job, phase in spans:
        new = Bar(begin.date(), person, job, phase, minute_of(begin), minute_of(begin) + (end - begin).seconds / 60)
        last = found[-1] if found else None
        if last and (last.day, last.person, last.job, last.phase, last.end_min) == (
                new.day, person, job, phase, new.begin_min):
            found[-1] = Bar(last.day, person, job, phase, last.begin_min, new.end_min)
        else:
            found.append(new)
    return tuple(sorted(found, key=lambda bar: (bar.day, bar.person, bar.begin_min)))


def minute_of(at: datetime) -> float:
    """Return minutes after midnight."""
    return at.hour * MINUTES_PER_HOUR + at.minute


def rows_of(bars: Iterable[Bar]) -> dict[tuple[date, str], list[Bar]]:
    """Return the bars by day and person, in time."""
    found: dict[tuple[date, str], list[Bar]] = {}
    for bar in bars:
        found.setdefault((bar.day, bar.person), []).append(bar)
    return found


def hours_of(bars: Sequence[Bar]) -> tuple[int, int]:
    """Return the whole hours between which all work lies."""
    first = min(bar.begin_min for bar in bars) // MINUTES_PER_HOUR
    last = -(-max(bar.end_min for bar in bars) // MINUTES_PER_HOUR)
    return int(first), int(max(last, first + 1))


def titles_of(days: Days) -> dict[str, str]:
    """Return what a bar says of its job: nothing where there is one job only."""
    return {job.key: job.title if len(days.jobs) > 1 else "" for job in days.jobs}


def day_words(day: date) -> str:
    """Return a day as it is said.

    >>> day_words(date(2026, 3, 2))
    'Mon 2 Mar'
    """
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def clock_words(minute: float) -> str:
    """Return a time of day.

    >>> clock_words(485)
    '8:05'
    """
    hours, rest = divmod(int(minute), int(MINUTES_PER_HOUR))
    return f"{hours}:{rest:02d}"


def bars_words(days: Days) -> str:
    """Return the days in words, for those who hear them."""
    titles = titles_of(days)
    said = []
    for (day, person), row in rows_of(bars_of(days)).items():
        parts = [f"{' '.join(w for w in (titles[bar.job], bar.phase) if w)} {clock_words(bar.begin_min)} to "
                 f"{clock_words(bar.end_min)}" for bar in row]
        said.append(f"{day_words(day)}, {days.names.get(person, person)}: {', '.join(parts)}.")
    return " ".join(said)


def lane(body: list[str], row: Sequence[Bar], y: float, first: int, per_min: float, titles: dict[str, str],
         theme: Theme) -> int:
    """Draw one row of bars; return how many of them have no room for their name."""
    unnamed = 0
    for number, bar in enumerate(row):
        x = LEFT_PX + (bar.begin_min - first * MINUTES_PER_HOUR) * per_min
        width = (bar.end_min - bar.begin_min) * per_min
        role = f"bar {bar.phase}"
        body.append(draw.rect(x, y + 2, width, BAR_PX, theme.film, theme.ink, role=role, stroke_width=1.2))
        behind = row[number + 1].begin_min if number + 1 < len(row) else None
        end = WIDTH_PX - 4 if behind is None else LEFT_PX + (behind - first * MINUTES_PER_HOUR) * per_min
        words, at = name_of(bar, titles[bar.job], x, width, end)
        if words:
            body.append(draw.text(at, y + 20, words, theme, SIZE_PX))
        unnamed += not words
    return unnamed


def name_of(bar: Bar, title: str, x: float, width: float, end: float) -> tuple[str, float]:
    """Return a bar's name and where it starts: inside, else right of it; as much of the job as there is room for."""
    need = draw.text_width(bar.phase, SIZE_PX) + 10
    for room, at in ((width, x + 5), (end - x - width, x + width + 5)):
        if need <= room:
            longer = draw.fitted(f"{bar.phase}, {title}", room - 10, SIZE_PX)
            some_title = title and len(longer) > len(bar.phase) + LEAST_TITLE
            return longer if some_title else bar.phase, at
    return "", x


def clock(first: int, last: int, per_min: float, floor: float, theme: Theme) -> list[str]:
    """Return the hours over the bars, and a hairline down from each."""
    found = []
    for hour in range(first, last + 1):
        x = LEFT_PX + (hour - first) * MINUTES_PER_HOUR * per_min
        found.append(draw.line(x, HEAD_PX - 6, x, HEAD_PX, theme.hairline, 1.2))
        if hour < last:
            found.append(draw.text(x, 18, f"{hour}:00", theme, SIZE_PX - 1.5, quiet=True))
    found.append(draw.line(LEFT_PX, HEAD_PX, WIDTH_PX - RIGHT_PX, HEAD_PX, theme.hairline, 1.2))
    found.append(draw.line(LEFT_PX, floor, WIDTH_PX - RIGHT_PX, floor, theme.hairline, 1.2))
    return found


def notes(body: list[str], rows_left: int, unnamed: int, y: float, theme: Theme) -> float:
    """Write what is not drawn or not named; return where the drawing ends."""
    said = []
    if unnamed:
        said.append(f"{wording.counted(unnamed, 'bar')} too short for a name: see the list")
    if rows_left:
        said.append(f"{wording.counted(rows_left, 'later row')} not drawn: see the list")
    for words in said:
        y += 22
        body.append(draw.text(LEFT_PX, y, words[:1].upper() + words[1:], theme, SIZE_PX, quiet=True))
    return y + 12
