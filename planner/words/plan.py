"""A plan in words: how good it is known to be, each stage of it, the work it does, the name of a dive."""

from __future__ import annotations

from planner.job import Job
from planner.job.duties import DIVER
from planner.job.pins import Pin
from planner.plan.model import Dive, DiverExposure, Plan, Stage, Status
from planner.words.measures import count_words, minutes_words, number_words, time_words

#: Said of an item that is left over without a reason.
NO_REASON = "No reason could be proven in the time given."

#: Said where nothing is known of what no plan can beat.
NO_BOUND = "no bound known"

#: Unit of a stage whose value is a time of day, in minutes from the job's first midnight.
CLOCK_UNIT = "minute of the job"


def dive_label(dive: Dive) -> str:
    """``Dive 3``: the dive's id, with the word before it where the id does not begin with it."""
    return dive.id if dive.id.casefold().startswith("dive") else f"Dive {dive.id}"


def diver_words(diver: DiverExposure) -> str:
    """``Ana Reyes``; with the duty behind the name where it is not plain diving."""
    return diver.person if diver.duty == DIVER else f"{diver.person} ({diver.duty})"


def pinned_words(pin: Pin, when: str) -> str:
    """What a pinned dive has to have: ``is made from North and leaves the surface at 09:10``, or nothing.

    ``when``: its time in words, blank without one.
    """
    parts = (
        f"has {pin.person} among its divers" if pin.person is not None else "",
        f"is made from {pin.station}" if pin.station is not None else "",
        f"leaves the surface {when}" if when else "",
        f"has a bottom time of {pin.bottom_time_min} min" if pin.bottom_time_min is not None else "",
        f"has {pin.free_min} min free at its station behind it" if pin.free_min is not None else "",
    )
    return " and ".join(filter(None, parts))


def work_words(plan: Plan, job: Job) -> str:
    """Minutes planned of those that all items ask for: ``8 h 12 of 10 h 05``."""
    needed = {item.name: item.needed_min for item in job.items}
    done = sum(min(plan.worked_min(item), minutes) for item, minutes in needed.items())
    return f"{minutes_words(done)} of {minutes_words(sum(needed.values()))}"


def stage_value_words(stage: Stage, value: float, job: Job) -> str:
    """A value of a stage with its unit; a time of day where the stage is one."""
    if stage.unit == CLOCK_UNIT:
        enough = job.site.early_enough is not None and value == job.early_enough_min
        return time_words(job, int(value)) + (", early enough" if enough else "")
    return f"{number_words(value)} {stage.unit}".strip()


def bound_known(stage: Stage, job: Job) -> bool:
    """Whether the bound of a stage says more than what no plan could have: less than nothing, or an end
    before the first day's work begins."""
    if stage.proven or stage.maximise:
        return True
    return stage.bound > (job.day_windows[0].start_min if stage.unit == CLOCK_UNIT else 0)


def bound_words(stage: Stage, job: Job) -> str:
    """What no plan can beat in a stage, with its unit; that nothing is known where it says nothing."""
    return stage_value_words(stage, stage.bound, job) if bound_known(stage, job) else NO_BOUND


def gap_words(stage: Stage, job: Job) -> str:
    """How far a stage's value may be from the best there is: ``12.5 %``."""
    if stage.proven:
        return "none, proven"
    return f"{stage.gap_percent:.1f} %" if bound_known(stage, job) else NO_BOUND


def stage_words(stage: Stage, job: Job) -> str:
    """One stage in words: its value, what is proven about it, and the gap."""
    value = stage_value_words(stage, stage.value, job)
    if stage.proven:
        return f"{value}, proven best"
    if not bound_known(stage, job):
        return f"{value}, not proven: {NO_BOUND}"
    clock_time = stage.unit == CLOCK_UNIT
    bound = time_words(job, int(stage.bound)) if clock_time else number_words(stage.bound)
    limit = "no plan reaches more than" if stage.maximise else "no plan goes below"
    if clock_time:
        limit = "no plan ends before"
    return f"{value}, not proven: {limit} {bound}, gap {stage.gap_percent:.1f} %"


def crew_status_words(plan: Plan, job: Job) -> str:
    """How good the plan is, for the crew: ``all work planned, could end sooner``.

    What is proven about which stage is told on the sheet of sources, for the officer.
    """
    left = len(plan.leftovers)
    work = f"{count_words(left, 'item')} left over" if left else "all work planned"
    if plan.status is Status.PROVEN_BEST:
        return f"{work}, no better plan by these rules"
    if plan.status is Status.LOOKED_FOR:
        return f"{work}, no better plan found"
    if plan.status is Status.CONSTRUCTIVE:
        return f"{work}, first plan by rule of thumb, not searched yet"
    open_stages = [stage for stage in plan.stages if stage.gap_percent]
    if not open_stages:
        return f"{work}, plan checked"
    if left and open_stages[0] is plan.stages[0]:
        return f"{work}, more work might fit"
    if any(stage.unit == CLOCK_UNIT for stage in open_stages):
        return f"{work}, could end sooner"
    return f"{work}, {open_stages[0].name} might be better"
