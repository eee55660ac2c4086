"""What a job can do to people as plain text, 80 columns: cautions worst first, each with its sum, then the card."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan.bench.columns import WIDTH, wrapped
from finishplan.paper.emergency_card import card_text
from finishplan.paper.safety_words import (
    DECIDES,
    ShownSum,
    by_severity,
    counts_words,
    input_words,
    shown_sums,
    trust_words,
)
from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.safety.cautions import Caution, other_figures, raised_cautions
from finishplan.safety.day_sums import DaySums, day_sums
from finishplan.safety.situation import Situation
from finishplan.safety.triggers import Raised
from finishplan.safety.worked import Worked
from finishplan.where_typed import for_files
from finishplan.workup import Answer

PAGE_BREAK = "\f"
STOP = "stop"
SIGN_HEAD = ("Before the step is opened, somebody signs for each stop: what was done about it, who, when. "
             "A trainee's line is signed by the finisher as well.")


def safety_text(answer: Answer) -> str:
    """Return the cautions of a job with their sums, a strip to sign, and on a page of its own the card.

    Raises UnknownName, UnknownKey and BadValue for a limit of the shop's file that cannot be used.
    """
    situation = Situation(answer.job, answer.plan, answer.profile)
    sums = day_sums(situation)
    cautions = raised_cautions(Raised(situation, sums))
    lines = head(answer.plan.title, cautions, sums)
    shown: dict[tuple[Worked, ...], str] = {}
    for title, group in by_severity(cautions):
        lines += ["", *wrapped(title), "-" * WIDTH]
        for caution in group:
            lines += caution_lines(caution, shown)
    lines += other_lines(other_figures(cautions, sums))
    lines += sign_lines([caution for caution in cautions if caution.severity == STOP])
    return "\n".join(line.rstrip() for line in lines) + "\n" + PAGE_BREAK + card_text()


def head(title: str, cautions: Sequence[Caution], sums: DaySums) -> list[str]:
    """Return title, what comes first, how many cautions there are, and what the sums rest on."""
    lines = ["=" * WIDTH, *wrapped(f"SAFETY: {title}"), "=" * WIDTH, *wrapped(LOCAL_FIRST),
             *wrapped(counts_words(cautions))]
    for note in sums.notes:
        lines += wrapped(for_files(note), first="- ")
    return [*lines, *wrapped(trust_words(), first="- ")]


def caution_lines(caution: Caution, shown: dict[tuple[Worked, ...], str]) -> list[str]:
    """Return one caution: words, why it is here, what to check, its sum; a sum already printed is named."""
    lines = ["", *wrapped(f"{caution.hazard}", first=f"{caution.id}  "), *wrapped(caution.text, first="    ")]
    for note in caution.notes:
        lines += wrapped(note, first="    ! ")
    lines += labelled("Here because", caution.here_because)
    if caution.check_locally:
        lines += labelled("Check where you work", caution.check_locally)
    lines += labelled("From", f"{caution.source} (trust {caution.trust})")
    if not caution.figures:
        return lines + (labelled("Sum", f"{caution.sum}: {caution.without_figure}") if caution.without_figure else [])
    if caution.figures in shown:
        return lines + labelled("Sum", f"the same as under {shown[caution.figures]}")
    shown[caution.figures] = caution.id
    return lines + sum_lines(caution.figures)


def labelled(label: str, text: str) -> list[str]:
    """Return a labelled line, set in under its caution."""
    return wrapped(text, first=f"    {label}: ", rest=" " * 8)


def sum_lines(figures: Sequence[Worked]) -> list[str]:
    """Return figures sum by sum: a line a result, then what they share, said once."""
    return [line for shown in shown_sums(figures) for line in one_sum(shown)]


def one_sum(shown: ShownSum) -> list[str]:
    """Return one sum: values, limits and words, then formula, inputs, remarks."""
    lines = wrapped(shown.name, first="    Sum: ", rest=" " * 8)
    for result in shown.results:
        lines += wrapped(for_files(result.words), first="      * " if result.decides else "      - ", rest=" " * 8)
        for remark in result.remarks:
            lines += wrapped(for_files(remark), first=" " * 10)
    if shown.some_beside:
        lines += wrapped(DECIDES, first=" " * 8)
    lines += wrapped(shown.formula, first="        by ")
    lines += wrapped("; ".join(map(input_words, shown.inputs)) or "nothing is given", first="        from ")
    for limit in shown.limits:
        lines += wrapped(limit, first="        ", rest=" " * 8)
    for remark in shown.remarks:
        lines += wrapped(for_files(remark), first="        ! ")
    return lines


def other_lines(figures: Sequence[Worked]) -> list[str]:
    """Return the sums that raise no caution."""
    if not figures:
        return []
    lines = ["", *wrapped("OTHER SUMS OF THIS JOB: no caution rests on them"), "-" * WIDTH]
    return lines + sum_lines(figures)


def sign_lines(stops: Sequence[Caution]) -> list[str]:
    """Return a strip to sign for every stop."""
    if not stops:
        return []
    lines = ["", "TO SIGN", "-" * WIDTH, *wrapped(SIGN_HEAD), "revision of the job ______"]
    return lines + [f"[ ] {c.id:<4}done about it ________________________ name ____________ date ________"
                    for c in stops]
