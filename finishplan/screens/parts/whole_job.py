"""What concerns the whole job: where the minutes go, cautions, notes."""

from __future__ import annotations

from html import escape

from finishplan import wording
from finishplan.paper import lines
from finishplan.paper.plan_terms import ROUNDED
from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.safety.cautions import Caution
from finishplan.screens.parts import contents
from finishplan.screens.parts.markup import items, p, put, table
from finishplan.workup import Answer

WORST = ("stop", "high")
"""Severities that take the whole width."""


def labour(answer: Answer) -> None:
    """Write where the minutes go, with where each figure comes from."""
    rows = [(line.what, wording.minutes_words(line.minutes), line.kind, line.note) for line in answer.labour]
    total = ("in all", wording.minutes_words(answer.labour_minutes), "", "")
    put("fp-panel", contents.head("time"),
        table(f"Time of one person. {ROUNDED}", ("for", "time", "figure is", "how it is reckoned"), rows, numbers=(1,),
              total=total))


def cautions(answer: Answer) -> None:
    """Write the cautions this job raises, worst first, under what comes before them."""
    worst = [_caution(caution) for caution in answer.cautions if caution.severity in WORST]
    rest = [_caution(caution) for caution in answer.cautions if caution.severity not in WORST]
    put("fp-panel", contents.head("cautions"), f'<div class="fp-local">{p(LOCAL_FIRST)}</div>',
        f'<div class="fp-cautions">{items(worst)}</div>' if worst else "",
        f'<div class="fp-cautions fp-less">{items(rest)}</div>' if rest else "",
        "" if worst or rest else p("This job raises none.", "quiet"))


def _caution(caution: Caution) -> str:
    small = (*caution.notes, lines.sum_words(caution), lines.check_words(caution.check_locally))
    return (f'<li class="{escape(caution.severity)}"><span class="word">{escape(caution.severity)}</span>'
            f'<div>{p(caution.text)}{"".join(p(words, "quiet small") for words in small)}</div></li>')


def notes(answer: Answer) -> None:
    """Write what is said aloud about the plan, and how it looks if suspect readings are echoes."""
    said = list(answer.notes)
    if answer.plan.if_echo is not None:
        other = lines.first_line(answer.plan.if_echo, 0)
        said.insert(0, f"If the suspect readings are surface echoes and better ones replace them: {other}")
    put("fp-panel fp-notes", contents.head("notes"), items(f"<li>{escape(note)}</li>" for note in said))
