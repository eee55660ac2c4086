"""What a lead test on file says: only a laboratory that found none takes lead out of mind."""

from __future__ import annotations

import re

NONE_FOUND = (
    "no lead found", "no lead detected", "no detectable lead", "lead not found", "lead not detected",
    "none found", "none detected", "not detected", "not found",
    "below the detection limit", "below detection limit", "under the detection limit",
)
"""Words that mean a laboratory found none. A figure "below so much" does not: any detectable lead counts
(osha.gov interpretation 1999-03-01-0)."""

OTHERWISE = (
    r"x-?\s?ray", "xrf", "swab", "kit", "stick", "spot test", "pending", "sent", "waiting", "awaiting", "no", "not",
    "but", "except", "only", "lead", "found", "detected", "positive", "ppm", "mg", "ug", "percent", "by eye",
    "traces?", "above", "over", "elsewhere", "doubtful", "unsure", "maybe",
)
"""Words beside them that make the result something else: another kind of test, a part result, a figure."""

HOW_TO_SAY = 'write what the laboratory says, such as "laboratory: none found"'


def laboratory_found_none(text: str | None) -> bool:
    """Tell whether a lead test is a laboratory's result that found none.

    It names a laboratory, uses one of NONE_FOUND, and holds none of OTHERWISE beside it. Anything else
    leaves the caution standing.

    >>> laboratory_found_none("Laboratory, 3 March: none found"), laboratory_found_none("swab: none found")
    (True, False)
    """
    words = " ".join((text or "").lower().split())
    said = [phrase for phrase in NONE_FOUND if phrase in words]
    if not said or not re.search(r"\blab(oratory)?\b", words):
        return False
    for phrase in said:
        words = words.replace(phrase, " ")
    return "%" not in words and not any(re.search(rf"\b{word}\b", words) for word in OTHERWISE)


def result_on_file(text: str | None) -> bool:
    """Tell whether anything is written down of a lead test."""
    return bool((text or "").strip())
