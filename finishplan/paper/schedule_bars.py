"""The days of a schedule as bars: a row a day and person, the clock across, one bar for work of one kind in a row.

Every bar is to scale and named at its place; what is too short for its name is counted, and stands in the list. On
the screen all days are one drawing; on paper a drawing is as many whole days as a page bears, on one clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from finishplan import wording
from finishplan.office.schedule import Days
from finishplan.paper import theme as draw
from finishplan.paper.theme import LIGHT, PAPER, Theme
from finishplan.units import MINUTES_PER_HOUR

LEAST_TITLE = 6
"""Fewer letters of a job's title say nothing."""
MOST_ROWS = 60
"""Rows that are drawn on the screen; later ones are counted, and stand in the list."""
ROWS_A_DRAWING = 14
"""Rows of one drawing on paper: a third of a page."""
GOES_ON = " (goes on)"
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True)
class Frame:
    """Measures of a drawing in px; on paper a px is a point."""

    width: float
    left: float
    """Where the clock starts."""
    name: float
    """Where the names of people start, right of the day."""
    right: float
    head: float
    row: float
    bar: float
    day_gap: float
    size: float
    baseline: float
    """From the top of a row down to its words."""
    hours: float
    """Size of the clock's figures."""
    numbered: bool = False
    """Whether a bar without room for its name has its number in the list instead."""


SCREEN_FRAME = Frame(880.0, 300.0, 112.0, 14.0, 30.0, 32.0, 24.0, 8.0, 15.5, 20.0, 14.0)
PAPER_FRAME = Frame(527.0, 158.0, 78.0, 8.0, 24.0, 22.0, 17.0, 5.0, 11.0, 14.5, 11.0, numbered=True)
"""As wide as the text on A4, in letters of 11 points."""


@dataclass(frozen=True)
class Bar:
    """Work of one kind on one job by one person without a break; minutes after midnight."""

    day: date
    person: str
    job: str
    phase: str
    begin_min: float
    end_min: float
    tasks: tuple[str, ...] = ()
    """What is done in it, in time; work that began in an earlier bar says so."""


Rows = dict[tuple[date, str], list[Bar]]
"""Bars by day and person, in time."""


def day_bars(days: Days, theme: Theme = LIGHT) -> str:
    """Return the days as SVG text; raises ValueError for a schedule without work."""
    rows = rows_of(bars_of(days))
    if not rows:
        raise ValueError("there is no work to draw")
    shown = dict(list(rows.items())[:MOST_ROWS])
    hours = hours_of([bar for row in shown.values() for bar in row])
    body: list[str] = []
    y, unnamed = lanes(body, shown, days, hours, SCREEN_FRAME, theme)
    body += clock(*hours, y, theme, SCREEN_FRAME)
    y = notes(body, len(rows) - len(shown), unnamed, y + 6, theme)
    body.insert(0, draw.rect(0, 0, SCREEN_FRAME.width, y, theme.ground))
    return draw.svg(SCREEN_FRAME.width, y, "The days, hour by hour", bars_words(days), body, draw.style(theme))


def page_bars(days: Days, theme: Theme = PAPER) -> tuple[tuple[str, str], ...]:
    """Return the days as drawings for paper, each with its words; all on one clock, none left out.

    A drawing holds whole days; a day with more people than a drawing has rows goes on in the next.
    """
    rows = rows_of(bars_of(days))
    hours = hours_of([bar for row in rows.values() for bar in row]) if rows else (0, 1)
    found = []
    for shown in parted(rows):
        body: list[str] = []
        y, _ = lanes(body, shown, days, hours, PAPER_FRAME, theme)
        body += clock(*hours, y, theme, PAPER_FRAME)
        body.insert(0, draw.rect(0, 0, PAPER_FRAME.width, y + 2, theme.ground))
        said = rows_words(shown, days)
        drawn = draw.svg(PAPER_FRAME.width, y + 2, "The days, hour by hour", said, body, draw.style(theme))
        found.append((drawn, said))
    return tuple(found)


