"""Short ways to write the parts that the sample jobs share."""

from __future__ import annotations

from datetime import date

from planner.job import Certificate, Gear, Outfit, PastDive, Person, Span, WorkSpell

#: The day that every sample plans.
DAY = date(2027, 3, 16)
MEDICAL = date(2027, 11, 30)


def at(hhmm: str, day: int = 0) -> int:
    """Job minute of a time on the job's day (0) or the days around it."""
    return day * 1440 + int(hhmm[:2]) * 60 + int(hhmm[2:])


def span(start: str, end: str) -> Span:
    """A stretch of the job's day."""
    return Span(start_min=at(start), end_min=at(end))


def worked(start: str, end: str) -> WorkSpell:
    """A stretch of work on the day before."""
    return WorkSpell(start_min=at(start, -1), end_min=at(end, -1))


def dived(depth_fsw: int, bottom_time_min: int, surfaced: str, group: str | None = None) -> PastDive:
    """A dive of the day before."""
    return PastDive(
        depth_fsw=depth_fsw,
        bottom_time_min=bottom_time_min,
        surfaced_min=at(surfaced, -1),
        group_after=group,
    )


def diver(
    name: str, rating_fsw: int, *certificates: str, more: tuple[str, ...] = ("tender",), **facts: object
) -> Person:
    """A diver who tends as well, with certificates that run past the job."""
    return Person.model_validate(
        {
            "name": name,
            "duties": frozenset({"diver", *more}),
            "depth_rating_fsw": rating_fsw,
            "medical_expires": MEDICAL,
            "certificates": [Certificate(name=c, expires=date(2028, 6, 30)) for c in certificates],
            "pay_class": "D2",
            **facts,
        }
    )


def hand(name: str, *duties: str, **facts: object) -> Person:
    """One who does not dive."""
    return Person.model_validate({"name": name, "duties": frozenset(duties), "pay_class": "T1", **facts})


def heavy(number: str, hose_ft: int, **facts: object) -> Outfit:
    """A heavy outfit whose parts carry one number."""
    return Outfit.model_validate(
        {
            "name": f"Heavy {number}",
            "kind": Gear.HEAVY,
            "helmet_no": number,
            "breastplate_no": number,
            "straps_no": number,
            **_serviced(number, hose_ft),
            **facts,
        }
    )


def light(number: str, hose_ft: int, **facts: object) -> Outfit:
    """A light helmet with its hose."""
    return Outfit.model_validate(
        {
            "name": f"Light {number}",
            "kind": Gear.LIGHT,
            "helmet_no": number,
            "bailout_no": f"B{number}",
            "bailout_cuft": 0.4,
            "bailout_working_psi": 3000,
            "bailout_psi": 2800,
            **_serviced(number, hose_ft),
            **facts,
        }
    )


def _serviced(number: str, hose_ft: int) -> dict[str, object]:
    return {
        "inspected_on": date(2027, 3, 1),
        "inspection_due": date(2027, 6, 1),
        "umbilical_length_ft": hose_ft,
        "hose_no": f"H{number}",
        "hose_tested_on": date(2026, 9, 2),
        "hose_working_psi": 300,
        "hose_test_psi": 450,
        "lifeline_no": f"L{number}",
        "lifeline_length_ft": hose_ft,
    }
