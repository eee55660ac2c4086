"""Film readings typed in a row, ``412 398 405``: read without guessing, and odd ones asked about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from finishplan.errors import BadValue, shown
from finishplan.survey.job import MAX_FILM_UM

ODD_FACTOR = 4.0
"""A reading this many times over or under the usual one is asked about (assumed: a slip of one digit is ten
times; a surface echo, which must be kept, is seldom under a third)."""
USUAL_UM = (50.0, 1200.0)
"""Where nothing else is known, film outside these is asked about: from under the least that may stay to over
the thickest published for a restored grand (table ``film``; the bounds themselves assumed)."""
MAX_ROW = 60
"""More readings than this in one row is no row of readings."""
SLIPS = (10.0, 100.0, 0.1, 0.01)
"""What a slip of digits does to a number."""

_UNIT = re.compile(r"(?<=\d)\s*(?:µm|μm|um)\b", re.IGNORECASE)
_NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+")
_GROUPED = re.compile(r"(\d)[,'](\d{3})")
_DECIMAL_COMMA = re.compile(r"(\d+),(\d{1,2})")


@dataclass(frozen=True)
class TypedRow:
    """What a typed row holds: film in um, and what could not be read with what to do about it."""

    values_um: tuple[float, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True)
class Odd:
    """A reading that looks like a slip: what was typed, what is usual there, and what may have been meant."""

    um: float
    usual_um: float | None
    """None where too little is known to say what is usual."""
    meant_um: float | None


def read_row(text: str) -> TypedRow:
    """Return the readings of a typed row [um], in order; what cannot be read is named, never changed.

    Spaces, semicolons, line ends and commas before a space part readings. ``um`` may stand behind a
    number. A decimal comma has one or two digits behind it; ``412,398`` could be two readings or one, so it
    is refused. Raises BadValue for an empty row and for one of more than 60 readings.

    >>> read_row("412 398; 405um").values_um
    (412.0, 398.0, 405.0)
    """
    tokens = [token for token in re.split(r"[\s;]+|,(?=\s)|,$", _UNIT.sub(" ", text)) if token]
    if not tokens:
        raise BadValue("row of readings", text, "type film in um with spaces between, as in 412 398 405")
    if len(tokens) > MAX_ROW:
        raise BadValue("number of readings", len(tokens), f"at most {MAX_ROW} in a row; type the rest after them")
    values, refused = [], []
    for token in tokens:
        value = _value(token)
        if isinstance(value, str):
            refused.append(value)
        else:
            values.append(value)
    return TypedRow(tuple(values), tuple(refused))


def _value(token: str) -> float | str:
    """Return the film of one token in um, or why it is none."""
    grouped, decimal = _GROUPED.fullmatch(token), _DECIMAL_COMMA.fullmatch(token)
    plain = token
    if grouped:
        plain = grouped[1] + grouped[2]
    elif decimal:
        plain = f"{decimal[1]}.{decimal[2]}"
    elif re.fullmatch(r"\d+(?:,\d+)+", token):
        return f"{shown(token)} may be one reading or several; put spaces between readings"
    if not _NUMBER.fullmatch(plain):
        return f"{shown(token)} is no number; type film in um, as in 412"
    value = float(plain)
    if not 0 < value <= MAX_FILM_UM:
        return f"{shown(token)} um is no film; film is over 0 and up to {MAX_FILM_UM:.0f} um"
    return value


def odd_readings(values_um: Sequence[float], known_um: Sequence[float]) -> tuple[tuple[float, ...], tuple[Odd, ...]]:
    """Return the readings to keep as they are, and those to ask about.

    The usual film is the median of what is known in the zone; with fewer than two known, of those and the row.
    With fewer than three beside each other, a reading outside ``USUAL_UM`` is asked about.

    >>> odd_readings([412, 4120], [398, 405])[1]
    (Odd(um=4120, usual_um=401.5, meant_um=412.0),)
    """
    beside = list(known_um) if len(known_um) > 1 else [*known_um, *values_um]
    usual = median(beside) if len(known_um) > 1 or len(beside) > 2 else None
    low, high = (usual / ODD_FACTOR, usual * ODD_FACTOR) if usual else USUAL_UM
    plain = tuple(value for value in values_um if low <= value <= high)
    odd = tuple(Odd(value, usual, _meant(value, usual)) for value in values_um if not low <= value <= high)
    return plain, odd


def _meant(value_um: float, usual_um: float | None) -> float | None:
    """Return the reading that a slip of digits would have made ``value_um`` of, or None."""
    for slip in SLIPS:
        meant = round(value_um / slip, 6)
        near = usual_um is not None and usual_um / 2 < meant < usual_um * 2
        if near or (usual_um is None and USUAL_UM[0] <= meant <= USUAL_UM[1]):
            return meant
    return None


def read_depth(text: str) -> float | dict[str, float] | None:
    """Return a typed depth as the job file holds it: nothing, one number (measured), or low, likely and high.

    Raises BadValue for two numbers, more than three, and for what is no number.

    >>> read_depth(" "), read_depth("14"), read_depth("10 20 45")
    (None, 14.0, {'low': 10.0, 'likely': 20.0, 'high': 45.0})
    """
    numbers = _numbers("depth, um", text, "leave it empty, or type one measured depth, or low, likely and high")
    if len(numbers) not in (0, 1, 3):
        raise BadValue("depth, um", text, "type one measured depth, or three: low, likely and high")
    if len(numbers) == 3:
        return {"low": numbers[0], "likely": numbers[1], "high": numbers[2]}
    return numbers[0] if numbers else None


def read_pair(text: str, what: str, remedy: str) -> tuple[float, float] | None:
    """Return two typed numbers, None for an empty box; raises BadValue naming ``what`` for anything else.

    >>> read_pair("1.45 x 1.40", "size, m", "type width and height")
    (1.45, 1.4)
    """
    numbers = _numbers(what, text, remedy)
    if len(numbers) not in (0, 2):
        raise BadValue(what, text, remedy)
    return (numbers[0], numbers[1]) if numbers else None


def _numbers(what: str, text: str, remedy: str) -> list[float]:
    """Return the numbers of a short text; a decimal comma has one or two digits behind it."""
    found = []
    for token in re.split(r"[\s;x×]+|,(?=\s)|,$", _UNIT.sub(" ", text)):
        plain = _DECIMAL_COMMA.sub(r"\1.\2", token) if _DECIMAL_COMMA.fullmatch(token) else token
        if token and not _NUMBER.fullmatch(plain):
            raise BadValue(what, text, remedy)
        found += [float(plain)] if token else []
    return found


def numbers_words(*values: float | None) -> str:
    """Return numbers for a box: those that are given, with spaces between.

    >>> numbers_words(1.45, 1.4), numbers_words(None, None)
    ('1.45 1.4', '')
    """
    return " ".join(f"{value:.10g}" for value in values if value is not None)


def row_words(values_um: Sequence[float]) -> str:
    """Return readings as they were typed: whole numbers without a point.

    >>> row_words([412.0, 398.5])
    '412, 398.5'
    """
    return ", ".join(f"{value:.6g}" for value in values_um)