def parted(rows: Rows) -> list[Rows]:
    """Return rows in parts that a drawing on paper bears, days whole where they fit."""
    parts: list[Rows] = []
    for day in dict.fromkeys(day for day, _ in rows):
        here = [(key, row) for key, row in rows.items() if key[0] == day]
        for start in range(0, len(here), ROWS_A_DRAWING):
            piece = here[start : start + ROWS_A_DRAWING]
            if parts and not start and len(parts[-1]) + len(here) <= ROWS_A_DRAWING:
                parts[-1].update(piece)
            else:
                parts.append(dict(piece))
    return parts


def lanes(
    body: list[str], rows: Rows, days: Days, hours: tuple[int, int], frame: Frame, theme: Theme
) -> tuple[float, int]:
    """Draw rows of bars with their day and person; return where they end, and how many bars have no name."""
    titles = numbers_of(days) if frame.numbered else titles_of(days)
    per_min = per_minute(hours, frame)
    y, before, unnamed = frame.head, None, 0
    for (day, person), row in rows.items():
        y += frame.day_gap if before not in (None, day) else 0.0
        if before != day:
            body.append(draw.text(4, y + frame.baseline, day_words(day), theme, frame.size, bold=True))
        name = draw.fitted(days.names.get(person, person), frame.left - frame.name - 10, frame.size)
        body.append(draw.text(frame.name, y + frame.baseline, name, theme, frame.size, quiet=True))
        unnamed += lane(body, row, y, hours[0], per_min, titles, theme, frame)
        before, y = day, y + frame.row
    return y, unnamed


def per_minute(hours: tuple[int, int], frame: Frame) -> float:
    """Return the px of one minute."""
    return (frame.width - frame.left - frame.right) / (MINUTES_PER_HOUR * (hours[1] - hours[0]))


def bars_of(days: Days) -> tuple[Bar, ...]:
    """Return all bars in time; work of one kind that goes on without a break is one bar."""
    spans = sorted(
        ((begin, end, person, row.job, row.phase, row.what + (GOES_ON if number else "")) for row in days.rows
         for person in row.people for number, (begin, end) in enumerate(row.spans) if end > begin),
        key=lambda span: (span[2], span[0]))
    found: list[Bar] = []
    for begin, end, person, job, phase, what in spans:
        first, last = minute_of(begin), minute_of(begin) + (end - begin).seconds / 60
        held = found[-1] if found else None
        if held and (held.day, held.person, held.job, held.phase, held.end_min) == (
                begin.date(), person, job, phase, first):
            found[-1] = replace(held, end_min=last, tasks=(*held.tasks, what))
        else:
            found.append(Bar(begin.date(), person, job, phase, first, last, (what,)))
    return tuple(sorted(found, key=lambda bar: (bar.day, bar.person, bar.begin_min)))


def minute_of(at: datetime) -> float:
    """Return minutes after midnight."""
    return at.hour * MINUTES_PER_HOUR + at.minute


def rows_of(bars: Iterable[Bar]) -> Rows:
    """Return the bars by day and person, in time."""
    found: Rows = {}
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


def numbers_of(days: Days) -> dict[str, str]:
    """Return what a bar on paper says of its job: its number in the table of jobs, which stands beside it."""
    many = len(days.jobs) > 1
    return {job.key: f"job {number}" if many else "" for number, job in enumerate(days.jobs, start=1)}


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
    return rows_words(rows_of(bars_of(days)), days)


def rows_words(rows: Rows, days: Days) -> str:
    """Return rows of bars in words."""
    titles = titles_of(days)
    said = []
    for (day, person), row in rows.items():
        parts = [f"{' '.join(w for w in (titles[bar.job], bar.phase) if w)} {clock_words(bar.begin_min)} to "
                 f"{clock_words(bar.end_min)}" for bar in row]
        said.append(f"{day_words(day)}, {days.names.get(person, person)}: {', '.join(parts)}.")
    return " ".join(said)


