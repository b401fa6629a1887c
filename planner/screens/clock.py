"""Clocks that run on in the browser between two looks at the server: a script that steps once a second.

A style sheet could do it alone, but what it animates is worked out anew for every frame of the screen, on a
tablet that lies on the rail all day.
"""

from __future__ import annotations

from datetime import datetime

import streamlit as st

from planner.screens import chrome


def run_clocks() -> None:
    """Count on whatever `clock_html` has put on the page."""
    with st.container(key="clocks"):
        chrome.component("running_clocks", html="<span></span>")(key="running_clocks", data=None)


def clock_html(since: datetime, at: datetime) -> str:
    """The time gone since a moment, as ``12:05`` minutes and seconds; before it, nothing."""
    gone_s = max(0, int((at - since).total_seconds()))
    told = f"{gone_s // 60}:{gone_s % 60:02d}"
    return f'<b class="runs" role="timer" aria-label="{gone_s // 60} min" data-gone-s="{gone_s}">{told}</b>'
