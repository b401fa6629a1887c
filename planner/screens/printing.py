"""What is printed of a watchbill, and on what: asked before it is downloaded and before it is issued."""

from __future__ import annotations

from typing import Any

import streamlit as st

from planner.job import Job
from planner.screens import chrome
from planner.sheets.watchbill import DAY_SHEETS, SHEETS
from planner.workbook.style import PAPERS

_ALL, _DAY, _CHOSEN = "all sheets", "a working day", "chosen"


def printed_as(job: Job) -> dict[str, Any]:
    """Draw the choice of sheets and paper; what `planner.write_watchbill` is to be told of it.

    All pages that ask share the choice. No sheet chosen is all sheets.
    """
    there = [name for name in SHEETS if job.gates or name != "Gates"]
    with st.popover("Sheets and paper", icon=":material/description:"):
        paper = _one("print_paper", tuple(PAPERS))
        which = _one("print_which", (_ALL, _DAY, _CHOSEN))
        if which == _DAY:
            st.caption(f"{', '.join(DAY_SHEETS)}: what a crew needs on the day.")
        chosen: list[str] = []
        if which == _CHOSEN:
            chosen = chrome.ask(st.multiselect, "print_sheets", options=there)
    return {"paper": paper, "sheets": {_ALL: (), _DAY: DAY_SHEETS, _CHOSEN: tuple(chosen)}[which]}


def _one(name: str, options: tuple[str, ...]) -> str:
    """One of a few of a control, the first where nothing was pressed."""
    given = {"options": options, "default": options[0], "required": True}
    return str(chrome.ask(st.segmented_control, name, **given))
