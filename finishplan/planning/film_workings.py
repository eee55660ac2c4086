"""How the film of a zone comes about, from its readings to the film to spend, and the depth of each defect."""

from __future__ import annotations

from finishplan import wording
from finishplan.planning.problem import depth_span_um
from finishplan.planning.result import DefectPlan
from finishplan.planning.worked_number import METHOD_SOURCE, SURVEYED, Case, Working, figure, num, summed
from finishplan.reference import Sourced
from finishplan.survey.defects import KINDS
from finishplan.survey.film import METHODS, tolerance_factor

LIMIT_SOURCE = "one-sided normal tolerance limit, NIST/SEMATECH e-Handbook 7.2.6.3"


def film_workings(case: Case) -> list[Working]:
    """Return the mean, the usual spread, the gauge's error, the film we count on, keep and film to spend."""
    film, policy, zone = case.zone.film, case.policy, case.zone
    values, methods = film_inputs(case)
    mean = Working("film, mean", film.mean_um, "um", "sum of the readings over their number",
                   f"{summed([float(v.value) for v in values])}/{film.n}", tuple(values))
    worst = max(methods, key=lambda m: METHODS[m].bias_um + METHODS[m].bias_share * film.mean_um)
    method = METHODS[worst]
    error = Working(
        "what the reading may be too high by", film.bias_um, "um", "fixed part + share of the mean",
        f"{num(method.bias_um)} + {num(method.bias_share)} x {num(film.mean_um)}",
        (Sourced(f"{worst}, fixed part", method.bias_um, "um", method.source_kind, METHOD_SOURCE),
         Sourced(f"{worst}, share", method.bias_share, "of the mean", method.source_kind, METHOD_SOURCE)))
    nu = policy.prior_worth + film.n - 1
    keep_kind = figure(policy, "keep", f"leave at least: {case.job.build}, {zone.zone.kind}", zone.keep_um)
    keep = Working("leave at least", zone.keep_um, "um", "by build and place, as our shop's policy has it", "",
                   (keep_kind,))
    spare = Working("film to spend", zone.spare_um, "um", "film we count on - leave at least",
                    f"{num(film.low_um)} - {num(zone.keep_um)}", ())
    if nu <= 0:
        low = Working("film we count on", film.low_um, "um",
                      "one reading without a usual spread says nothing: nothing is counted on", "", ())
        return [mean, error, low, keep, spare]
    return [mean, spread_working(case, nu), error, low_working(case, nu), keep, spare]


def film_inputs(case: Case) -> tuple[list[Sourced], list[str]]:
    """Return the readings, or the guess that stands for them, and the methods used."""
    zone, policy = case.zone.zone, case.policy
    if zone.readings:
        found = [Sourced(f"reading {k} ({r.method})", r.um, "um",
                         "assumed" if r.method == "estimate" else "measured here", SURVEYED)
                 for k, r in enumerate(zone.readings, start=1)]
        return found, [r.method for r in zone.readings]
    if zone.film_estimate_um is not None:
        return [Sourced("film, guessed in the survey", zone.film_estimate_um, "um", "assumed", SURVEYED)], ["estimate"]
    usual = figure(policy, "default_film_um", "usual film, as nobody has read here", case.zone.film.mean_um)
    return [usual], ["estimate"]


def spread_working(case: Case, nu: float) -> Working:
    """Return the spread of film within the zone: the readings' own, pooled with the usual one."""
    film, policy = case.zone.film, case.policy
    usual = f"{num(policy.prior_worth)} x ({num(policy.prior_share)} x {num(film.mean_um)})^2"
    return Working(
        "spread of film here", film.spread_um, "um",
        "root of: (usual spread squared x readings it is worth + spread of the readings squared x (number - 1)) "
        "over their sum",
        f"(({usual} + {film.n - 1} x {num(film.sample_sd_um)}^2)/{num(nu)})^0.5",
        (figure(policy, "prior_share", "usual spread"), figure(policy, "prior_worth", "readings it is worth"),
         Sourced("spread of these readings", film.sample_sd_um, "um", "measured here", SURVEYED)))


def low_working(case: Case, nu: float) -> Working:
    """Return the film we count on."""
    film, policy = case.zone.film, case.policy
    factor = tolerance_factor(film.n, nu, policy.coverage, policy.confidence)
    worked = f"{num(film.mean_um)} - {num(factor)} x {num(film.spread_um)} - {num(film.bias_um)}"
    return Working(
        "film we count on", film.low_um, "um", "mean - tolerance factor x spread - what the reading may be too high by",
        worked if film.low_um > 0 else f"the more of 0 and {worked}",
        (Sourced("tolerance factor", factor, "times", "published", LIMIT_SOURCE),
         figure(policy, "coverage", "share of the zone that has it"),
         figure(policy, "confidence", "how sure of that share")))


def depth_workings(case: Case) -> list[Working]:
    """Return the planning depth of every defect that has one."""
    return [depth_working(case, k, defect) for k, defect in enumerate(case.done.defects)
            if defect.planning_depth_um is not None and defect.index is not None]


def depth_working(case: Case, index: int, defect: DefectPlan) -> Working:
    """Return the planning depth of one defect: as measured, or what nine in ten such defects stay under."""
    policy = case.policy
    name = wording.defect_words(defect.kind, defect.count)
    span, _ = depth_span_um(case.job, case.profile, case.panel.panel, case.zone.zone, index)
    assert span is not None and defect.planning_depth_um is not None
    kind, source = {
        "guessed from kind": (KINDS[defect.kind].source_kind, "table of defect kinds"),
        "test spot": ("measured here", "the test spot, within what was known before"),
    }.get(defect.depth_from, ("measured here", SURVEYED))
    soft = defect.asked == "soften"
    inputs = [figure(policy, "soften_share", "share that softening takes")] if soft else []
    share = f" x {num(policy.soften_share)}" if soft else ""
    if span[0] >= span[2]:
        inputs.insert(0, Sourced("depth", span[1], "um", kind, source))
        return Working(f"depth to plan for: {name}", defect.planning_depth_um, "um",
                       "as measured" + (" x share that softening takes" if soft else ""), f"{num(span[1])}{share}",
                       tuple(inputs))
    parts = [Sourced(f"{word} depth", um, "um", kind, source)
             for word, um in zip(("least", "likely", "most"), span, strict=True)]
    how_sure = figure(policy, "depth_quantile", "how sure that it is no deeper")
    then = ", then x share that softening takes" if soft else ""
    formula = (f"the depth that {num(policy.depth_quantile * 10)} in 10 such defects stay under, spread over least, "
               f"likely and most as PERT spreads it{then}")
    return Working(f"depth to plan for: {name}", defect.planning_depth_um, "um", formula, "",
                   (*parts, how_sure, *inputs))
