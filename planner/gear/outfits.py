"""Outfits: matched sets, what keeps one out of the water, whom and what it fits, its day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.job import DiveItem, Gear, Job, Outfit, OutfitState, Person
from planner.job.duties import DRESSED_DUTIES, STANDBY
from planner.job.units import LENGTH, UnitSystem
from planner.plan.model import Plan
from planner.words.measures import down_and_out_words, length_words, own_length_words


def _numbers(outfit: Outfit) -> str:
    parts = (
        ("helmet", outfit.helmet_no),
        ("breastplate", outfit.breastplate_no),
        ("straps", outfit.straps_no),
    )
    return ", ".join(f"{part} {number or 'blank'}" for part, number in parts)


def why_not_ready(outfit: Outfit, day: date | None = None) -> str | None:
    """Why an outfit stays out of the plan; None when it is ready.

    Parameters
    ----------
    day
        Day on which it is to be worn; None leaves dates aside.
    """
    if not outfit.numbers_agree:
        return f"a mixed set: {_numbers(outfit)}"
    if outfit.state is not OutfitState.READY:
        told = [str(outfit.state)]
        told += [outfit.state_note] if outfit.state_note else []
        said = " ".join(
            part for part in (outfit.state_by, str(outfit.state_on) if outfit.state_on else "") if part
        )
        return ", ".join(told) + (f" (said by {said})" if outfit.state_by else "")
    if day is not None and outfit.inspection_due is not None and outfit.inspection_due < day:
        return f"its inspection fell due on {outfit.inspection_due}"
    return None


def least_length_ft(item: DiveItem) -> int:
    """Hose and lifeline that the item asks for: down to the depth, then out to the work, ft.

    The two legs are added (not the straight line between), since a hose hangs and is led: common practice.
    """
    return item.depth_fsw + item.reach_ft


def _fit(size: str) -> str:
    return size.strip().casefold()


def wrong_size(outfit: Outfit, person: Person) -> str | None:
    """Why the sizes do not go together; None when they do or one of them is not given."""
    if not outfit.size or not person.outfit_size or _fit(outfit.size) == _fit(person.outfit_size):
        return None
    return f"{outfit.name} is size {outfit.size}, {person.name} wears {person.outfit_size}"


def too_short(outfit: Outfit, item: DiveItem, units: UnitSystem = UnitSystem.FEET) -> str | None:
    """Why umbilical or lifeline does not reach the work, in the job's units; None when they do. A length of 0
    is not known."""
    needed = least_length_ft(item)
    for what in ("umbilical", "lifeline"):
        field = f"{what}_length_ft"
        if 0 < getattr(outfit, field) < needed:
            return (
                f"{outfit.name}: {what} of {own_length_words(outfit, units, field)}, {item.name} needs "
                f"{length_words(needed, units, needed=True)} "
                f"({down_and_out_words(item, item.depth_fsw, units)})"
            )
    return None


def reaches_hazard(outfit: Outfit, hazard_ft: int | None, units: UnitSystem = UnitSystem.FEET) -> str | None:
    """Why an umbilical would let its diver reach an intake or propeller; None when it is shorter than the
    way there, or there is none. A length of 0 is not known: it is for a person to check."""
    if hazard_ft is None or outfit.umbilical_length_ft < hazard_ft:
        return None
    return (
        f"{outfit.name}: umbilical of {own_length_words(outfit, units, 'umbilical_length_ft')}, the "
        f"hazard is {LENGTH.typed(hazard_ft, units):,g} {LENGTH.unit(units)} from the station"
    )


def outfit_fits(
    outfit: Outfit,
    item: DiveItem,
    person: Person | None = None,
    day: date | None = None,
    hazard_ft: int | None = None,
    units: UnitSystem = UnitSystem.FEET,
) -> str | None:
    """Why this outfit cannot be worn on this item by this person; None when it can.

    Sizes count only where both outfit and person have one; a length of 0 is not known and not judged.
    ``hazard_ft`` is the distance to the nearest hazard that no hose of the item may reach.
    """
    if outfit.kind is not item.gear:
        return f"{outfit.name} is {outfit.kind}, {item.name} asks for {item.gear}"
    reason = why_not_ready(outfit, day)
    if reason is not None:
        return f"{outfit.name}: {reason}"
    size = None if person is None else wrong_size(outfit, person)
    return size or too_short(outfit, item, units) or reaches_hazard(outfit, hazard_ft, units)


@dataclass(frozen=True)
class OutfitUse:
    """One wearing of an outfit in a plan, job minutes; ``free_min`` is after its turnaround."""

    dive: str
    person: str
    standby: bool
    start_min: int
    end_min: int
    free_min: int


@dataclass(frozen=True)
class OutfitDay:
    """An outfit on a day: its set, whether it is ready, and what the plan does with it."""

    outfit: Outfit
    """The outfit."""
    not_ready: str | None
    """Why it stays out; None when ready."""
    uses: tuple[OutfitUse, ...]
    """Its wearings, in order."""

    @property
    def set_numbers(self) -> str:
        """The numbers of the set in words."""
        if self.outfit.kind is Gear.LIGHT:
            return f"helmet {self.outfit.helmet_no or 'blank'}"
        if self.outfit.numbers_agree:
            return f"{self.outfit.helmet_no} on helmet, breastplate and straps"
        return _numbers(self.outfit)


def outfit_days(job: Job, plan: Plan | None = None) -> tuple[OutfitDay, ...]:
    """Every outfit of a job with its state on the job's first day and its uses."""
    return tuple(
        OutfitDay(o, why_not_ready(o, job.site.first_day), () if plan is None else _uses(o, plan))
        for o in job.outfits
    )


def _uses(outfit: Outfit, plan: Plan) -> tuple[OutfitUse, ...]:
    uses = []
    for spell in plan.duties:
        if spell.outfit != outfit.name or spell.duty not in DRESSED_DUTIES:
            continue
        standby = spell.duty == STANDBY
        # A standby's outfit has not been in the water: it needs no turnaround.
        free = spell.end_min + (0 if standby else outfit.turnaround_min)
        uses.append(OutfitUse(spell.dive or "", spell.person, standby, spell.start_min, spell.end_min, free))
    return tuple(sorted(uses, key=lambda u: (u.start_min, u.end_min)))
