"""The one page that the command prints: plain text, 100 columns at most, for a tired officer at 2100."""

from __future__ import annotations

import re
import textwrap
import unicodedata

from planner import CAUTION
from planner.air import AirReport, air_report
from planner.check import SUBJECT_TO, air_findings
from planner.job import Job
from planner.plan.model import Dive, Plan
from planner.sheets.bill import dives_in_order, key_times, on_deck, standby_reach, standbys
from planner.sheets.sources import to_tick
from planner.whatif.slack import slack_told
from planner.words.measures import count_words, dates_words, dive_depth_words, minutes_words, time_words
from planner.words.plan import NO_REASON, crew_status_words, diver_words, stage_words, work_words
from planner.words.schedule import group_of_minutes_words, short_row_words, way_up_words

COLUMNS = 100
#: Columns of the dives' schedules; a longer one stands in full on the line under its dive.
_SCHEDULE_COLUMNS = 40
_KEY_TIMES = ("First call", "first diver down", "last diver up", "last hand free")
#: A number and its unit stay on one line.
_HELD_TOGETHER = re.compile(
    r"(?<=\d) (?=h |h$|min\b|fsw\b|scf\b|scfm\b|%)|(?<=\d h) (?=\d\d\b)|(?<=, in) |(?<=fsw) (?=\(table)|"
    r"(?<=\(table) (?=\d)"
)


def columns_of(text: str) -> int:
    """Columns that a text takes on a terminal: wide letters take two, marks on a letter none."""
    wide = sum(1 for c in text if unicodedata.east_asian_width(c) in "WF")
    return len(text) + wide - sum(1 for c in text if unicodedata.combining(c))


def plain(text: str) -> str:
    """A text that a user typed, safe for a terminal: no control characters, no line ends."""
    return "".join(c if unicodedata.category(c)[0] != "C" else " " for c in text)


def pad(text: str, columns: int) -> str:
    """A text filled up with blanks; one that is too long is cut, with a mark that says so."""
    if columns_of(text) > columns:
        while text and columns_of(text) > columns - 1:
            text = text[:-1]
        text += "…"
    return text + " " * (columns - columns_of(text))


