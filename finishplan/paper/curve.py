"""Film against time: every best trade of minutes against film taken as one dot, the favours named at theirs.

Only plans that can be had are drawn, so no line joins them. What the figure shows and what it says to a
screen reader come from the same points.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from finishplan import wording
from finishplan.paper import theme as draw
from finishplan.paper.theme import LIGHT, Theme
from finishplan.planning.result import CurvePoint
from finishplan.units import MINUTES_PER_HOUR

WIDTH_PX = 560.0
HEIGHT_PX = 320.0
LEFT_PX = 58.0
TOP_PX = 34.0
BOTTOM_PX = 58.0
RIGHT_PX = 16.0
SIZE_PX = 15.5
DOT_PX = 4.5
NAMED_PX = 6.5
LINE_PX = 19.0
LEAST_SPAN = 0.10
"""The axes never show less than this share of what they count, so that no small difference looks large."""
FILM_UNIT = "cm3"
"""1 um of film over 1 m2 is 1 cm3."""
TIME_STEPS_MIN = (1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0)

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Axis:
    """One axis: the values at its ends, and the px that they stand at."""

    least: float
    most: float
    start_px: float
    end_px: float

    def at(self, value: float) -> float:
        """Return the px of a value."""
        share = (value - self.least) / (self.most - self.least)
        return self.start_px + share * (self.end_px - self.start_px)


@dataclass(frozen=True)
class Mark:
    """One dot: where it stands, its names, whether it is the plan in force."""

    x: float
    y: float
    lines: tuple[str, ...]
    here: bool

    @property
    def radius_px(self) -> float:
        """Radius of the dot: larger where it has a name."""
        return NAMED_PX if self.lines else DOT_PX


def film_volume_words(film_um_m2: float) -> str:
    """Return film taken over a whole job: um x m2 is cm3, rounded up like all that is taken.

    >>> film_volume_words(20.31)
    '21 cm3'
    """
    return f"{wording.removal_words(film_um_m2)} {FILM_UNIT}"


def trade_words(point: CurvePoint) -> str:
    """Return what a trade costs: time at the panels, film taken."""
    return f"{wording.minutes_words(point.minutes)}, {film_volume_words(point.film_um_m2)}"


def curve_words(points: Sequence[CurvePoint]) -> str:
    """Return film against time in words, for those who hear it; one point is said as one."""
    if not points:
        return "No plan to draw: nothing is worked."
    if len(points) == 1:
        return (f"One plan is best in both time and film: quick, balanced and keep film are the same, "
                f"{trade_words(points[0])} of film.")
    ends = f"from {trade_words(points[0])} of film to {trade_words(points[-1])}"
    named = "".join(f". {wording.sentence(point.name)[:-1]}: {trade_words(point)}" for point in points if point.name)
    return wording.sentence(f"{wording.number_words(len(points))} best trades, {ends}{named}")


def curve_drawing(points: Sequence[CurvePoint], here: tuple[float, float] | None = None, theme: Theme = LIGHT) -> str:
    """Return film against time as SVG text.

    ``here`` is the plan in force, (minutes, um x m2): the dot it stands on is filled, and where it stands
    on none it gets one of its own, "this plan". Raises ValueError without a point.
    """
    if not points:
        raise ValueError("a curve has at least one point")
    shown = list(points)
    if here is not None and not any(same(point, here) for point in points):
        shown.append(CurvePoint("this plan", *here))
    across = axis([p.minutes for p in shown], LEFT_PX + 14, WIDTH_PX - RIGHT_PX - 14)
    upward = axis([p.film_um_m2 for p in shown], HEIGHT_PX - BOTTOM_PX - 14, TOP_PX + 14)
    marks = [mark_of(point, across, upward, here is not None and same(point, here)) for point in shown]
    body = [draw.rect(0, 0, WIDTH_PX, HEIGHT_PX, theme.ground)]
    axes(body, across, upward, theme)
    for mark in sorted(marks, key=lambda m: m.here):
        body.append(f'<circle cx="{draw.num(mark.x)}" cy="{draw.num(mark.y)}" r="{draw.num(mark.radius_px)}" '
                    f'fill="{theme.ink if mark.here else theme.ground}" stroke="{theme.ink}" stroke-width="1.8" '
                    f'data-is="{"here" if mark.here else "trade"}"/>')
    label_all(body, marks, theme)
    return draw.svg(WIDTH_PX, HEIGHT_PX, "Film against time", curve_words(points), body, draw.style(theme))


def same(point: CurvePoint, here: tuple[float, float]) -> bool:
    """Tell whether a plan stands on a point."""
    return abs(point.minutes - here[0]) < 1e-3 and abs(point.film_um_m2 - here[1]) < 1e-3


def axis(values: Sequence[float], start_px: float, end_px: float) -> Axis:
    """Return an axis round ``values``, never shorter than ``LEAST_SPAN`` of the largest."""
    least, most = min(values), max(values)
    short = max(LEAST_SPAN * most, 1e-6) - (most - least)
    if short > 0:
        least, most = least - short / 2, most + short / 2
    return Axis(max(0.0, least), most, start_px, end_px)


def mark_of(point: CurvePoint, across: Axis, upward: Axis, here: bool) -> Mark:
    """Return a point's dot with the lines of its label."""
    lines = (point.name, trade_words(point)) if point.name else ()
    return Mark(across.at(point.minutes), upward.at(point.film_um_m2), lines, here)


