"""A figure on a page, and the choice of the day that it shows."""

from __future__ import annotations

import streamlit as st
from plotly.graph_objects import Figure

from planner.job import Job
from planner.screens import chrome

#: Figures are for looking at: no tool bar, no accidental zoom while scrolling on a phone.
CHART_CONFIG = {"displayModeBar": False, "scrollZoom": False, "displaylogo": False}


def chart(figure: Figure, *, key: str, alt: str) -> None:
    """A figure with its words for a reader who cannot see it; on a phone it scrolls sideways."""
    with st.container(key=f"wide_{key}"):
        st.plotly_chart(figure, key=key, theme=None, config=CHART_CONFIG, alt=alt)


def day_picker(job: Job) -> int:
    """Which day of the job to show; asked only where there are several."""
    if len(job.day_windows) == 1:
        return 0

    def label(day: int) -> str:
        return f"{job.clock.at(job.day_windows[day].start_min):%a %d %b}"

    return chrome.choice("Day", range(len(job.day_windows)), "day", format_func=label, shown=True)
