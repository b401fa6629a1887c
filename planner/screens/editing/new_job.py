"""A job that is being typed in, step by step: what was typed, over what holds where nothing is.

It is a desk of its own beside the open job: a bare job, and edits of its sheets as on every other page. What
comes out has gone through the workbook's own reader. Nothing of Streamlit is used in here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from typing import Any

from planner.errors import InputFaults
from planner.job import Job, UnitSystem
from planner.job.crew_rules import NEW_JOB_RULES
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.gear import Gear, Outfit
from planner.job.site import Site, Station
from planner.screens.desk import Desk
from planner.screens.editing.sheets import SHEETS, TypedRow, edited_job, own_rows, place_in_table
from planner.workbook.job_sheets import CERTIFICATES, PEOPLE, SITE

#: Columns of the two tables that are asked for; the others are blank, which has a meaning in every column.
CREW_FIELDS = ("name", "duties", "depth_rating_fsw")
DIVE_FIELDS = ("name", "depth_fsw", "bottom_work_min", "priority")

#: Outfits that a job begins with: one for the diver, one for the standby diver.
_OUTFITS = tuple(
    Outfit(name=f"Outfit {n}", kind=Gear.HEAVY, helmet_no=n, breastplate_no=n, straps_no=n) for n in "12"
)

#: Version of the desk that holds it: part of its fields' keys, which no open job's version can be.
APART = -1


def begun(first_day: date, units: UnitSystem, before: int = 0) -> Desk:
    """A new job with nothing typed yet; fields of those begun before it in the same tab say nothing of it."""
    site = Site(name="New job", first_day=first_day, time_zone="UTC", units=units)
    gear = {"stations": (Station(name="Station 1"),), "outfits": _OUTFITS}
    bare = Job.model_validate({"site": site, "people": (), "rules": NEW_JOB_RULES, **gear})
    draft = Desk("", job=bare, units=units, version=APART - before)
    draft.edits.units = units
    draft.edits.typed[SITE.name] = {"name": None, "time_zone": None}
    return draft


def bare_of(draft: Desk) -> Job:
    """What holds where nothing is typed."""
    assert draft.job is not None
    return draft.job


def show_in(draft: Desk, units: UnitSystem) -> None:
    """Show and type it in these units, which are those of the job that it becomes."""
    if draft.units is not units:
        bare = bare_of(draft)
        draft.units, draft.job = units, bare.replace(site=bare.site.replace(units=units))
        draft.edits.show_in(units, draft.job)


# ---------------------------------------------------------------------- the crew


def take_from(draft: Desk, earlier: Job, name: str) -> None:
    """Take crew, gear and rules of an earlier job, and its place where none is chosen yet.

    People come with duties, ratings and certificates; what they did before that job stays behind, and so do
    duties of its surface work, which no job knows without it, and who holds no other.
    """
    bare = bare_of(draft)
    known = ((p, p.duties & set(BUILT_IN_DUTIES)) for p in earlier.people)
    crew = tuple(p.replace(duties=duties, **_BEFORE) for p, duties in known if duties)
    draft.job = earlier.replace(site=bare.site, people=crew, **dict.fromkeys(_OF_THE_DAY, ()))
    draft.opened_from = name
    added = [row for row in _rows(draft, PEOPLE.name) if row.number is None]
    draft.edits.typed.pop(CERTIFICATES.name, None)
    draft.edits.put(PEOPLE, (*own_rows(PEOPLE, bare_of(draft)), *added))
    typed = draft.edits.typed.get(SITE.name)
    if isinstance(typed, dict) and "time_zone" in typed and typed["time_zone"] is None:
        at = ("time_zone", "latitude_deg", "longitude_deg")
        typed.update({field: getattr(earlier.site, field) for field in at})
        draft.edits.begin_anew()


#: What a person did before a job, or does at its hours only: left behind.
_BEFORE: dict[str, Any] = {
    **dict.fromkeys(("available", "past_dives", "past_work"), ()),
    **dict.fromkeys(("last_duty_end_min", "arrived_min", "briefed_until_min")),
    "past_standby_min": 0,
}

#: What of a job is of its own days.
_OF_THE_DAY = (
    "dive_items",
    "surface_items",
    "gates",
    "water_windows",
    "tide_marks",
    "pins",
    "blocks_done",
    "blocks_due",
)


def _rows(draft: Desk, sheet: str) -> tuple[TypedRow, ...]:
    """The rows of a sheet as they stand; empty ones are left out."""
    typed = draft.edits.typed.get(sheet)
    rows = typed if isinstance(typed, tuple) else own_rows(SHEETS[sheet], bare_of(draft))
    return tuple(row for row in rows if any(row.cells.values()))


def coming(draft: Desk) -> list[str]:
    """Names of the earlier job's people who come."""
    people = bare_of(draft).people
    return [people[row.number].name for row in _rows(draft, PEOPLE.name) if row.number is not None]


