"""Slack water and depth as the water moves: what the scheduler and the check both work from."""

from __future__ import annotations

from planner.job.job import Job
from planner.job.site import WaterWindow
from planner.job.tide import slack_around


def effective_water_windows(job: Job) -> tuple[WaterWindow, ...]:
    """Every slack window: those typed in, then those around the tide marks, which hold for all stations.

    A site whose slack length is 0 has only the windows typed in.
    """
    from_tide = (
        WaterWindow(
            start_min=span.start_min,
            end_min=span.end_min,
            label=f"slack at {'high' if mark.high else 'low'} water",
        )
        for mark, span in slack_around(job.site, job.tide_marks)
    )
    return (*job.water_windows, *from_tide)
