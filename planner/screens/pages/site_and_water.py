"""The page of site and water: days and hours, place, policy, stations, slack windows and the tide."""

from __future__ import annotations

import streamlit as st

from planner.errors import InputFaults
from planner.job import Job
from planner.job.tide_csv import COLUMNS, read_tide_csv
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.sheets import TypedRow, own_rows
from planner.screens.editing.widgets import edit_sheets
from planner.screens.frames import show_faults
from planner.workbook.job_sheets import SITE, STATIONS, TIDE, WATER_WINDOWS

#: Sheets of the job workbook that are edited on this page.
SHEETS = (SITE, STATIONS, WATER_WINDOWS, TIDE)

#: Where a session keeps what came of the tide table taken last: its faults, and a sentence.
_TAKEN = "tide_taken"


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job)
    edit_sheets(here, SHEETS, key="site")
    _tide_table(here, job)


def _tide_table(here: Desk, job: Job) -> None:
    """A tide service's file of high and low waters, taken into the sheet Tide as if it were typed."""
    faults, sentence = st.session_state.pop(_TAKEN, ((), ""))
    with st.expander("Take high and low waters from a tide table", expanded=bool(faults or sentence)):
        st.caption(
            f"A CSV with the columns {', '.join(COLUMNS)} (H or L). The waters of the job's days take the "
            "place of the rows of the sheet Tide; they are typed there and not applied yet."
        )
        with st.container(horizontal=True, vertical_alignment="center"):
            st.toggle("Levels in metres", key="tide_metres", help="Else they are feet.")
            st.toggle("Times in UTC", key="tide_utc", help="Else they are the site's local time.")
        chrome.ask(st.file_uploader, "tide_file", type=["csv"])
        chrome.button("tide_take", _take, here, job, disabled=st.session_state.get("tide_file") is None)
        if sentence:
            chrome.verdict(sentence)
        show_faults(
            faults, {"Where": lambda fault: fault.where}, key="wide_faults_tide", alt="Faults of the file"
        )


def _take(here: Desk, job: Job) -> None:
    file = st.session_state["tide_file"]
    metres, utc = bool(st.session_state.get("tide_metres")), bool(st.session_state.get("tide_utc"))
    try:
        rows = tide_rows(job, file.name, file.getvalue(), metres=metres, utc=utc)
    except InputFaults as found:
        st.session_state[_TAKEN] = found.faults, ""
        return
    here.edits.put(TIDE, rows)
    waters = f"{len(rows)} waters of {file.name} stand in the sheet Tide"
    st.session_state[_TAKEN] = (), f"{waters}. Look at them there, and apply them to the job."


def tide_rows(job: Job, name: str, data: bytes, *, metres: bool, utc: bool) -> tuple[TypedRow, ...]:
    """The rows of the sheet Tide that a tide table gives; ``metres``, ``utc``: its levels are not feet, its
    times not the site's local time.

    Raises
    ------
    InputFaults
        All faults of the file, each with its line.
    """
    marks = read_tide_csv(data, job.clock, days=job.site.days, metres=metres, utc=utc, name=name)
    return tuple(TypedRow(None, row.cells) for row in own_rows(TIDE, job.replace(tide_marks=marks)))
