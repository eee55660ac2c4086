"""The one place where values become words. Plain values in, text out; nothing here knows a plan.

Film rounds down, what is taken and least readings round up, so that no rounding makes a film look thicker.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from finishplan.units import MINUTES_PER_HOUR, down, up

DASH = "–"
"""Stands for a missing value, always with its reason."""


class Mark(NamedTuple):
    """A verdict as it is shown: word, shape and fill, so that no one part of it carries the meaning alone."""

    word: str
    shape: str
    """circle, diamond, triangle, square, cross"""
    fill: str
    """full, half, open"""
    glyph: str
    """The same shape and fill as one character, for plain text."""


MARKS = {
    "go": Mark("go", "circle", "full", "●"),
    "last service": Mark("go, last service", "circle", "half", "◐"),
    "identify first": Mark("identify first", "diamond", "open", "◇"),
    "measure first": Mark("measure first", "triangle", "open", "△"),
    "not enough film": Mark("not enough film", "square", "full", "■"),
    "refer": Mark("refer", "cross", "full", "✕"),
}

STOPS = ("identify first", "measure first", "not enough film", "refer")
"""Verdicts that keep a panel from starting, in the order in which they are settled."""

DEFECT_WORDS = {
    "swirls": ("swirls", "places with swirls"),
    "dull_area": ("dull area", "dull areas"),
    "fine_scratch": ("fine scratch", "fine scratches"),
    "scratch": ("scratch", "scratches"),
    "etch": ("etch mark", "etch marks"),
    "orange_peel": ("orange peel", "places with orange peel"),
    "ripple": ("ripple", "places with ripple"),
    "sunken_fill": ("sunken fill", "sunken fills"),
    "nick": ("nick", "nicks"),
    "chip": ("chip", "chips"),
    "dent": ("dent", "dents"),
    "lifted_film": ("lifted film", "places with lifted film"),
    "crack": ("crack", "cracks"),
    "sand_through": ("old sand-through", "old sand-throughs"),
    "fade": ("colour change", "places with colour change"),
    "polish_build_up": ("polish build-up", "places with polish build-up"),
    "compound_residue": ("compound residue", "places with compound residue"),
    "tape_mark": ("tape mark", "tape marks"),
    "sanding_marks": ("old sanding marks", "places with old sanding marks"),
    "old_soft_repair": ("old soft repair", "old soft repairs"),
    "pinholes": ("pinholes", "places with pinholes"),
    "edge_chip": ("edge chip", "edge chips"),
    "corner_missing": ("missing corner", "missing corners"),
    "impact_star": ("impact star", "impact stars"),
    "heat_ripple": ("heat ripple", "places with heat ripple"),
    "grain_print": ("grain print", "places with grain print"),
    "joint_line": ("joint line", "joint lines"),
    "screw_swelling": ("screw swelling", "screw swellings"),
    "blister": ("blister", "blisters"),
    "yellowing": ("yellowing", "places with yellowing"),
    "decal_wear": ("worn decal", "worn decals"),
    "overspray": ("overspray", "places with overspray"),
    "solvent_bite": ("solvent bite", "solvent bites"),
}
"""Defect kinds as the trade says them: one, and many."""

DEPTH_FROM = {
    "measured": "measured",
    "range": "from a range",
    "test spot": "from the test spot",
    "guessed from kind": "guessed",
    "none": "",
    "previous step": "left by the last step",
}
"""Where a depth comes from; a guess is told from a measurement by the word."""

FILM_FROM = {
    "readings": "measured",
    "estimate": "guessed",
    "default": "guessed from the usual film",
}

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
           "twelve")


def film_words(film_um: float) -> str:
    """Return film in whole um, rounded down.

    >>> film_words(276.9)
    '276'
    """
    return f"{down(film_um):.0f}"


def removal_words(removal_um: float) -> str:
    """Return film taken, in um, to two digits and never coarser than a whole um, rounded up.

    >>> removal_words(35.2), removal_words(0.301), removal_words(123.1)
    ('36', '0.31', '124')
    """
    if removal_um <= 0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(removal_um)))
    rounded = up(removal_um, digits)
    if rounded >= 10 ** (2 - digits):
        digits = max(0, digits - 1)
    return f"{rounded:.{digits}f}"


def least_words(reading_um: float) -> str:
    """Return a least reading in whole um, rounded up.

    >>> least_words(171.02)
    '172'
    """
    return f"{up(reading_um):.0f}"


def minutes_words(minutes: float) -> str:
    """Return a time: to the minute up to 30, to 5 minutes above, from 90 minutes in hours.

    >>> minutes_words(12.4), minutes_words(47), minutes_words(278), minutes_words(660)
    ('12 min', '45 min', '4 h 40', '11 h')
    """
    if minutes < 0.5:
        return "under 1 min" if minutes > 0 else "0 min"
    whole = _half_up(minutes)
    if whole > 30:
        whole = 5 * _half_up(minutes / 5)
    if whole < 90:
        return f"{whole} min"
    hours, rest = divmod(whole, int(MINUTES_PER_HOUR))
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def _half_up(value: float) -> int:
    return math.floor(value + 0.5)


MOST_BY_HITS = (2.996, 4.744, 6.296, 7.754, 9.154)  # the mean stays under it at 95 % after 0 to 4 hits (Poisson)


def _two_digits_down(one_in: float) -> str:
    whole = str(max(1, math.floor(one_in + 1e-9)))
    return whole[:2].ljust(len(whole), "0")


def chance_words(chance: float, draws: int | None = None) -> str:
    """Return a chance (0 to 1) as "1 in 200", rounded so that it never looks smaller than it is.

    Seen fewer than five times in ``draws`` tries it is told as under its 95 % limit: under 3 in draws if never.

    >>> chance_words(0.005), chance_words(0.8), chance_words(0.0, draws=6000), chance_words(0.0001, draws=20_000)
    ('1 in 200', '4 in 5', 'under 1 in 2000', 'under 1 in 3100')
    """
    if chance <= 0 and not draws:
        return "none"
    hits = _half_up(chance * (draws or 0))
    if draws and hits < len(MOST_BY_HITS):
        return f"under 1 in {_two_digits_down(draws / MOST_BY_HITS[hits])}"
    if chance < 0.1:
        return f"1 in {_two_digits_down(1 / chance)}"
    tenths = min(10, math.ceil(chance * 10 - 1e-9))
    shared = math.gcd(tenths, 10)
    return f"{tenths // shared} in {10 // shared}"


def quantity_words(quantity: float | None) -> str:
    """Return a quantity to two digits, rounded up, without idle noughts; a dash for one not known.

    >>> quantity_words(94.5), quantity_words(3.0), quantity_words(0.42)
    ('95', '3', '0.42')
    """
    if quantity is None:
        return DASH
    text = removal_words(quantity)
    return text.rstrip("0").rstrip(".") if "." in text else text


def area_words(area_m2: float) -> str:
    """Return an area in m2 to two decimals.

    >>> area_words(1.9)
    '1.90'
    """
    return f"{area_m2:.2f}"


def missing(reason: str) -> str:
    """Return the dash that stands for a missing value, with its reason.

    >>> missing("no readings")
    '– (no readings)'
    """
    return f"{DASH} ({reason})"


def number_words(count: int) -> str:
    """Return a small whole number in words, a large one in digits.

    >>> number_words(3), number_words(40)
    ('three', '40')
    """
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def counted(count: int, one: str, many: str | None = None) -> str:
    """Return a count in words with its noun.

    >>> counted(1, "sheet"), counted(2, "sheet"), counted(3, "entry", "entries")
    ('one sheet', 'two sheets', 'three entries')
    """
    return f"{number_words(count)} {one if count == 1 else many or one + 's'}"


def listed(words: Iterable[str], last: str = "and") -> str:
    """Return words as a list in a sentence.

    >>> listed(["P800", "P1500", "cutting compound"])
    'P800, P1500 and cutting compound'
    """
    found = [word for word in words if word]
    if len(found) < 2:
        return "".join(found)
    return f"{', '.join(found[:-1])} {last} {found[-1]}"


def quoted(name: str) -> str:
    """Return a name as it stands in a sentence: in quotes where its own comma would break a list.

    >>> quoted("rim"), quoted("rim, bass side")
    ('rim', '"rim, bass side"')
    """
    return f'"{name}"' if "," in name else name


def sentence(text: str) -> str:
    """Return ``text`` with a capital first and a full stop last.

    >>> sentence("edges compound only")
    'Edges compound only.'
    """
    text = text.strip()
    return text and text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def defect_words(kind: str, count: int = 1) -> str:
    """Return a defect kind as the trade says it, with its count above one.

    >>> defect_words("dull_area"), defect_words("scratch", 3)
    ('dull area', '3 scratches')
    """
    one, many = DEFECT_WORDS.get(kind, (kind.replace("_", " "), kind.replace("_", " ")))
    return one if count == 1 else f"{count} {many}"


def depth_words(depth_um: float | None, depth_from: str) -> str:
    """Return a depth in um, rounded up, with the word that says where it comes from.

    >>> depth_words(41.3, "guessed from kind"), depth_words(None, "none")
    ('42 guessed', '– (no depth for this kind)')
    """
    if depth_um is None:
        return missing("no depth for this kind")
    return f"{quantity_words(depth_um)} {DEPTH_FROM.get(depth_from, depth_from)}".strip()


def film_from_words(film_from: str, readings: int) -> str:
    """Return where a zone's film figure comes from.

    >>> film_from_words("readings", 3), film_from_words("default", 0)
    ('measured, 3 readings', 'guessed from the usual film')
    """
    word = FILM_FROM.get(film_from, film_from)
    if film_from != "readings":
        return word
    return f"{word}, {readings} {'reading' if readings == 1 else 'readings'}"


def mark_of(verdict: str, last_service: bool = False) -> Mark:
    """Return word, shape and fill of a verdict."""
    if verdict == "go" and last_service:
        return MARKS["last service"]
    return MARKS.get(verdict, Mark(verdict, "cross", "open", "x"))


def worst_verdict(verdicts: Iterable[str]) -> str:
    """Return the verdict that has to be settled first.

    >>> worst_verdict(["go", "refer", "measure first"])
    'measure first'
    """
    found = set(verdicts)
    return next((stop for stop in STOPS if stop in found), "go")


def step_short(step: str) -> str:
    """Return a step's name without the noun that its place already says.

    >>> step_short("cutting compound"), step_short("P800")
    ('cutting', 'P800')
    """
    return step.removesuffix(" compound")


def sequence_words(sheets: Sequence[str], compounds: Sequence[str]) -> str:
    """Return a sequence as it is said: where it starts, and how many of each.

    >>> sequence_words(["P800", "P1500"], ["cutting compound", "polishing compound", "finishing compound"])
    'start P800, two sheets and three compounds'
    >>> sequence_words([], ["polishing compound", "finishing compound"])
    'no sheet, two compounds from polishing'
    """
    if not sheets:
        many = counted(len(compounds), "compound")
        return f"no sheet, {many} from {step_short(compounds[0])}" if compounds else "nothing to sand or buff"
    last = [counted(len(compounds), "compound")] if compounds else []
    return f"start {sheets[0]}, {listed([counted(len(sheets), 'sheet'), *last])}"


def panel_gist(sheets: Sequence[str], compounds: Sequence[str], minutes: float, taken_um: float,
               spare_um: float, edges: str = "", zone: str = "") -> str:
    """Return a panel's plan in one line; ``taken_um`` and ``spare_um`` are those of its tightest ``zone``.

    >>> panel_gist(["P800"], ["cutting compound"], 200, 36, 157.4, "edges compound only")
    'start P800, one sheet and one compound, 3 h 20, takes 36 of 157 um to spend, edges compound only'
    """
    parts = [sequence_words(sheets, compounds)]
    if minutes > 0:
        parts.append(minutes_words(minutes))
    if taken_um > 0:
        where = f" at {zone}" if zone else ""
        parts.append(f"takes {removal_words(taken_um)} of {film_words(max(0.0, spare_um))} um to spend{where}")
    return ", ".join(part for part in [*parts, edges] if part)


def panel_words(name: str, sheets: Sequence[str], compounds: Sequence[str], minutes: float, taken_um: float,
                spare_um: float, edges: str = "", zone: str = "") -> str:
    """Return a panel's name and gist.

    >>> panel_words("Rim", ["P800"], [], 25, 20, 60)
    'Rim: start P800, one sheet, 25 min, takes 20 of 60 um to spend'
    """
    return f"{name}: {panel_gist(sheets, compounds, minutes, taken_um, spare_um, edges, zone)}"


def job_words(verdicts: Mapping[str, str], minutes: float) -> str:
    """Return the verdict sentence of a job from each panel's verdict and the minutes at the panels.

    >>> job_words({"lid": "go", "rim": "measure first"}, 278)
    'One of two panels can start. Do not start rim: measure first. 4 h 40 of work in all.'
    """
    total, stopped = len(verdicts), {name: v for name, v in verdicts.items() if v != "go"}
    ready = total - len(stopped)
    if not stopped:
        start = {1: "The panel can start", 2: "Both panels can start"}.get(
            total, f"All {number_words(total)} panels can start")
    elif not ready:
        start = "Do not start" if total == 1 else "No panel can start"
    else:
        start = f"{number_words(ready)} of {counted(total, 'panel')} can start"
    parts = [sentence(start)]
    for stop in STOPS:
        names = [quoted(name) for name, verdict in stopped.items() if verdict == stop]
        if names:
            parts.append(sentence(f"{'Do not start ' if ready else ''}{listed(names)}: {stop}"))
    parts.append(sentence(f"{minutes_words(minutes)} of work in all") if minutes > 0 else "")
    return " ".join(part for part in parts if part)


def signed(value: float, digits: int = 0) -> str:
    """Return a difference with its sign, rounded to ``digits``.

    >>> signed(3.2), signed(-0.6), signed(0.1)
    ('+3', '-1', '0')
    """
    rounded = round(value, digits)
    return "0" if rounded == 0 else f"{rounded:+.{digits}f}"


def signed_minutes(minutes: float) -> str:
    """Return a difference of times in whole minutes with its sign.

    >>> signed_minutes(14.2), signed_minutes(-0.2)
    ('+14 min', '0 min')
    """
    return f"{signed(minutes)} min"
