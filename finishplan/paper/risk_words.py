"""How sure a plan is, in words: chances as "1 in 200", hours and cost that jobs stay under, services left."""

from __future__ import annotations

from finishplan import wording
from finishplan.planning.next_reading import reading_words
from finishplan.planning.risk_result import Chance, Levels, Risk, ServicesLeft, ZoneRisk

ZONE_HEADS = ("panel and zone", "under the film to leave", "with stops", "sanding through", "with stops",
              "services in it")
ZONE_CAPTION = ("With stops: the marked spot is read as the first grade comes down, and the hand stops at the least "
                "reading. Services: how many like this one the film holds before and after. A dash: nothing is taken.")
LEVEL_HEADS = ("", "planned", "half", "4 in 5", "9 in 10")
LEVEL_CAPTION = "What half, 4 in 5 and 9 in 10 of such jobs stay under. A safe price rests on 4 in 5."
HOURS = "time"
"""What the simulated hours are of: all lines of the labour table."""
MOST_READINGS = 3


def share_words(found: Chance, draws: int) -> str:
    """Return a chance as "1 in 200"; one that hardly a draw has as under so much."""
    return wording.chance_words(found.chance, draws)


def spread_words(found: Chance, draws: int) -> str:
    """Return a chance with how far the number of draws leaves it open: one standard error either way.

    >>> spread_words(Chance(0.02, 0.001), 20_000)
    '1 in 50 (1 in 47 to 1 in 52)'
    """
    said = share_words(found, draws)
    if found.standard_error <= 0 or said.startswith("under"):
        return said
    high, low = (wording.chance_words(found.chance + sign * found.standard_error) for sign in (1, -1))
    return said if high == low else f"{said} ({high} to {low})"


def risk_line(risk: Risk) -> str:
    """Return the chances of the whole job in one sentence."""
    return (f"Sanding through anywhere: {spread_words(risk.any_sand_through, risk.draws)}. Going under the film to "
            f"leave anywhere: {spread_words(risk.any_under_keep, risk.draws)}.")


def zone_row(zone: ZoneRisk, draws: int) -> tuple[str, ...]:
    """Return one zone's chances as a row."""
    chances = (zone.under_keep, zone.under_keep_with_stops, zone.sand_through, zone.sand_through_with_stops)
    shown = [spread_words(found, draws) if zone.worked else wording.DASH for found in chances]
    return (f"{zone.panel}, {zone.zone}", *shown, services_words(zone.services))


def services_words(services: ServicesLeft | None) -> str:
    """Return how many services the film holds before and after, from 1 in 10 to 9 in 10.

    >>> services_words(ServicesLeft((2, 3), (1, 1)))
    '2 to 3, then 1'
    """
    if services is None:
        return wording.DASH
    before, after = (f"{low}" if low == high else f"{low} to {high}" for low, high in (services.before, services.after))
    return f"{before}, then {after}"


def hours_row(found: Levels) -> tuple[str, ...]:
    """Return the hours as a row: planned, and what jobs stay under."""
    shown = (found.planned, found.one_in_two, found.four_in_five, found.nine_in_ten)
    return (HOURS, *(wording.minutes_words(minutes) for minutes in shown))


def cost_row(found: Levels, currency: str) -> tuple[str, ...]:
    """Return labour at the shop's rates as a row, in whole units of its currency, rounded up."""
    shown = (found.planned, found.one_in_two, found.four_in_five, found.nine_in_ten)
    unit = f", {currency}" if currency else ""
    return (f"labour{unit}", *(wording.least_words(cost) for cost in shown))


def basis_words(risk: Risk) -> str:
    """Return what the numbers come from: draws, seed, the spreads, and whether a test spot narrows the time."""
    tested = "a test spot has narrowed the time" if risk.tested else "no test spot yet narrows the time"
    return (f"Simulated: {risk.draws:,} draws, seed {risk.seed}, the same every time. The spreads are assumed; "
            f"{tested}. In brackets: one standard error either way.")


def readings_words(risk: Risk) -> tuple[str, ...]:
    """Return the readings worth taking next, the most worth a minute first."""
    found = tuple(reading_words(reading) for reading in risk.next_readings[:MOST_READINGS])
    return found or ("No further reading would change what is planned.",)
