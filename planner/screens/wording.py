"""Numbers, times and a user's own text as they are written on a screen."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, datetime

from planner.job import Job, UnitSystem
from planner.job.units import metres_from_fsw
from planner.plan.model import Plan, Stage, Status
from planner.tables.schedule import TableSchedule
from planner.words.schedule import short_row_words, way_up_words

#: Unit of a stage whose value is a time of day, counted in minutes from the job's first midnight.
CLOCK_UNIT = "minute of the job"

#: Stages with such a value, by the name that the scheduler reports while it works.
CLOCK_STAGES = frozenset({"finish"})

_MARKS = re.compile(r"([\\`*_{}\[\]<>()#+\-.!|~$:@])")


def plain(text: str) -> str:
    """A user's text so that no part of it is read as markup (bold, links, pictures, formulas)."""
    return _MARKS.sub(r"\\\1", " ".join(text.split()))


def saved_time(at: datetime) -> str:
    """``25 Nov 2026 16:58 UTC``: one zone for all saved jobs; a job's own is known once it is read."""
    return f"{at.astimezone(UTC):%d %b %Y %H:%M} UTC"


def depth_text(depth_fsw: int, units: UnitSystem) -> str:
    """``60 fsw`` or ``18.3 m`` (metres rounded up)."""
    if units is UnitSystem.METRIC:
        return f"{metres_from_fsw(depth_fsw):.1f} m"
    return f"{depth_fsw} fsw"


def hours_text(minutes: int) -> str:
    """``3 h 05 min``; ``45 min`` below an hour."""
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def number_text(value: float) -> str:
    """A value without needless decimals."""
    return f"{value:,.0f}" if value == int(value) else f"{value:,.1f}"


def date_text(job: Job, day: int = 0) -> str:
    """``Tuesday 3 March 2026``."""
    moment = job.clock.at(job.day_windows[day].start_min)
    return f"{moment:%A} {moment.day} {moment:%B %Y}"


def spans_text(job: Job, spans: tuple[tuple[int, int], ...]) -> str:
    """``09:10–10:05, 15:20–16:10``; with the day where the job has several."""
    several = len(job.day_windows) > 1
    return ", ".join(f"{job.clock.hhmm(a, with_day=several)}–{job.clock.hhmm(b)}" for a, b in spans)


def caption_of(job: Job) -> str:
    """Day and working hours of the job in one line."""
    hours = spans_text(job, tuple((w.start_min, w.end_min) for w in job.day_windows))
    return f"{date_text(job)} · {hours} ({job.site.time_zone})"


def status_text(plan: Plan, job: Job) -> str:
    """How good a plan is known to be, in one or two honest sentences."""
    if plan.status is Status.PROVEN_BEST:
        return "Proven best."
    if plan.status is Status.CONSTRUCTIVE:
        return "First plan, by rule of thumb."
    stage = next((s for s in plan.stages if not s.proven), None)
    if stage is None:
        return "Checked, not proven best."
    value, bound = stage_value_text(stage, stage.value, job), stage_value_text(stage, stage.bound, job)
    proven = [s.name for s in plan.stages[: plan.stages.index(stage)]]
    head = f"Proven best for {', '.join(proven)}; not" if proven else "Not proven best"
    return f"{head} for {stage.name}: {value}, and {bound} is not ruled out."


def stage_value_text(stage: Stage, value: float, job: Job) -> str:
    """A stage's value with its unit; a time of day where the stage is one."""
    if stage.unit == CLOCK_UNIT:
        return job.clock.hhmm(int(value), with_day=len(job.day_windows) > 1)
    return f"{number_text(value)} {stage.unit}".strip()


def schedule_text(schedule: TableSchedule, units: UnitSystem) -> str:
    """The row of the tables and the stops, in one line."""
    return f"{short_row_words(schedule)} (table {schedule.table}), {way_up_words(schedule, units)}"


def ascent_text(seconds: int) -> str:
    """``2:40`` in minutes and seconds."""
    return f"{seconds // 60}:{seconds % 60:02d}"


def file_name(job: Job, what: str, ending: str) -> str:
    """A name for a download, by job and date: ``north-pier_2026-03-03_watchbill.xlsx``."""
    ascii_name = unicodedata.normalize("NFKD", job.site.name).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", ascii_name.lower()).strip("-")[:40] or "job"
    return f"{slug}_{job.site.first_day.isoformat()}_{what}.{ending}"
