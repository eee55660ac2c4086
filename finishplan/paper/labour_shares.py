"""Where the minutes of a job go: one bar a group, to scale on one axis, each named and counted at its place."""

from __future__ import annotations

from collections.abc import Mapping

from finishplan import wording
from finishplan.paper import theme as draw
from finishplan.paper.theme import LIGHT, Theme

WIDTH_PX = 700.0
NAME_PX = 260.0
WORDS_PX = 130.0
ROW_PX = 34.0
BAR_PX = 22.0
SIZE_PX = 15.5
PERCENT = 100.0


def shares_words(minutes: Mapping[str, float]) -> str:
    """Return the shares in words: whole minutes of each group and what share of all that is.

    >>> shares_words({"plan": 90.0, "hardware": 30.0})
    'plan 90 min, 75 %; hardware 30 min, 25 %'
    """
    total = sum(minutes.values())
    return "; ".join(f"{name} {said(value, total)}" for name, value in minutes.items())


def said(value: float, total: float) -> str:
    """Return minutes and their share; ``total`` > 0."""
    return f"{value:.0f} min, {PERCENT * value / total:.0f} %"


def shares_drawing(minutes: Mapping[str, float], names: Mapping[str, str], theme: Theme = LIGHT) -> str:
    """Return the shares as SVG text; ``names`` says how each group is called. Raises ValueError for no minutes."""
    total = sum(minutes.values())
    if total <= 0:
        raise ValueError("there are no minutes to draw")
    per_min = (WIDTH_PX - NAME_PX - WORDS_PX) / max(minutes.values())
    body = [draw.rect(0, 0, WIDTH_PX, ROW_PX * len(minutes) + 8, theme.ground)]
    for place, (group, value) in enumerate(minutes.items()):
        y = 4 + ROW_PX * place
        name = draw.fitted(names.get(group, group), NAME_PX - 10, SIZE_PX)
        body.append(draw.text(NAME_PX - 8, y + 17, name, theme, SIZE_PX, anchor="end"))
        long = value * per_min
        body.append(draw.rect(NAME_PX, y, long, BAR_PX, theme.film, theme.ink, role="share", stroke_width=1.2))
        body.append(draw.text(NAME_PX + long + 7, y + 17, said(value, total), theme, SIZE_PX))
    return draw.svg(WIDTH_PX, ROW_PX * len(minutes) + 8, "Where the minutes go",
                    wording.sentence(shares_words({names.get(k, k): v for k, v in minutes.items()})), body,
                    draw.style(theme))
