"""Issuing with the sheets: the watchbill is printed with its revision, then everything is frozen together."""

from __future__ import annotations

from io import BytesIO

from planner.job.job import Job
from planner.log import Replanned
from planner.plan import Plan
from planner.sheets.watchbill import write_watchbill
from planner.store.base import signed
from planner.store.records import IssuedLine
from planner.store.refusal import StoreRefused
from planner.store.store import Store


def issue_watchbill(
    store: Store, job: Job, plan: Plan, by: str, *, ticked: tuple[str, ...] = (), reason: str = ""
) -> IssuedLine:
    """Print and freeze a plan as the next revision; its job is saved as a version, too.

    Raises
    ------
    StoreRefused
        The plan breaks a rule, nobody signs, or somebody else issued in the meantime.
    """
    signed(by)
    revision = store.next_revision(job.site.name, job.site.first_day)
    store.save_job(job, by)
    return store.issue(
        job,
        plan,
        by,
        ticked=ticked,
        card=store.card(job.site.name),
        printed=_printed(plan, job, revision),
        reason=reason,
        revision=revision,
    )


def issue_replanned(store: Store, job: Job, found: Replanned, by: str, *, reason: str) -> IssuedLine:
    """Print and freeze a replanned day as the next revision; the earlier ones stay.

    Raises
    ------
    StoreRefused
        There is no rest, the whole day breaks a rule beyond what has happened, nobody signs, or somebody
        else issued in the meantime.
    """
    if found.rest is None:
        raise StoreRefused("There is no plan of the rest of the day to issue.")
    if found.breaches:
        raise StoreRefused(
            f"The rest of the day breaks a rule together with what has happened: "
            f"{found.breaches[0].sentence} It was not issued."
        )
    signed(by)
    revision = store.next_revision(job.site.name, job.site.first_day)
    return store.issue(
        job,
        found.whole,
        by,
        card=store.card(job.site.name),
        printed=_printed(found.whole, job, revision),
        reason=reason,
        replan_of=(found.rest_job, found.rest),
        revision=revision,
    )


def _printed(plan: Plan, job: Job, revision: int) -> bytes:
    book = BytesIO()
    write_watchbill(plan, job, book, revision=str(revision))
    return book.getvalue()