def have_come(draft: Desk, names: Collection[str]) -> None:
    """Have these of the earlier job's people come, with their certificates; who was added here stays."""
    bare, before = bare_of(draft), _rows(draft, PEOPLE.name)
    kept = {row.number: row for row in before}
    own = [kept.get(r.number, r) for r in own_rows(PEOPLE, bare) if r.cells["name"] in names]
    theirs = tuple(r for r in own_rows(CERTIFICATES, bare) if r.cells["person"] in names)
    draft.edits.typed[CERTIFICATES.name] = theirs
    draft.edits.put(PEOPLE, (*own, *(row for row in before if row.number is None)))


def add_rows(draft: Desk, sheet: str, rows: tuple[TypedRow, ...]) -> None:
    """Put rows below those that stand in a sheet."""
    draft.edits.put(SHEETS[sheet], (*_rows(draft, sheet), *rows))


# ---------------------------------------------------------------------- where it stands


def made(draft: Desk) -> tuple[Job | None, tuple[str, ...]]:
    """The job that stands there, and what cannot be done in it; without one, what is missing or wrong."""
    try:
        job = edited_job(bare_of(draft), draft.edits.typed, units=draft.units)
    except InputFaults as found:
        return None, tuple(dict.fromkeys(_missing(draft, found)))
    from planner.schedule.explain.reasons import standing_reasons
    from planner.schedule.problem.prepare import prepare

    problem = prepare(job)
    reasons = [(w.item.name, r) for w in problem.dives for r in standing_reasons(problem, w)]
    return job, tuple(dict.fromkeys(f"{item}: {reason.sentence}" for item, reason in reasons))


def _missing(draft: Desk, found: InputFaults) -> Iterator[str]:
    for fault in found.faults:
        sheet, row, title = place_in_table(fault)
        if sheet == SITE.name and title in ("Time zone", "Latitude"):
            yield "Choose the place."
        elif row is None or not _rows(draft, sheet):
            yield fault.sentence
        else:
            yield f"{sheet}, row {row + 1}: {fault.sentence}"


def by_default(job: Job) -> dict[str, tuple[str, str]]:
    """What holds because nothing else was said: by name, in words, and the page on which it is changed."""
    site, rules = job.site, job.rules
    outfits = ", ".join(o.name for o in job.outfits) or "none"
    longest = f"{rules.briefing_min} min of briefing"
    longest += ", one for the whole crew" if rules.one_briefing and rules.briefing_min else ""
    return {
        "Ways up": (site.policy.value, "Site and water"),
        "Dives": ("by daylight only" if site.daylight_only else "by day and night", "Site and water"),
        "Water": (f"{site.water.value}, at {site.altitude_ft} ft", "Site and water"),
        "Stations": (", ".join(s.name for s in job.stations), "Site and water"),
        "Dress": (", ".join(dict.fromkeys(i.gear.value for i in job.dive_items)) or Gear.HEAVY, "Work"),
        "Divers at a time": ("one, the work may be split over several dives", "Work"),
        "Outfits, taken as ready": (outfits, "Gear and air"),
        "Least team": (rules.preset or "the job's own rows", "Crew rules"),
        "Before the first duty": (longest, "Crew rules"),
        "Everyone on site": (f"{site.day_start:%H:%M}–{site.day_end:%H:%M}, nothing done before", "People"),
    }
