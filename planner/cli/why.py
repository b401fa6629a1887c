"""The command ``why``: what a plan leaves over, the rules that block it, the changes that would fit it."""

from __future__ import annotations

import argparse
import threading
from datetime import timedelta
from pathlib import Path

from planner import CAUTION, plan
from planner.cli.arguments import count, open_job, refused, seconds
from planner.cli.stopping import stopped_by_signals
from planner.job import Job
from planner.job.base import parse_wall

TOLD = 0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``why JOB.xlsx [--item NAME] [--diver NAME --at HHMM]``."""
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument("--item", metavar="NAME", help="this item only; else all that are left over")
    parser.add_argument("--seconds", type=seconds(86_400), default=20.0, help="time for the plan (20)")
    parser.add_argument("--each", type=seconds(86_400), default=4.0, help="time for each change tried (4)")
    parser.add_argument(
        "--workers", type=count("workers", 1, 64), help="solver threads (the cores there are)"
    )
    parser.add_argument("--diver", metavar="NAME", help="with --at: why this diver does not dive then")
    parser.add_argument("--at", metavar="HHMM", help="when the diver would leave the surface")
    parser.add_argument("--day", type=int, default=1, metavar="N", help="day of the job for --at (1)")


def run(arguments: argparse.Namespace) -> int:
    """Plan the job, tell the reasons of what is left, solve the changes, print them; 0 when it was told, 2
    for what is not in the job."""
    # loaded before a Ctrl-C asks a search for its best: in the middle of this there is none
    job = open_job(arguments.job, meanwhile=("planner.schedule.solve",))
    names = [item.name for item in job.items]
    if arguments.item is not None and arguments.item not in names:
        return refused(f"The job has no item {arguments.item!r}. Its items: {', '.join(names)}.")
    if (arguments.diver is None) != (arguments.at is None):
        return refused("--diver and --at belong together: who, and when.")
    if arguments.diver is not None:
        return _why_not(job, arguments)
    with stopped_by_signals() as stop:
        return _tell_left_over(job, arguments, stop)


def _tell_left_over(job: Job, arguments: argparse.Namespace, stop: threading.Event) -> int:
    """Plan the job and tell of each item that is left over; once stopped, of the plan there is."""
    # The solver is slow to import; the other commands do without it.
    from planner import what_it_takes

    outcome = plan(job, seconds=arguments.seconds, workers=arguments.workers, stop=stop)
    wanted = [n for n in outcome.reasons if arguments.item in (None, n)]
    if not wanted:
        what = f"'{arguments.item}' is" if arguments.item else "Every item is"
        print(f"{what} planned in full; nothing is left over.")
    for name in wanted:
        print(f"{name}")
        for reason in outcome.reasons[name]:
            print(f"  why: {reason.sentence}" + (f" [{reason.rule}]" if reason.rule else ""))
        changes = what_it_takes(
            job, outcome.plan, name, seconds_each=arguments.each, workers=arguments.workers, stop=stop
        )
        for change in changes:
            gain = "fits it" if change.fits else f"does {change.after_min} of {change.needed_min} min"
            print(f"  it would take: {change.sentence} ({gain}; solved)")
        if stop.is_set():
            print("  stopped: further changes were not tried.")
        elif not changes:
            print("  it would take: no single change that was tried; nothing is proven beyond those.")
    print("Safety rules are never offered as the thing to change.")
    print(CAUTION)
    return TOLD


def _why_not(job: Job, arguments: argparse.Namespace) -> int:
    """Pin the dive that is asked about and tell what stands in its way, or what it costs."""
    from planner import why_not

    faults = []
    names = [p.name for p in job.people]
    if arguments.diver not in names:
        faults.append(f"The job has no person {arguments.diver!r}. Its people: {', '.join(names)}.")
    dive_items = [i.name for i in job.dive_items]
    if arguments.item is not None and arguments.item not in dive_items:
        faults.append(f"{arguments.item!r} is no dive item. The dive items: {', '.join(dive_items)}.")
    if not 1 <= arguments.day <= job.site.days:
        faults.append(f"The job has no day {arguments.day}; it runs over {job.site.days}.")
    try:
        wall = parse_wall(arguments.at)
    except ValueError as fault:
        faults.append(f"--at: {fault}.")
    if faults:
        return refused("\n".join(faults))
    day = job.site.first_day + timedelta(days=arguments.day - 1)
    leaving = job.clock.minute_on(day, wall)
    answers = why_not(
        job,
        arguments.diver,
        leaving,
        item=arguments.item,
        seconds=arguments.seconds / 2,
        workers=arguments.workers,
    )
    words = {True: "can be", False: "cannot be, proven", None: "not known"}
    for answer in answers:
        print(
            f"{arguments.diver} leaving the surface at {job.clock.hhmm(leaving)} on {answer.item}: "
            f"{words[answer.holds]}"
        )
        for reason in answer.reasons:
            print(f"  {reason.sentence}" + (f" [{reason.rule}]" if reason.rule else ""))
    print("Safety rules are never offered as the thing to change.")
    print(CAUTION)
    return TOLD
