"""A workbook with faults as tables on the page, each fault beside its row; a button has it read again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from planner.errors import Fault
from planner.screens import chrome
from planner.screens.desk import Desk, Refused
from planner.screens.desk_keep import keep
from planner.screens.edits import FAULT
from planner.screens.mending import ROW, Mending, Place
from planner.screens.wording import plain

#: Key of the session: the sheet looked at last, to be shown again when the workbook has been read again.
_AT = "mending_at"

#: The choice that leads to the sheets without faults.
_OTHERS = "Other sheets"

#: Width of the column that says what is wrong; and how far right it may stand.
FAULT_PX, LEFT_COLUMNS = 330, 4

#: Rows up to which a table is as tall as its rows; a longer one scrolls.
ROWS_UNROLLED = 40

#: Faults listed below a table; the rest stand beside their rows.
FAULTS_SHOWN = 100


def mend(here: Desk, mending: Mending) -> None:
    """The workbook's sheets, to be put right and read again. Typing redraws only this part of the page."""

    @st.fragment
    def tables() -> None:
        _head(mending)
        _whole_sheets(mending)
        name = _chosen(mending)
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
        f"Mending {mending.file}: {count} thing{'s' if count != 1 else ''} to put right{where}. The cells "
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
        _list([(Place(""), fault) for fault in mending.elsewhere], {}, key="elsewhere")


def _chosen(mending: Mending) -> str | None:
    """The sheet to be shown: one with faults, or another one."""
    counts = {name: len(mending.faults_of(name)) for name in mending.job_sheets}
    bad = [name for name, count in counts.items() if count]
    fine = [name for name, count in counts.items() if not count]
    options = [*bad, *([_OTHERS] if fine else [])]
    if not options:
        return None

    def label(name: str) -> str:
        edited = ", edited" if name in mending.edited else ""
        return f"{name} · {counts[name]} to put right{edited}" if counts.get(name) else f"{name}{edited}"

    picked = st.segmented_control(
        "Sheet",
        options,
        key=f"mend_sheet_{mending.round}",
        default=at if (at := st.session_state.get(_AT)) in options else options[0],
        required=True,
        format_func=label,
        label_visibility="collapsed",
        persist_state="session",
    )
    st.session_state[_AT] = picked
    if picked != _OTHERS:
        return str(picked)
    return st.selectbox(
        "Sheet without faults",
        fine,
        key=f"mend_other_{mending.round}",
        format_func=label,
        persist_state="session",
    )


def _sheet(mending: Mending, name: str) -> None:
    widget = f"mend_{name}_{mending.round}"
    base = mending.base(name, fresh=widget not in st.session_state)
    headings = mending.headings(name)
    letters = [c for c in base.columns if c not in (ROW, FAULT)]
    columns: dict[str, Any] = {
        ROW: st.column_config.NumberColumn(
            "Row",
            disabled=True,
            width=50,
            pinned=True,
            help="The row of the file; blank for a row added here.",
        ),
        FAULT: st.column_config.TextColumn("To put right", disabled=True, width=FAULT_PX),
        **{
            letter: st.column_config.TextColumn(
                _label(letter, headings),
                width=_width_px(_label(letter, headings), base[letter]),
            )
            for letter in letters
        },
    }
    edited: pd.DataFrame = st.data_editor(
        base,
        key=widget,
        num_rows="dynamic",
        hide_index=True,
        height="content" if len(base) <= ROWS_UNROLLED else 700,
        placeholder="",
        column_order=_order(mending, name, base, letters),
        column_config=columns,
        alt=f"The sheet {name} as it stands in the file, one row a row",
    )
    mending.keep_table(name, edited)
    if mending.without_headings(name) and st.button(
        "Put the headings in above", key=f"mend_headings_{name}_{mending.round}", icon=":material/add:"
    ):
        mending.put_headings(name)
        st.rerun()
    _list(mending.faults_of(name), headings, key="here")


def _label(letter: str, headings: dict[str, str]) -> str:
    heading = headings.get(letter, "")
    return f"{heading} · {letter}" if heading else letter


def _order(mending: Mending, name: str, base: pd.DataFrame, letters: list[str]) -> list[str]:
    """Columns as in the file; what is wrong stands right of its cells where these are well to the left."""
    if FAULT not in base.columns:
        return [ROW, *letters]
    faulty = [letters.index(letter) for p, _ in mending.faults_of(name) if (letter := p.letter) in letters]
    after = max(faulty, default=0) + 1
    if after > LEFT_COLUMNS:
        after = 1
    return [ROW, *letters[:after], FAULT, *letters[after:]]


def _width_px(label: str, texts: pd.Series[str]) -> int:
    """Wide enough for the heading, and for the texts of most columns."""
    longest = max((len(text) for text in texts), default=0)
    return 45 + 7 * max(len(label), min(longest, 24))


def _list(placed: Sequence[tuple[Place, Fault]], headings: dict[str, str], *, key: str) -> None:
    """Faults with cell, sentence, what was found and what is allowed."""
    if not placed:
        return
    rows = []
    for place, fault in placed[:FAULTS_SHOWN]:
        rows.append(
            {
                "Cell": place.cell or fault.where,
                "Column": headings.get(place.letter, ""),
                "What is wrong": fault.sentence,
                "Found": fault.found or "(blank)",
                "Allowed": fault.allowed,
            }
        )
    with st.container(key=f"wide_faults_{key}"):
        st.table(
            pd.DataFrame(rows).map(plain),
            hide_index=True,
            border="horizontal",
            alt="What to put right on this sheet, one a row",
        )
    if len(placed) > FAULTS_SHOWN:
        st.caption(f"{len(placed) - FAULTS_SHOWN} more are not listed; they stand beside their rows.")


def _buttons(here: Desk, mending: Mending) -> None:
    # Asked here and not in a callback, which would come before what was typed last is taken from the table.
    with st.container(horizontal=True, vertical_alignment="center"):
        if st.button(
            "Read again",
            key="mend_read",
            type="primary",
            icon=":material/refresh:",
            help="Reads the whole workbook as it now is; without faults it becomes the open job.",
        ):
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
    here.open(job, mending.file)
    here.note = (
        f"{mending.file} is put right and open. The file itself still has its faults: take the mended one "
        "with This job as a workbook."
    )
