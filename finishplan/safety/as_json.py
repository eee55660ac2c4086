"""Cautions and sums as plain data for JSON: numbers unrounded, each with its inputs, limit and words."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from finishplan.safety.card import emergency_card
from finishplan.safety.cautions import SEVERITIES, Caution, other_figures, raised_cautions
from finishplan.safety.day_sums import day_sums
from finishplan.safety.situation import Situation
from finishplan.safety.tables import TRUST
from finishplan.safety.triggers import Raised
from finishplan.safety.worked import Worked
from finishplan.where_typed import for_files

SAFETY_FORMAT = "finishplan-safety"
SAFETY_VERSION = 1
LOCAL_FIRST = (
    "Local rules come first: the safety data sheet and label of each product, the law of the place and the people "
    "licensed or qualified for a job. Where they ask for more, do more."
)
"""What stands over every list of cautions."""


def figure_json(figure: Worked) -> dict[str, Any]:
    """Return one figure of one sum as plain data."""
    return {
        "sum": figure.sum, "what": figure.what, "about": figure.about, "span": figure.span,
        "value": figure.value, "unit": figure.unit, "no_number": for_files(figure.no_number) or None,
        "limit": None if figure.limit is None else asdict(figure.limit), "no_limit": figure.no_limit or None,
        "share": figure.share, "word": figure.band, "decides": figure.decides, "binding": figure.binding,
        "formula": figure.formula,
        "inputs": [{"name": i.name, "value": i.value, "unit": i.unit, "kind": i.kind, "source": for_files(i.source)}
                   for i in figure.inputs],
        "notes": [for_files(note) for note in figure.notes],
        "warnings": [for_files(warning) for warning in figure.warnings], "not_claimed": figure.not_claimed,
        "basis": figure.basis, "said": for_files(figure.said),
    }


def caution_json(caution: Caution) -> dict[str, Any]:
    """Return one caution as plain data, with its figures."""
    return {
        "id": caution.id, "hazard": caution.hazard, "severity": caution.severity, "text": caution.text,
        "trigger": caution.trigger, "on_this_job": caution.on_this_job or None, "notes": list(caution.notes),
        "sum": caution.sum or None,
        "without_figure": caution.without_figure or None, "check_locally": caution.check_locally,
        "source": caution.source, "trust": caution.trust, "figures": [figure_json(f) for f in caution.figures],
    }


def safety_json(situation: Situation) -> dict[str, Any]:
    """Return all that is said of the dangers of a job as plain data. Raises the errors of ``cautions``."""
    sums = day_sums(situation)
    cautions = raised_cautions(Raised(situation, sums))
    return {
        "format": SAFETY_FORMAT, "version": SAFETY_VERSION, "title": situation.plan.title,
        "local_rules_first": LOCAL_FIRST, "severities": dict(SEVERITIES), "trust": dict(TRUST),
        "notes": [for_files(note) for note in sums.notes],
        "cautions": [caution_json(c) for c in cautions],
        "other_sums": [figure_json(f) for f in other_figures(cautions, sums)],
        "emergency_card": [asdict(line) for line in emergency_card()],
    }