def axes(body: list[str], across: Axis, upward: Axis, theme: Theme) -> None:
    """Draw both axes with their ticks and what they count."""
    floor, left = HEIGHT_PX - BOTTOM_PX, LEFT_PX
    body.append(draw.line(left, floor, WIDTH_PX - RIGHT_PX, floor, theme.hairline, 1.2))
    body.append(draw.line(left, TOP_PX, left, floor, theme.hairline, 1.2))
    end = 0.0
    for minutes in ticks(across, time_step(across)):
        x, words = across.at(minutes), wording.minutes_words(minutes)
        body.append(draw.line(x, floor, x, floor + 6, theme.hairline, 1.2))
        half = draw.text_width(words, SIZE_PX - 1.5) / 2
        if x - half > end and x + half < WIDTH_PX:
            body.append(draw.text(x, floor + 23, words, theme, SIZE_PX - 1.5, anchor="middle", quiet=True))
            end = x + half + 8
    for film in ticks(upward, film_step(upward)):
        y = upward.at(film)
        body.append(draw.line(left - 6, y, left, y, theme.hairline, 1.2))
        body.append(draw.text(left - 10, y + 5, f"{film:g}", theme, SIZE_PX - 1.5, anchor="end", quiet=True))
    body.append(draw.text(4, 16, f"film taken, {FILM_UNIT}", theme, SIZE_PX - 1.5, quiet=True))
    body.append(draw.text(WIDTH_PX - 4, HEIGHT_PX - 8, "time at the panels", theme, SIZE_PX - 1.5, anchor="end",
                          quiet=True))


def ticks(of: Axis, step: float) -> list[float]:
    """Return the whole steps within an axis."""
    first = math.ceil(of.least / step - 1e-9)
    return [k * step for k in range(first, math.floor(of.most / step + 1e-9) + 1)]


def time_step(of: Axis) -> float:
    """Return the least step in minutes that gives an axis at most five."""
    wished = (of.most - of.least) / 5
    long = MINUTES_PER_HOUR * 24 * max(1, math.ceil(wished / (MINUTES_PER_HOUR * 24)))
    return next((step for step in TIME_STEPS_MIN if step >= wished), long)


def film_step(of: Axis) -> float:
    """Return the least of 1, 2 and 5 times a power of ten that gives an axis at most five steps."""
    wished = (of.most - of.least) / 5
    power = 10.0 ** math.floor(math.log10(wished))
    return next(k * power for k in (1, 2, 5, 10) if k * power >= wished - 1e-12)


def label_all(body: list[str], marks: Sequence[Mark], theme: Theme) -> None:
    """Write each name beside its dot where it covers no dot and no other name, with a leader where it stands off."""
    taken: list[Box] = [(m.x - m.radius_px - 2, m.y - m.radius_px - 2, m.x + m.radius_px + 2, m.y + m.radius_px + 2)
                        for m in marks]
    for mark in marks:
        if not mark.lines:
            continue
        box = free_place(mark, taken)
        taken.append(box)
        if not box[1] <= mark.y <= box[3]:
            edge = box[3] if box[3] < mark.y else box[1]
            x = min(max(mark.x, box[0]), box[2])
            body.insert(1, draw.line(mark.x, mark.y, x, edge, theme.hairline, 1.0))
        x, anchor = (box[2] - 4, "end") if box[2] <= mark.x else (box[0] + 4, "start")
        for k, words in enumerate(mark.lines):
            body.append(draw.text(x, box[1] + 15 + k * LINE_PX, words, theme, SIZE_PX, anchor=anchor,
                                  bold=k == 0 and mark.here, quiet=k > 0, halo=theme.ground))


def free_place(mark: Mark, taken: Sequence[Box]) -> Box:
    """Return the nearest free box for a label: at the right, at the left, then above and below."""
    width = max(draw.text_width(words, SIZE_PX, bold=True) for words in mark.lines) + 8
    height = LINE_PX * len(mark.lines) + 2
    floor = HEIGHT_PX - BOTTOM_PX - 2
    for shift in sorted(range(-int(HEIGHT_PX), int(HEIGHT_PX), 6), key=abs):
        top = mark.y - height / 2 + shift
        for left in (mark.x + mark.radius_px + 4, mark.x - mark.radius_px - 4 - width):
            wished = min(max(left, LEFT_PX + 2), WIDTH_PX - width - 2)
            box = (wished, top, wished + width, top + height)
            if top >= TOP_PX - 10 and box[3] <= floor and not any(meet(box, other) for other in taken):
                return box
    return (WIDTH_PX - width - 2, TOP_PX - 10, WIDTH_PX - 2, TOP_PX - 10 + height)


def meet(one: Box, other: Box) -> bool:
    """Tell whether two boxes share any place."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