def summary_text(plan: Plan, job: Job) -> str:
    """The plan on one page.

    What is done and when it ends, who dives when with which standby, what is left and why, what is proven,
    the air in one line, and what a person must still tick.
    """
    air = air_report(plan, job)
    lines = [
        *_wrapped(f"WATCHBILL  {job.site.name}"),
        *_wrapped(f"{dates_words(job)} · {crew_status_words(plan, job)}"),
        *_wrapped(CAUTION),
        "",
        *_figures(plan, job),
        *_dives(plan, job),
        *_deck(plan, job),
        *_left(plan),
        *_proof(plan, job),
        *_air(air, job, plan),
        *_ticks(job, air),
    ]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _wrapped(text: str, first: str = "", then: str = "") -> list[str]:
    """Lines of at most `COLUMNS` columns; wide letters counted as two."""
    held = _HELD_TOGETHER.sub("\u00a0", plain(text))
    wide = min(max(0, columns_of(text) - len(text)), COLUMNS // 2)
    lines = textwrap.wrap(held, COLUMNS - wide, initial_indent=first, subsequent_indent=then)
    return [line.replace("\u00a0", " ") for line in lines]


def _figures(plan: Plan, job: Job) -> list[str]:
    if not plan.duties:
        return ["Nothing is planned."]
    times = key_times(plan.duties, plan.dives, _KEY_TIMES)
    on_duty = len({s.person for s in plan.duties})
    work = (
        f"Work planned {work_words(plan, job)} · {count_words(len(plan.dives), 'dive')} · {on_duty} of "
        f"{len(job.people)} people on duty · {count_words(len(plan.leftovers), 'item')} left over"
    )
    said = " · ".join(f"{name} {time_words(job, minute)}" for name, minute in times)
    return [*_wrapped(said), *_wrapped(work)]


def _dives(plan: Plan, job: Job) -> list[str]:
    if not plan.dives:
        return []
    dives, spare = dives_in_order(plan), slack_told(job, plan)
    clock = 9 if len(job.day_windows) > 1 else 5
    name = min(12, max(4, *(columns_of(d.id) for d in dives)))
    depth = max(len(dive_depth_words(job, d.item, d.depth_fsw)) for d in dives)
    widths = (name, clock, clock, clock, depth, 7, _SCHEDULE_COLUMNS)
    titles = ("dive", "down", "leave", "up", "depth", "bottom", "schedule, group after")
    lines = ["", "DIVES  down: leave surface · leave: leave bottom · up: reach surface"]
    lines.append("  ".join(pad(t, w) for t, w in zip(titles, widths, strict=True)))
    for dive in dives:
        schedules, stops = _schedules(dive), ""
        if columns_of("; ".join(schedules)) > _SCHEDULE_COLUMNS:
            stops, schedules = " · " + "; ".join(schedules), _schedules(dive, stops=False)
        cells = (
            plain(dive.id),
            time_words(job, dive.leave_surface_min),
            time_words(job, dive.leave_bottom_min),
            time_words(job, dive.reach_surface_min),
            dive_depth_words(job, dive.item, dive.depth_fsw),
            f"{dive.bottom_time_min} min",
            "; ".join(schedules),
        )
        lines.append("  ".join(pad(c, w) for c, w in zip(cells, widths, strict=True)))
        divers = ", ".join(map(diver_words, dive.divers))
        words = f"{dive.item}, {dive.station}: {divers} · standby {standbys(plan, job, dive)}{stops}"
        sent = standby_reach(plan, job, dive)
        words += f", {sent}" if sent else ""
        if spare is not None:
            words += f" · {spare.of(dive.id).short_words}"
        indent = " " * (name + 2)
        lines += _wrapped(words, indent, indent + "  ")
    if spare is not None:
        lines += _wrapped(spare.words)
    return lines


def _schedules(dive: Dive, *, stops: bool = True) -> list[str]:
    """The schedules of a dive's divers in few letters: ``35/232 no-stop, H after 95 min``."""
    found = []
    for diver in dive.divers:
        row, group = diver.schedule, group_of_minutes_words(diver.group_after, dive.bottom_time_min)
        up = way_up_words(row) if stops else row.way_up
        found.append(f"{short_row_words(row)} {up}, {group}")
    return list(dict.fromkeys(found))


def _deck(plan: Plan, job: Job) -> list[str]:
    """Briefings, standing work and tasks on deck, by the clock, each with its people."""
    found = on_deck(plan)
    lines = ["", "ON DECK"] if found else []
    for one in found:
        people = ", ".join(who if duty == one.what else f"{who} ({duty})" for who, duty in one.people)
        span = f"{time_words(job, one.start_min)}–{time_words(job, one.end_min)}"
        lines += _wrapped(f"{span}  {one.what}: {people}", "", "  ")
    return lines


def _left(plan: Plan) -> list[str]:
    if not plan.leftovers:
        return ["", "LEFT OVER  nothing: every item is planned in full."]
    lines = ["", "LEFT OVER"]
    for left in plan.leftovers:
        missing = left.needed_min - left.planned_min
        words = f"{left.item}: {minutes_words(missing)} of {minutes_words(left.needed_min)} left"
        reasons = [r.sentence + (f" [{r.rule}]" if r.rule else "") for r in left.reasons] or [NO_REASON]
        lines += _wrapped(words, "", "  ")
        lines += [line for said in reasons for line in _wrapped(f"– {said}", "  ", "    ")]
    return lines


def _proof(plan: Plan, job: Job) -> list[str]:
    lines = ["", f"HOW GOOD  {plan.status.value}, {plan.seconds:.1f} s of search"]
    for stage in plan.stages:
        lines += _wrapped(f"{stage.name}: {stage_words(stage, job)}", "", "  ")
    return lines


def _air(air: AirReport, job: Job, plan: Plan) -> list[str]:
    """The air in one line, and every air rule that does not hold."""
    if air.peak is None:
        return []
    words = f"AIR  {air.scf:,.0f} scf for the dives · peak {air.peak.flow_scfm:,.1f} scfm"
    words += f" at {time_words(job, air.peak.demand.start_min)}"
    if air.plant_given:
        words += f", compressors give {air.peak.capacity_scfm:,.1f}"
        hours = sum(run.running_min for run in air.compressors)
        words += f" · compressors run {minutes_words(hours)} in all"
    else:
        words += " · no air plant is given, supply is not checked"
    lines = ["", *_wrapped(words, "", "  ")]
    for breach in air_findings(job, plan):
        lines += _wrapped(f"! {breach.sentence} [{breach.rule}]", "  ", "    ")
    return lines


def _ticks(job: Job, air: AirReport) -> list[str]:
    lines = ["", "NOT CHECKED BY THE PROGRAM: for a person to tick"]
    for sentence in to_tick(job, air):
        lines += _wrapped(sentence, "[ ] ", "    ")
    return [*lines, SUBJECT_TO]
