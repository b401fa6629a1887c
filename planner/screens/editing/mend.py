"""Widgets of a workbook with faults: the cells of its file, to be put right and read again.

What is typed is kept as it is typed; each fault is told beside its row and again below; typing redraws only
this part of the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from planner.errors import Fault
from planner.screens import chrome
from planner.screens.desk import Desk, Refused
from planner.screens.editing.edits import FAULT
from planner.screens.editing.mending import Mending, meant_by
from planner.screens.editing.sheets import ROW, place_of
from planner.screens.editing.widgets import table_editor
from planner.screens.frames import show_faults
from planner.screens.session import keep
from planner.screens.wording import plain
from planner.words.measures import count_words
from planner.workbook.unsaid import sheets_read

#: Key of the session: the sheet looked at last, to be shown again when the workbook has been read again.
_AT = "mending_at"

#: The choice that leads to the sheets without faults.
_OTHERS = "Other sheets"

#: Width of the column that says what is wrong.
FAULT_PX = 330

#: Rows up to which a table is as tall as its rows; a longer one scrolls.
ROWS_UNROLLED = 40


def mend(here: Desk, mending: Mending) -> None:
    """The workbook's sheets, to be put right and read again. Typing redraws only this part of the page."""

    @st.fragment
    def tables() -> None:
        _head(mending)
        _whole_sheets(mending)
        name = _sheet_to_mend(mending)
        if name is not None:
            _sheet(mending, name)
        _buttons(here, mending)
        keep(here)

    tables()


def _head(mending: Mending) -> None:
    count = len(mending.faults)
    on = [name for name in mending.job_sheets if mending.faults_of(name)]
    where = f", on {' and '.join(', '.join(on).rsplit(', ', 1))}" if on else ""
    chrome.verdict(
        f"Mending {mending.file}: {count_words(count, 'thing')} to put right{where}. The cells "
        "are those of the file; what you type is kept here, and the file itself stays as it is.",
        "bad",
    )


def _whole_sheets(mending: Mending) -> None:
    """Faults that no cell can mend: of a sheet that is not there, or goes by another name."""
    for tab, meant in mending.misspelt.items():
        label = f"Take the sheet {plain(tab)} for {meant}"
        if st.button(label, key=f"mend_rename_{tab}_{mending.round}", icon=":material/edit:"):
            mending.rename_sheet(tab, meant)
            st.rerun()
    for name in mending.lacking:
        label = f"Add an empty sheet {name}"
        if st.button(label, key=f"mend_add_{name}_{mending.round}", icon=":material/add:"):
            mending.add_sheet(name)
            st.rerun()
    if mending.elsewhere:
        _list(mending.elsewhere, {}, key="elsewhere")


def _sheet_to_mend(mending: Mending) -> str | None:
    """The sheet to be shown: one with faults, or another one."""
    counts = {name: len(mending.faults_of(name)) for name in mending.job_sheets}
    bad, fine = ([n for n, count in counts.items() if bool(count) is put] for put in (True, False))
    options = [*bad, *([_OTHERS] if fine else [])]
    if not options:
        return None

    def label(name: str) -> str:
        edited = ", edited" if name in mending.edited else ""
        return f"{name} · {counts[name]} to put right{edited}" if counts.get(name) else f"{name}{edited}"

    at = str(st.session_state.get(_AT))
    first = at if at in options else options[0]
    picked = chrome.choice("Sheet", options, f"mend_sheet_{mending.round}", default=first, format_func=label)
    st.session_state[_AT] = picked
    if picked != _OTHERS:
        return picked
    given = {"options": fine, "format_func": label, "persist_state": "session"}
    return str(chrome.ask(st.selectbox, "mend_other", of=mending.round, **given))


def _sheet(mending: Mending, name: str) -> None:
    widget = f"mend_{name}_{mending.round}"
    base = mending.base(name, fresh=widget not in st.session_state)
    headings = mending.headings(name)
    letters = [c for c in base.columns if c not in (ROW, FAULT)]
    told = "The row of the file; blank for a row added here."
    row = st.column_config.NumberColumn("Row", disabled=True, width=50, pinned=True, help=told)
    columns: dict[str, Any] = {ROW: row}
    for letter in letters:
        label = f"{headings[letter]} · {letter}" if headings.get(letter) else letter
        columns[letter] = st.column_config.TextColumn(label, width=_width_px(label, base[letter]))
    edited = table_editor(
        base,
        widget,
        # Left of all cells: between them it would take up what is pasted across.
        [column for column in (ROW, FAULT, *letters) if column in base.columns],
        columns,
        fault_width=FAULT_PX,
        height="content" if len(base) <= ROWS_UNROLLED else 700,
        alt=f"The sheet {name} as it stands in the file, one row a row",
    )
    mending.keep_table(name, edited)
    if mending.without_headings(name) and st.button(
        "Put the headings in above", key=f"mend_headings_{name}_{mending.round}", icon=":material/add:"
    ):
        mending.put_headings(name)
        st.rerun()
    _meant(mending, name)
    _list([fault for _, fault in mending.faults_of(name)], headings, key="here")


def _meant(mending: Mending, name: str) -> None:
    """A press for each cell of which the reader knows what was meant: it is put there, to be read again."""
    for number, (place, fault) in enumerate(mending.faults_of(name)):
        meant = meant_by(fault)
        if meant and place.cell:
            label = f"{place.cell}: {plain(meant)}, not {plain(fault.found)}"
            key = f"mend_meant_{name}_{number}_{mending.round}"
            if st.button(label, key=key, icon=":material/edit:"):
                mending.take_meant(place, fault)
                st.rerun()


def _width_px(label: str, texts: pd.Series[str]) -> int:
    """Wide enough for the heading, and for the texts of most columns."""
    longest = max((len(text) for text in texts), default=0)
    return 45 + 7 * max(len(label), min(longest, 24))


def _list(faults: Sequence[Fault], headings: dict[str, str], *, key: str) -> None:
    where = {
        "Cell": lambda fault: place_of(fault).cell or fault.where,
        "Column": lambda fault: headings.get(place_of(fault).letter, ""),
    }
    alt = "What to put right on this sheet, one a row"
    more = "listed; they stand beside their rows"
    show_faults(faults, where, key=f"wide_faults_{key}", alt=alt, more=more)


def _buttons(here: Desk, mending: Mending) -> None:
    # Asked here and not in a callback, which would come before what was typed last is taken from the table.
    with st.container(horizontal=True, vertical_alignment="center"):
        if chrome.ask(st.button, "mend_read"):
            _read(here, mending)
            st.rerun()
        if st.button("Put this file away", key="mend_away"):
            here.put_file_away()
            st.rerun()
        if mending.edited:
            st.caption(f"Edited, not read again yet: {plain(', '.join(sorted(mending.edited)))}")


def _read(here: Desk, mending: Mending) -> None:
    job = mending.read_again()
    if job is None:
        here.refused = Refused(mending.file, mending.faults)
        return
    here.open(job, f"{sheets_read(mending.file, mending.sheets)} Put right on the screen before it was read.")
    here.note = (
        f"{mending.file} is put right and open. The file itself still has its faults: take the mended one "
        "with This job as a workbook."
    )