def lane(body: list[str], row: Sequence[Bar], y: float, first: int, per_min: float, titles: dict[str, str],
         theme: Theme, frame: Frame = SCREEN_FRAME) -> int:
    """Draw one row of bars; return how many of them have no room for their name."""
    unnamed = 0
    for number, bar in enumerate(row):
        x = frame.left + (bar.begin_min - first * MINUTES_PER_HOUR) * per_min
        width = (bar.end_min - bar.begin_min) * per_min
        role = f"bar {bar.phase}"
        body.append(draw.rect(x, y + 2, width, frame.bar, theme.film, theme.ink, role=role, stroke_width=1.2))
        behind = row[number + 1].begin_min if number + 1 < len(row) else None
        end = frame.width - 4 if behind is None else frame.left + (behind - first * MINUTES_PER_HOUR) * per_min
        words, at = name_of(bar, titles[bar.job], x, width, end, frame)
        if not words and frame.numbered:
            words, at = number_of(number + 1, x, width, frame)
        if words:
            body.append(draw.text(at, y + frame.baseline, words, theme, frame.size))
        unnamed += not words
    return unnamed


def name_of(bar: Bar, title: str, x: float, width: float, end: float, frame: Frame = SCREEN_FRAME) -> tuple[str, float]:
    """Return a bar's name and where it starts: inside, else right of it; as much of the job as there is room for."""
    need = draw.text_width(bar.phase, frame.size) + 10
    for room, at in ((width, x + 5), (end - x - width, x + width + 5)):
        if need <= room:
            whole = f"{bar.phase}, {title}"
            longer = draw.fitted(whole, room - 10, frame.size)
            # a job's number is whole or not there, of its title a part will do
            enough = longer == whole if frame.numbered else len(longer) > len(bar.phase) + LEAST_TITLE
            return longer if title and enough else bar.phase, at
    return "", x


def number_of(number: int, x: float, width: float, frame: Frame) -> tuple[str, float]:
    """Return a bar's number in the list and where it starts, nothing where it has no room."""
    wide = draw.text_width(str(number), frame.size)
    return (str(number), x + (width - wide) / 2) if wide + 3 <= width else ("", x)


def clock(first: int, last: int, floor: float, theme: Theme, frame: Frame = SCREEN_FRAME) -> list[str]:
    """Return the hours over the bars, and a hairline down from each."""
    found, per_min = [], per_minute((first, last), frame)
    end = frame.width - frame.right
    every = hours_apart(first, last, frame)
    for hour in range(first, last + 1):
        x = frame.left + (hour - first) * MINUTES_PER_HOUR * per_min
        found.append(draw.line(x, frame.head - 6, x, frame.head, theme.hairline, 1.2))
        if hour < last and (hour - first) % every == 0:
            found.append(draw.text(x, 0.6 * frame.head, f"{hour}:00", theme, frame.hours, quiet=True))
    found.append(draw.line(frame.left, frame.head, end, frame.head, theme.hairline, 1.2))
    found.append(draw.line(frame.left, floor, end, floor, theme.hairline, 1.2))
    return found


def hours_apart(first: int, last: int, frame: Frame) -> int:
    """Return how many hours lie between two that are written, so that long days stay readable."""
    room = per_minute((first, last), frame) * MINUTES_PER_HOUR
    return next(n for n in range(1, last - first + 2) if n > last - first or n * room >= draw.text_width(
        "00:00", frame.hours) + 4)


def notes(body: list[str], rows_left: int, unnamed: int, y: float, theme: Theme) -> float:
    """Write what is not drawn or not named; return where the drawing ends."""
    said = []
    if unnamed:
        said.append(f"{wording.counted(unnamed, 'bar')} too short for a name: see the list")
    if rows_left:
        said.append(f"{wording.counted(rows_left, 'later row')} not drawn: see the list")
    for words in said:
        y += 22
        first = words[:1].upper() + words[1:]
        body.append(draw.text(SCREEN_FRAME.left, y, first, theme, SCREEN_FRAME.size, quiet=True))
    return y + 12
