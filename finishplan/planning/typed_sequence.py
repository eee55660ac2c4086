"""A sequence as a person types it: "800 1000 1500 2000 cut polish finish", with its grading systems."""

from __future__ import annotations

import re

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.shop.steps import COMPOUNDS, grade_table, shipped_steps

STEMS = {"cut": COMPOUNDS[0], "polish": COMPOUNDS[1], "finish": COMPOUNDS[2]}
"""How compounds may be shortened: any word that begins so."""
SYSTEM_WORDS = {"p": "P", "us": "US", "ansi": "US", "jis": "JIS", "fepa": "P"}
TOKEN = re.compile(r"(?i)(?:(p|us|ansi|jis|fepa)\s*[-#]?\s*|(#))?(\d+)|([a-z]+)(?:\s+compound)?|([^\s,;>→–-])")
MOST_LETTERS = 1000


def read_typed_sequence(typed: str, bare_system: str = "P") -> tuple[str, ...]:
    """Return step names, coarse to fine as typed, each grade with its system.

    Parts stand between commas, spaces, arrows or dashes. A bare number is a grade of ``bare_system``.
    Raises UnknownName for what is no grade and no compound, and FinishplanError for an empty sequence.

    >>> read_typed_sequence("US 400, 500 600 cutting")
    ('US 400', 'US 500', 'US 600', 'cutting compound')
    >>> read_typed_sequence("800 1500 cut polish finish")
    ('P800', 'P1500', 'cutting compound', 'polishing compound', 'finishing compound')
    """
    names: list[str] = []
    system = bare_system
    if len(typed) > MOST_LETTERS:
        raise FinishplanError(f"sequence: it has {len(typed)} letters; name at most a dozen steps")
    for match in TOKEN.finditer(typed):
        letters, hash_mark, digits, word, other = match.groups()
        if other:
            raise BadValue("letter", other, "part grades and compounds with commas or spaces", "sequence")
        if digits:
            system = SYSTEM_WORDS[letters.lower()] if letters else ("JIS" if hash_mark else system)
            names.append(grade_of(system, digits))
        elif word.lower() in SYSTEM_WORDS:
            system = SYSTEM_WORDS[word.lower()]
        else:
            names.append(compound_of(word))
    if not names:
        raise FinishplanError(
            "sequence: it is empty; name grades and compounds, as in P800,P1500,cutting,polishing,finishing"
        )
    return tuple(names)


def grade_of(system: str, digits: str) -> str:
    """Return a grade as it is written here; raises UnknownName with the grades of its system."""
    name = {"P": f"P{digits}", "US": f"US {digits}", "JIS": f"JIS #{digits}"}[system]
    known = [grade for grade, (of, _, _) in grade_table().items() if of == system]
    if name not in known and name not in {s.name for s in shipped_steps()}:
        raise UnknownName("grade", name, known, "sequence")
    return name


def compound_of(word: str) -> str:
    """Return the compound a word stands for."""
    for stem, name in STEMS.items():
        if word.lower().startswith(stem):
            return name
    raise BadValue("word", word, "name a grade (P800) or a compound: cutting, polishing, finishing", "sequence")
