"""Words of a plan that a beginner asks about, each explained once, where it first stands."""

from __future__ import annotations

import re
from collections.abc import Iterable

from finishplan.survey.choices import FIRST_CUTS
from finishplan.where_typed import ON_SHEETS

TERMS = {
    "first cut levels": f"First cut levels: {FIRST_CUTS['levels']}.",
    "first cut lean": f"First cut lean: {FIRST_CUTS['lean']}.",
    "last service": "Last service: once this is done, too little film stays for another.",
    "refer": "Refer: not dealt with here; somebody else's work, or none.",
    "sheets are not allowed here": f"Sheets may be allowed on a zone: {ON_SHEETS}.",
    "limit is met within a tenth": "Met within a tenth: moved by a tenth of what there is, it would change the plan.",
}
"""Words as they stand on the page, in small letters, and what they say."""
IN_A_STEP = "The look and wipe after a step is in its minutes."
ROUNDED = "Times over half an hour are said to the nearest 5 min, so a sum may differ from its parts."
"""What is in a time and how it is said; once where times begin."""


def explained(texts: Iterable[str], known: set[str]) -> tuple[str, ...]:
    """Return what the words in ``texts`` say that are not in ``known`` yet, and put them there.

    >>> explained(["Polyester, first cut lean.", "go, last service"], {"last service"})
    ('First cut lean: the finer grades take the last of it: less film, a finisher only.',)
    """
    said = " | ".join(texts).lower()
    found = [term for term in TERMS if term not in known and re.search(rf"\b{term}\b", said)]
    known.update(found)
    return tuple(TERMS[term] for term in found)
