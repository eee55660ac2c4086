"""All sums of one job's day in one place, with what has to be said of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from finishplan.safety.air_figures import Law, Workroom, shared_figures
from finishplan.safety.day_air import Air, air_of
from finishplan.safety.day_body import day_note, noise_of_day, vibration_of_day
from finishplan.safety.day_handling import dust_of_job, lid_of_job, wheel_of_job
from finishplan.safety.place import law_note, law_of
from finishplan.safety.situation import Situation
from finishplan.safety.worked import Worked
from finishplan.where_typed import ROOM
from finishplan.wording import listed

ROOM_MISSING = (
    f"Room unknown: the air sums have no number. Type in the room's volume ({ROOM}); until then only the sums that "
    "need no room are worked out. No number is no sign that the air is good."
)


@dataclass(frozen=True)
class DaySums:
    """Every figure that a job's plan gives, by what it is about."""

    law: Law
    air: Air
    shared: tuple[Worked, ...]
    noise: tuple[Worked, ...]
    vibration: tuple[Worked, ...]
    dust: tuple[Worked, ...]
    lid: tuple[Worked, ...]
    wheel: tuple[Worked, ...]
    notes: tuple[str, ...]

    @property
    def room(self) -> Workroom:
        """The room of the air sums."""
        return self.air.room

    @property
    def figures(self) -> tuple[Worked, ...]:
        """All figures, the air first."""
        air = self.air
        return (*air.solvents, *air.resin, *self.shared, *air.fire, *air.resin_fire, *air.masks, *self.noise,
                *self.vibration, *self.dust, *self.lid, *self.wheel)

    @property
    def lex_dba(self) -> float | None:
        """LEX,8h of the day [dB(A)], makers' levels with 10 dB on top; None where no powered tool is used."""
        return max((f.value for f in self.noise if "LEX,8h" in f.what and f.value is not None), default=None)

    @property
    def osha_dose_percent(self) -> float:
        """OSHA dose of the day [%], makers' levels with 10 dB on top."""
        return max((f.value for f in self.noise if "OSHA" in f.what and f.value is not None), default=0.0)

    @property
    def a8_m_per_s2(self) -> float:
        """A(8) of the day [m/s2], the likely line; 0 where no tool with a figure is held."""
        return max((f.value for f in self.vibration if f.decides and f.value is not None), default=0.0)


def day_sums(situation: Situation) -> DaySums:
    """Return every sum of a job's day, from its plan and the shop.

    All of the job's solvents and fills are taken to be used on one day, and all its tool minutes to be one
    person's: upper values. Raises the errors of ``place.law_of`` for a bad limit typed in by the shop.
    """
    law = law_of(situation.profile.file)
    air = air_of(situation, law)
    notes = [law_note(situation.profile.file)]
    if air.room.room_m3 is None and (air.solvents or air.resin):
        notes.append(ROOM_MISSING)
    if air.solvents or air.resin:
        notes.append("Air: all solvents and fills of the job taken as used on one day (assumed).")
    notes += [note for note in (wiped_note(situation), day_note(situation)) if note]
    return DaySums(
        law, air, shared_figures((*air.solvents, *air.resin)), noise_of_day(situation, law.place),
        vibration_of_day(situation), dust_of_job(situation, air.room, law), lid_of_job(situation),
        wheel_of_job(situation), tuple(notes),
    )


def wiped_note(situation: Situation) -> str:
    """Return what is said of solvents whose amount nobody typed; empty where all were typed."""
    names = [used.name for used in situation.solvents if used.wipes]
    if not names:
        return ""
    return (f"No millilitres are typed for {listed(names)}: every wipe of the plan is taken at "
            f"{situation.profile.policy.wipe_ml_per_m2:g} ml/m2 (assumed).")


def highest(figures: Iterable[Worked]) -> Worked | None:
    """Return the figure with the greatest share of its limit among those that decide; None without a share."""
    shared = [f for f in figures if f.decides and f.share is not None]
    return max(shared, key=lambda f: f.share or 0.0, default=None)


def share_of(figures: Iterable[Worked]) -> float:
    """Return the greatest share of a limit among the figures that decide; 0 without one."""
    found = highest(figures)
    return 0.0 if found is None else found.share or 0.0
