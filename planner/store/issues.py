"""Issued watchbills: frozen with their job, the report of the check and a hash, to be printed for ever."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, insert, select

from planner.job.job import Job
from planner.plan.model import Plan
from planner.plan.plan_json import from_json, to_json
from planner.plan.unchecked import unchecked
from planner.store import schema
from planner.store.base import OpenStore, signed
from planner.store.canonical import canonical_json, job_from_json, sha256_of
from planner.store.records import Issued, IssuedLine
from planner.store.refusal import StoreRefused
from planner.verdict import ALL_RULES, verdict


def check_report(job: Job, plan: Plan) -> str:
    """What the independent check says, for the record: breaches, or that all rules hold, and what is left."""
    breaches = verdict(plan, job)
    lines = [f"{len(breaches)} breach(es) of {len(ALL_RULES)} rules."]
    lines += [str(breach) for breach in breaches]
    lines += ["Not checked, for a person to tick:", *(f"- {line}" for line in unchecked(job, plan))]
    return "\n".join(lines) + "\n"


class IssuedWatchbills(OpenStore):
    """Issued watchbills, numbered from revision 1 for each job and first day."""

    def issue(
        self,
        job: Job,
        plan: Plan,
        by: str,
        *,
        ticked: tuple[str, ...] = (),
        card: Mapping[str, str] | None = None,
        printed: bytes = b"",
        reason: str = "",
        replan_of: tuple[Job, Plan] | None = None,
        revision: int | None = None,
    ) -> IssuedLine:
        """Freeze a watchbill as the next revision; the earlier ones stay.

        Parameters
        ----------
        job, plan
            What is issued.
        by
            The person in charge who issues it.
        ticked
            Sentences that this person has ticked.
        card
            The emergency card as it stands.
        printed
            The workbook as it goes out, kept byte for byte.
        reason
            Why there is a new revision.
        replan_of
            For a plan of the rest of the day: the reduced job and its plan, which are what the check judges;
            ``job`` and ``plan`` then hold the whole day with what has happened.
        revision
            The revision that the sheets carry; refused when somebody else has issued that one meanwhile.

        Raises
        ------
        StoreRefused
            The check finds a breach, nobody signs, the revision is taken, or the database refused.
        """
        signer = signed(by)
        judged_job, judged_plan = replan_of or (job, plan)
        breaches = verdict(judged_plan, judged_job)
        if breaches:
            raise StoreRefused(
                f"The plan breaks a rule, so it is not issued: {breaches[0].sentence} "
                f"({len(breaches)} breach(es) in all.)"
            )
        report = check_report(judged_job, judged_plan)
        if replan_of is not None:
            report = f"Judged: the rest of the day, from what had happened.\n{report}"
        day, at = job.site.first_day, self._now()
        table = schema.issued
        with self._database.writing() as connection:
            job_id = self._job_id(connection, job.site.name, make=True)
            self._lock_job(connection, job_id)
            mine = (table.c.job_id == job_id) & (table.c.day == day.isoformat())
            last = connection.execute(select(func.max(table.c.revision)).where(mine)).scalar()
            following = (last or 0) + 1
            if revision is not None and revision != following:
                raise StoreRefused(
                    f"Somebody else issued revision {last} in the meantime; nothing was issued. Look at it "
                    "first."
                )
            values: dict[str, Any] = {
                "day": day.isoformat(),
                "revision": following,
                "job_json": canonical_json(job),
                "plan_json": to_json(plan, job),
                "check_report": report,
                "ticked_json": json.dumps(list(ticked), ensure_ascii=False),
                "card_json": json.dumps(dict(card or {}), ensure_ascii=False, sort_keys=True),
                "reason": reason,
                "issued_at": at.isoformat(),
                "issued_by": signer,
            }
            digest = _digest(values, printed)
            connection.execute(insert(table).values(**values, job_id=job_id, printed=printed, sha256=digest))
        return IssuedLine(job.site.name, day, following, at, signer, reason, digest)

    def issued(self, name: str, day: date | None = None) -> tuple[IssuedLine, ...]:
        """Issued watchbills of a job, of one first day or of all, the first revision first."""
        table = schema.issued
        query = (
            select(
                table.c.day,
                table.c.revision,
                table.c.issued_at,
                table.c.issued_by,
                table.c.reason,
                table.c.sha256,
            )
            .join(schema.jobs)
            .where(schema.jobs.c.name == name)
            .order_by(table.c.day, table.c.revision)
        )
        if day is not None:
            query = query.where(table.c.day == day.isoformat())
        with self._database.reading() as connection:
            return tuple(_line(name, row) for row in connection.execute(query))

    def next_revision(self, name: str, day: date) -> int:
        """The revision that the next issue of a job's day will be."""
        return max((line.revision for line in self.issued(name, day)), default=0) + 1

    def latest_issued(self) -> tuple[IssuedLine, ...]:
        """The latest revision of every job's day, the one issued last first."""
        table = schema.issued
        query = (
            select(
                schema.jobs.c.name,
                table.c.day,
                table.c.revision,
                table.c.issued_at,
                table.c.issued_by,
                table.c.reason,
                table.c.sha256,
            )
            .join(schema.jobs)
            .order_by(table.c.id.desc())
        )
        newest: dict[tuple[str, str], IssuedLine] = {}
        with self._database.reading() as connection:
            for row in connection.execute(query):
                newest.setdefault((row.name, row.day), _line(row.name, row))
        return tuple(newest.values())

    def open_issued(self, name: str, day: date, revision: int | None = None) -> Issued:
        """An issued watchbill, whole; the latest revision unless one is named.

        Raises
        ------
        StoreRefused
            There is none, or it is not as it was issued.
        """
        table = schema.issued
        query = (
            select(table)
            .join(schema.jobs)
            .where((schema.jobs.c.name == name) & (table.c.day == day.isoformat()))
            .order_by(table.c.revision.desc())
            .limit(1)
        )
        if revision is not None:
            query = query.where(table.c.revision == revision)
        with self._database.reading() as connection:
            row = connection.execute(query).first()
        if row is None:
            what = "No watchbill" if revision is None else f"No revision {revision} of a watchbill"
            raise StoreRefused(f"{what} was issued for {name} on {day.isoformat()}.")
        if digest_of_row(row) != row.sha256:
            raise StoreRefused(
                f"Revision {row.revision} of {name}, {day.isoformat()}, was changed after it was issued: its "
                "hash does not agree. It is not opened; use the printed sheets."
            )
        job = job_from_json(row.job_json)
        return Issued(
            line=_line(name, row),
            job=job,
            plan=from_json(row.plan_json, job),
            job_json=row.job_json,
            plan_json=row.plan_json,
            check_report=row.check_report,
            ticked=tuple(json.loads(row.ticked_json)),
            card=dict(json.loads(row.card_json)),
            printed=bytes(row.printed),
        )

    # ------------------------------------------------------------------ the emergency card

    def save_card(self, name: str, content: Mapping[str, str], by: str) -> None:
        """Keep a job's emergency card; the ones before it stay in the store."""
        signer = signed(by)
        with self._database.writing() as connection:
            job_id = self._job_id(connection, name, make=True)
            connection.execute(
                insert(schema.cards).values(
                    job_id=job_id,
                    content=json.dumps(dict(content), ensure_ascii=False, sort_keys=True),
                    saved_at=self._now().isoformat(),
                    saved_by=signer,
                )
            )

    def card(self, name: str) -> dict[str, str]:
        """A job's emergency card as last saved; empty when none was."""
        query = (
            select(schema.cards.c.content)
            .join(schema.jobs)
            .where(schema.jobs.c.name == name)
            .order_by(schema.cards.c.id.desc())
            .limit(1)
        )
        with self._database.reading() as connection:
            found = connection.execute(query).scalar()
        return {} if found is None else dict(json.loads(found))


_HASHED = (
    "day",
    "revision",
    "job_json",
    "plan_json",
    "check_report",
    "ticked_json",
    "card_json",
    "reason",
    "issued_at",
    "issued_by",
)


def _digest(values: Mapping[str, Any], printed: bytes) -> str:
    return sha256_of(**{name: values[name] for name in _HASHED}, printed=hashlib.sha256(printed).hexdigest())


def digest_of_row(row: Any) -> str:
    """The hash that a stored watchbill must have."""
    return _digest({name: getattr(row, name) for name in _HASHED}, bytes(row.printed))


def _line(name: str, row: Any) -> IssuedLine:
    return IssuedLine(
        name,
        date.fromisoformat(row.day),
        row.revision,
        datetime.fromisoformat(row.issued_at),
        row.issued_by,
        row.reason,
        row.sha256,
    )
