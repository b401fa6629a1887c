"""Numbers, times and a user's own text as they are written on a screen."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from planner.job import Job, UnitSystem
from planner.job.base import Span
from planner.job.units import Measured
from planner.plan.model import Plan, Status
from planner.table_sets import table_words
from planner.tables.schedule import TableSchedule
from planner.words.measures import (
    Metric,
    date_words,
    depth_words,
    dive_depth_words,
    own_depth_words,
    span_words,
)
from planner.words.plan import NO_BOUND, bound_known, bound_words, stage_value_words
from planner.words.schedule import short_row_words, way_up_words

#: Stages whose value is a time of day, by the name that the scheduler reports while it works.
CLOCK_STAGES = frozenset({"finish"})

_MARKS = re.compile(r"([\\`*_{}\[\]<>()#+\-.!|~$:@])")

#: What makes a link of a bare address (GitHub Flavored Markdown, 6.9), up to where it is cut.
_ADDRESS = re.compile(r"(https?:(?=//)|www(?=\.)|@(?=\w))", re.IGNORECASE)

#: A word joiner: takes no room, and keeps the two halves on one line.
_JOINER = "\u2060"


def plain(text: str) -> str:
    """A user's text so that no part of it is read as markup (bold, links, pictures, formulas).

    An address is cut by a sign that is not seen: it would be a link also with all its marks taken for text.
    """
    cut = _ADDRESS.sub(rf"\1{_JOINER}", " ".join(text.split()))
    return _MARKS.sub(r"\\\1", cut)


def saved_time(at: datetime, zone: str) -> str:
    """``25 Nov 2026 17:58 (Europe/Oslo)``: on the clock of the job's site."""
    return f"{at.astimezone(ZoneInfo(zone)):%d %b %Y %H:%M} ({zone})"


def depth_text(depth_fsw: int, units: UnitSystem) -> str:
    """``60 fsw`` or ``18.3 m`` (metres rounded up)."""
    return depth_words(depth_fsw, units, Metric.ALONE)


def own_depth_text(job: Job, part: Measured, units: UnitSystem, field: str = "depth_fsw") -> str:
    """A depth that the job holds; in metres as it was typed, where it was typed in them."""
    return own_depth_words(part, job.site.units, field, reads=units, metric=Metric.ALONE)


def dive_depth_text(job: Job, item: str, depth_fsw: int, units: UnitSystem) -> str:
    """The depth of a dive on an item of the job, as `own_depth_text`."""
    return dive_depth_words(job, item, depth_fsw, units, Metric.ALONE)


def spans_text(job: Job, spans: Iterable[Span]) -> str:
    """``09:10–10:05, 15:20–16:10``; with the day where the job has several."""
    return ", ".join(span_words(job, span.start_min, span.end_min) for span in spans)


def caption_of(job: Job) -> str:
    """Day and working hours of the job in one line."""
    return f"{date_words(job)} · {spans_text(job, job.day_windows)} ({job.site.time_zone})"


def status_text(plan: Plan, job: Job) -> str:
    """How good a plan is known to be, in one or two honest sentences."""
    if plan.status is Status.PROVEN_BEST:
        return "Proven best."
    if plan.status is Status.LOOKED_FOR:
        return "Best of the plans looked for; others that the check would accept are not ruled out."
    if plan.status is Status.CONSTRUCTIVE:
        return "First plan, by rule of thumb."
    stage = next((s for s in plan.stages if not s.proven), None)
    if stage is None:
        return "Checked, not proven best."
    value = stage_value_words(stage, stage.value, job)
    bound = f"and {bound_words(stage, job)} is not ruled out" if bound_known(stage, job) else NO_BOUND
    proven = [s.name for s in plan.stages[: plan.stages.index(stage)]]
    head = f"Proven best for {', '.join(proven)}; not" if proven else "Not proven best"
    return f"{head} for {stage.name}: {value}, {bound}."


def clock_text(gone_s: float, limit_s: float, stage: str | None) -> str:
    """How far a search is by the clock; ``stage``: None until its first plan is there.

    The first plan is made to its end, and so is the naming and judging of the last, however slow the machine:
    then the clock is past the limit, and says why.
    """
    if gone_s <= limit_s:
        return f"{gone_s:.0f} s of {limit_s:.0f} s, {stage or 'setting up'}"
    if stage is None:
        why = f"the first plan is made to its end, past the limit of {limit_s:.0f} s"
        return f"{gone_s:.0f} s, setting up: {why}"
    return f"{gone_s:.0f} s, {stage}: the {limit_s:.0f} s are over, the last plan is named and checked"


def schedule_text(schedule: TableSchedule, units: UnitSystem) -> str:
    """The row of the tables and the stops, in one line."""
    return f"{short_row_words(schedule)} ({table_words(schedule.table)}), {way_up_words(schedule, units)}"


def file_name(job: Job, what: str, ending: str) -> str:
    """A name for a download, by job and date: ``north-pier_2026-03-03_watchbill.xlsx``."""
    ascii_name = unicodedata.normalize("NFKD", job.site.name).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", ascii_name.lower()).strip("-")[:40] or "job"
    return f"{slug}_{job.site.first_day.isoformat()}_{what}.{ending}"
