"""Who is briefed when: follows from the duties, and is worked out here alone."""

from __future__ import annotations

from collections.abc import Sequence

from planner.job.duties import BRIEFING
from planner.job.job import Job
from planner.plan.model import DutySpell, Plan


def with_briefings(
    job: Job, plan: Plan, held: Sequence[DutySpell] = (), *, since_min: int | None = None
) -> Plan:
    """The plan with everybody's briefings: where a pin has them, else right before the first duty of each of
    his stretches on site; on a day with one briefing for the whole crew, with the first of them.

    Those who begin together are briefed together, later comers when they join. Briefings that the plan has
    are worked out anew, so that it may be done again.

    Parameters
    ----------
    held
        Briefings that were held: who had one in a stretch needs no other there.
    since_min
        What began before is past: who was not at a crew's briefing then is briefed when he joins.
    """
    duties = [s for s in plan.duties if s.duty != BRIEFING]
    firsts: dict[str, list[int]] = {}
    for person in job.people:
        starts = sorted(s.start_min for s in duties if s.person == person.name)
        for stretch in job.on_site[person.name] if starts else ():
            inside = [at for at in starts if stretch.start_min <= at < stretch.end_min]
            if inside and job.briefing_min(person, stretch.start_min):
                firsts.setdefault(person.name, []).append(inside[0])
    calls = job.calls(firsts)
    for one in held:
        day = job.working_day_of(one.start_min)
        if day in calls:
            calls[day] = min(calls[day], one.start_min)
    calls = {day: at for day, at in calls.items() if since_min is None or at >= since_min}
    briefed = list(held)
    for name, own in firsts.items():
        person = job.person(name)
        for first in own:
            asked = job.briefing_min(person, first)
            at = job.briefed_from_min(person, first, calls)
            stretch = next(s for s in job.on_site[name] if s.start_min <= first < s.end_min)
            had = (h for h in held if h.person == name and h.end_min - h.start_min >= asked)
            if not any(stretch.start_min <= h.start_min and h.end_min <= first for h in had):
                briefed.append(
                    DutySpell(person=name, duty=BRIEFING, start_min=at, end_min=at + asked, item="")
                )
    if not briefed:
        return plan if len(duties) == len(plan.duties) else plan.replace(duties=tuple(duties))
    in_order = sorted([*briefed, *duties], key=lambda d: (d.start_min, d.dive or "", d.duty, d.person))
    return plan.replace(duties=tuple(in_order))
