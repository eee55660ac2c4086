"""The rules that print on every sheet: four stops, ten rules, hold points, what not to do on this part, care.

The texts stand in ``sheet_rules.csv`` with their sources; when each applies is said here, and only here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from finishplan import reference, wording
from finishplan.bench.places import Mark, names_words, never_sanded
from finishplan.errors import TableError
from finishplan.planning.result import PanelPlan
from finishplan.shop.profile import Profile

STOP_BY_BUILD = {
    "pigmented through": "colour_pigmented",
    "clear over colour": "colour_clear",
    "clear over veneer": "colour_clear",
    "unknown": "colour_unknown",
}
"""What colour in the slurry means, by build."""
OTHER_STOPS = ("patch", "hot", "reading")


@cache
def all_rules() -> dict[str, dict[str, str]]:
    """Return every text by group, then key."""
    found: dict[str, dict[str, str]] = {}
    for row in reference.rows("sheet_rules"):
        found.setdefault(row["group"], {})[row["key"]] = row["text"]
    return found


def rule(group: str, key: str) -> str:
    """Return one text; raises TableError where the table has none."""
    text = all_rules().get(group, {}).get(key)
    if text is None:
        raise TableError(f"sheet_rules.csv has no text {key!r} in group {group!r}; add a row")
    return text


def four_stops(build: str) -> tuple[str, ...]:
    """Return the four signs at which work stops; the first depends on the build."""
    return tuple(rule("stop", key) for key in (STOP_BY_BUILD[build], *OTHER_STOPS))


def four_stops_short(build: str) -> tuple[str, ...]:
    """Return the four signs in the fewest words, for a sheet whose front page has them in full."""
    return tuple(rule("stop_short", key) for key in (STOP_BY_BUILD[build], *OTHER_STOPS))


def ten_rules() -> tuple[str, ...]:
    """Return the ten rules that are never broken."""
    return tuple(all_rules()["never"].values())


def care_lines() -> tuple[str, ...]:
    """Return the lines of the care page."""
    return tuple(all_rules()["care"].values())


def what_first(verdict: str) -> str:
    """Return what has to be done before work on a zone of this verdict may be planned again."""
    return rule("first", verdict)


@dataclass(frozen=True)
class PanelFacts:
    """What decides which rules print for a panel."""

    plan: PanelPlan
    marks: tuple[Mark, ...]
    profile: Profile

    def ways(self, sheet: bool) -> set[str]:
        """Return the ways by which sheets (or compounds) are used here."""
        return {zone.way for step in self.plan.steps if step.is_sheet == sheet for zone in step.zones}

    def letters(self, repair: str) -> str:
        """Return the marks that get a repair, as they are named in a sentence."""
        return named([mark.letter for mark in self.marks if mark.repair == repair])

    @property
    def mains_on_wet(self) -> bool:
        """Whether a mains machine is planned with a wet sheet."""
        wet = {z.way for s in self.plan.steps if s.is_sheet and s.wet for z in s.zones}
        return any(self.profile.tool(way, "sheet").power in ("mains", "") for way in wet if way == "machine")

    @property
    def softened(self) -> str:
        """The marks that are softened only."""
        return named([m.letter for m in self.marks if m.asked == "soften" and m.repair not in ("leave", "refer")])


def named(letters: Sequence[str]) -> str:
    """Return letters as they are named in a sentence.

    >>> named(["a"]), named(["a", "c"])
    ('mark a', 'marks a and c')
    """
    return f"mark{'s' if len(letters) > 1 else ''} {wording.listed(letters)}" if letters else ""


def when(yes: bool) -> dict[str, str] | None:
    """Return an empty filling where a rule applies, None where it does not."""
    return {} if yes else None


def fill(name: str, words: str) -> dict[str, str] | None:
    """Return the filling of a rule that applies where there is something to name."""
    return {name: words} if words else None


NOT_HERE: dict[str, Callable[[PanelFacts], dict[str, str] | None]] = {
    "only_these": lambda f: when(True),
    "no_sheet": lambda f: fill("zones", names_words(never_sanded(f.plan))),
    "machine_edge": lambda f: when("machine" in f.ways(sheet=True)),
    "machine_wet": lambda f: when(f.mains_on_wet),
    "leave": lambda f: fill("marks", f.letters("leave")),
    "clean": lambda f: fill("marks", f.letters("clean")),
    "soften": lambda f: fill("marks", f.softened),
    "spot": lambda f: when(bool(f.letters("spot"))),
    "fill": lambda f: when(bool(f.letters("fill"))),
    "curve": lambda f: when(f.plan.face == "curved" or any(z.kind == "curve" for z in f.plan.zones)),
    "moulded": lambda f: when(f.plan.face == "moulded"),
    "upright": lambda f: when(f.plan.position == "upright" and not f.plan.off),
    "on_instrument": lambda f: when(not f.plan.off),
    "wheel": lambda f: when("wheel" in f.ways(sheet=False)),
    "satin": lambda f: when(f.plan.finish == "satin"),
    "last_service": lambda f: fill("zones", names_words(z.name for z in f.plan.zones if z.last_service)),
    "fittings": lambda f: when(True),
}
"""Which rule prints for which panel, with what is named in it."""


def not_on_this_part(facts: PanelFacts) -> tuple[str, ...]:
    """Return what not to do on a panel, in the order of this module's list."""
    found = []
    for key, test in NOT_HERE.items():
        filling = test(facts)
        if filling is not None:
            found.append(rule("not_here", key).format(**filling))
    return tuple(found)
