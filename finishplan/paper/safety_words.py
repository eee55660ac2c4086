"""The sums behind cautions laid out for reading: results first, then formula, inputs and remarks, each once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from finishplan import wording
from finishplan.reference import Sourced
from finishplan.safety.cautions import SEVERITIES, Caution
from finishplan.safety.limits import Limit, digits_up, said_of
from finishplan.safety.tables import TRUST
from finishplan.safety.worked import Worked

NOT_CLEARED = (
    "Only what this job raises is shown; what is not shown has not been cleared. Every sum is worked out and not "
    "measured."
)
DECIDES = "* decides, - stands beside it"


@dataclass(frozen=True)
class Result:
    """One line of a sum: the value with its limit and word, and what is said of this line alone."""

    decides: bool
    words: str
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class ShownSum:
    """One sum about one thing, as it is laid out."""

    name: str
    results: tuple[Result, ...]
    """Those that decide come first."""
    formula: str
    inputs: tuple[Sourced, ...]
    remarks: tuple[str, ...]
    """What holds for every line."""
    limits: tuple[str, ...] = ()
    """Each limit that the lines are held against, with where it was seen."""

    @property
    def some_beside(self) -> bool:
        """Whether any line only stands beside the one that decides."""
        return not all(result.decides for result in self.results)


def shown_sums(figures: Iterable[Worked]) -> tuple[ShownSum, ...]:
    """Return figures by sum and by what they are about, laid out for reading."""
    found: dict[tuple[str, str], list[Worked]] = {}
    for figure in figures:
        found.setdefault((figure.sum, figure.about), []).append(figure)
    return tuple(shown_sum(group) for group in found.values())


def shown_sum(figures: Sequence[Worked]) -> ShownSum:
    """Return the figures of one sum about one thing, laid out."""
    shared = [r for r in remarks_of(figures[0]) if all(r in remarks_of(f) for f in figures)]
    said = set(shared)
    results = []
    for figure in sorted(figures, key=lambda f: not f.decides):
        own = tuple(r for r in remarks_of(figure) if r not in said)
        said |= set(own)
        results.append(Result(figure.decides, result_words(figure), own))
    name = ", ".join(dict.fromkeys((figures[0].sum, figures[0].about)))
    formula = dict.fromkeys(piece for f in figures for piece in f.formula.split("; "))
    inputs = dict.fromkeys(given for f in figures for given in f.inputs)
    limits = dict.fromkeys(limit_words(figure.limit) for figure in figures if figure.limit is not None)
    return ShownSum(f"{name} ({figures[0].basis})", tuple(results), "; ".join(formula), tuple(inputs), tuple(shared),
                    tuple(limits))


def limit_words(limit: Limit) -> str:
    """Return a limit with its kind, source and the letter that says how it was seen."""
    source = "" if limit.source == limit.whose else f", {limit.source}"
    return f"Limit {said_of(limit)}: {limit.kind}{source} (trust {limit.trust})"


def remarks_of(figure: Worked) -> tuple[str, ...]:
    """Return what is said beside a figure: warnings, notes, what it must not be taken for."""
    return tuple(r for r in (*figure.warnings, *figure.notes, figure.not_claimed) if r)


def result_words(figure: Worked) -> str:
    """Return a figure's value, limit, share and word."""
    binding = " [the rule of your place]" if figure.binding else ""
    return figure.said.removesuffix(f" ({figure.basis})") + binding


def number_words(value: float | str) -> str:
    """Return an input's value, a number to four digits.

    >>> number_words(23.0), number_words(-0.5), number_words("not known")
    ('23', '-0.5', 'not known')
    """
    if isinstance(value, str):
        return value
    return f"-{digits_up(-value, 4)}" if value < 0.0 else digits_up(value, 4)


def input_words(given: Sourced) -> str:
    """Return an input with its unit and kind."""
    return f"{given.name} {number_words(given.value)} {given.unit} ({given.kind})"


def trust_words() -> str:
    """Return what the trust letters mean."""
    return " ".join(f"Trust {letter}: {meaning}." for letter, meaning in TRUST.items())


def open_words(waiting: Sequence[Caution]) -> str:
    """Return which stops nobody has signed for, on the ground they have now; empty where none waits.

    >>> open_words([])
    ''
    """
    if not waiting:
        return ""
    ids = wording.listed(caution.id for caution in waiting)
    return f"{wording.sentence(wording.counted(len(waiting), 'stop'))[:-1]} not signed for: {ids}."


def counts_words(cautions: Sequence[Caution]) -> str:
    """Return how many cautions of each severity there are, and what a short list does not mean."""
    counts = [f"{sum(c.severity == severity for c in cautions)} {severity}" for severity in SEVERITIES]
    return f"{wording.counted(len(cautions), 'caution').capitalize()}: {', '.join(counts)}. {NOT_CLEARED}"


def by_severity(cautions: Iterable[Caution]) -> tuple[tuple[str, tuple[Caution, ...]], ...]:
    """Return the cautions under a heading for each severity that has any, worst first."""
    held = tuple(cautions)
    found = ((f"{severity.upper()}: {meaning}", tuple(c for c in held if c.severity == severity))
             for severity, meaning in SEVERITIES.items())
    return tuple((head, group) for head, group in found if group)
