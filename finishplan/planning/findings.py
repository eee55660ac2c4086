"""What a job file leaves open: gaps, odd values, and the reading to take next."""

from __future__ import annotations

from finishplan import reference, wording
from finishplan.planning.result import Plan, ZonePlan
from finishplan.shop.profile import Profile
from finishplan.survey.film import Film, gain_of_readings
from finishplan.survey.job import Job, Panel

ODD_AREA_FACTOR = 2.0
"""An area this many times over or under the table's is asked about."""


def findings(job: Job, plan: Plan, profile: Profile) -> tuple[str, ...]:
    """Return what is missing or odd in a job, in walking order, the job's own first."""
    found = []
    if job.finish_id.result != "polyester":
        found.append(f"finish: {job.finish_id.result}; identify it on a hidden spot before anything else")
    if job.build == "unknown":
        found.append("build: unknown; as long as it is, more film must stay")
    if job.instrument.year is None:
        found.append("instrument: year unknown; an old finish may hold lead")
    if job.site.room_m3 is None:
        found.append("site: room_m3 is not given; without it no air sum can be made")
    for panel, planned in zip(job.panels, plan.panels, strict=True):
        found += panel_findings(panel)
        for zone in planned.zones:
            found += zone_findings(planned.name, zone, profile)
    return tuple(found)


def panel_findings(panel: Panel) -> list[str]:
    """Return what is odd about one panel."""
    found = []
    offered = {row["part"]: float(row["area_m2"]) for row in reference.rows("part_areas")}
    area = sum(zone.area_m2 for zone in panel.zones)
    usual = offered.get(panel.part or "")
    if usual and not usual / ODD_AREA_FACTOR <= area <= usual * ODD_AREA_FACTOR:
        found.append(
            f"{panel.name}: {wording.area_words(area)} m2 in all; the table has {wording.area_words(usual)} for"
            f" {panel.part}: measure again"
        )
    spotted = any(d.at is not None for z in panel.zones for d in z.defects)
    if spotted and panel.size_m is None:
        found.append(
            f"{panel.name}: defects have a place but the panel no size_m; distances to the edge are not looked at"
        )
    return found


def zone_findings(panel: str, zone: ZonePlan, profile: Profile) -> list[str]:
    """Return what is missing or odd in one zone."""
    at = f"{panel}, {zone.name}"
    found = []
    if zone.readings == 0:
        found.append(f"{at}: no reading; film is {wording.film_from_words(zone.film_from, 0)}")
    elif zone.readings < profile.policy.min_readings:
        found.append(f"{at}: {wording.counted(zone.readings, 'reading')}; {profile.policy.min_readings} are the least")
    if zone.suspect_readings:
        found.append(f"{at}: a reading may be a surface echo; read again beside it")
    for defect in zone.defects:
        name = wording.defect_words(defect.kind, defect.count)
        if defect.depth_from == "guessed from kind" and defect.repair not in ("leave", "clean"):
            found.append(f"{at}: {name}: depth guessed from kind; a test spot or a measured depth settles it")
        if defect.repair == "fill" and defect.fill_volume_cm3 is None:
            found.append(f"{at}: {name}: no size for the fill; give length_mm and width_mm, or missing_ml")
    return found


def next_reading(plan: Plan, profile: Profile) -> str | None:
    """Return where the next reading helps most and what it buys, or None where none would.

    A suspect reading comes first, then zones that must be measured, then the zone whose counted film
    rises most if three more readings come out like those so far.
    """
    zones = [(panel.name, zone) for panel in plan.panels for zone in panel.zones]
    for name, zone in zones:
        if zone.suspect_readings and zone.verdict == "measure first":
            return f"{name}, {zone.name}: read twice beside the suspect reading first"
    waiting = [(name, zone) for name, zone in zones if zone.verdict == "measure first"]
    unread = [(name, zone) for name, zone in waiting if zone.readings == 0]
    if unread:
        return f"{unread[0][0]}, {unread[0][1].name}: no reading yet; take three within 15 cm"
    gains = [(gain_um(zone, profile, 3), name, zone) for name, zone in waiting or zones]
    if not gains:
        return None
    gain, name, zone = max(gains, key=lambda g: g[0])
    if gain < 1.0:
        return None
    return f"{name}, {zone.name}: three more readings, about +{wording.film_words(gain)} um to count on"


def gain_um(zone: ZonePlan, profile: Profile, more: int) -> float:
    """Return what ``more`` readings like those so far would free in a zone [um]."""
    policy = profile.policy
    if zone.film_from != "readings":
        return 0.0
    spread = spread_of(zone, profile)
    film = Film(zone.readings, zone.film_mean_um, spread, zone.bias_um, zone.film_low_um, zone.film_perfect_um)
    return gain_of_readings(
        film,
        more,
        coverage=policy.coverage,
        confidence=policy.confidence,
        prior_share=policy.prior_share,
        prior_worth=policy.prior_worth,
    )


def spread_of(zone: ZonePlan, profile: Profile) -> float:
    """Return the pooled spread [um] behind a zone's film."""
    from finishplan.survey.film import z_of

    return (zone.film_mean_um - zone.film_perfect_um) / z_of(profile.policy.coverage)
