"""Widgets that edit sheets: those of the open job, and those of a workbook with faults.

The open job's sheets are tables for what is listed and fields for settings, with a button that applies them;
a workbook with faults shows the cells of its file, with a button that reads it again. Both keep what is typed
as it is typed, tell each fault beside its row and again below, and redraw only their own part of the page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any, Literal

import pandas as pd
import streamlit as st

from planner.check.limits import LIMITS, Limit
from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem
from planner.screens import chrome
from planner.screens.desk import Desk, Refused
from planner.screens.editing.edits import FAULT
from planner.screens.editing.mending import Mending
from planner.screens.editing.sheets import (
    ROW,
    SHEETS,
    cell_of,
    chips,
    edited_job,
    place_in_table,
    place_of,
    whole_steps,
)
from planner.screens.frames import show_faults
from planner.screens.session import keep
from planner.screens.wording import plain
from planner.workbook.columns import CellKind, Column, JobSheet
from planner.workbook.job_sheets import RULES
from planner.workbook.layout import CellValue

#: Set in the session when edits were applied, to be told once.
_APPLIED = "applied"

#: Days that a date field offers; a medical or a test may lie some years off.
_FIRST_DAY, _LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)


def edit_sheets(here: Desk, sheets: Sequence[JobSheet], *, key: str) -> None:
    """Choose one of several sheets of the open job and edit it.

    What is typed is kept until it is applied or thrown away. Typing redraws only this part of the page;
    applying redraws all of it.
    """

    @st.fragment
    def editing() -> None:
        applied = st.session_state.pop(_APPLIED, None)
        if applied is not None:
            st.toast(f"Applied: {plain(applied)}", icon=":material/check:")
        job = here.job
        if job is None:
            return
        if here.edits.units is not here.units and not _on_page(here):
            here.edits.show_in(here.units, job)
        sheet = _chosen(here, sheets, key)
        st.caption(_purpose(here, job, sheet))
        if sheet is RULES:
            limits_table(here, job, sheet, LIMITS)
        elif sheet.settings:
            edit_settings(here, job, sheet)
        else:
            edit_table(here, job, sheet)
        apply_bar(here, job, key=key)
        if here.edits.units is not here.units:
            # The fields were drawn once more as they were, so that what was typed last is taken up.
            here.edits.show_in(here.units, job)
            st.rerun()
        keep(here)

    editing()


def edit_page(here: Desk, job: Job, names: Sequence[str], *, key: str) -> None:
    """A page that edits sheets of the open job, by name, and does nothing else."""
    chrome.job_line(job)
    edit_sheets(here, [SHEETS[name] for name in names], key=key)


def _purpose(here: Desk, job: Job, sheet: JobSheet) -> str:
    """What the sheet is for; in which units it is typed where those are not the job's own."""
    purpose = plain(sheet.purpose.split(". ")[0].rstrip(".") + "." if sheet.settings else sheet.purpose)
    units = here.edits.units
    if units is job.site.units or all(c.measure is None for c in sheet.columns):
        return purpose
    return (
        f"{purpose}  \nShown and typed in {units}. What you type is rounded to the safe side; what you leave "
        f"alone stays exact. The job's workbook goes out in {job.site.units}."
    )


def _on_page(here: Desk) -> bool:
    """Whether the tab holds fields of the desk as it is, which may have been typed into since."""
    mark = f"_{here.version}_{here.edits.round}"
    return any(str(key).endswith(mark) for key in st.session_state)


def _chosen(here: Desk, sheets: Sequence[JobSheet], key: str) -> JobSheet:
    if len(sheets) == 1:
        return sheets[0]
    by_name = {sheet.name: sheet for sheet in sheets}
    bad = here.edits.sheets_with_faults()

    def label(name: str) -> str:
        return f"{name} · to put right" if name in bad else name

    return by_name[chrome.choice("Table", by_name, f"sheet_{key}", format_func=label)]


def edit_table(here: Desk, job: Job, sheet: JobSheet) -> None:
    """A sheet that lists things as a table that takes new rows and what is pasted from a spreadsheet."""
    widget = f"edit_{sheet.name}_{here.version}_{here.edits.round}"
    base = here.edits.base(sheet, job, fresh=widget not in st.session_state)
    shown = [FAULT] if FAULT in base.columns else []
    edited = _table(
        base,
        widget,
        [*shown, *(c.field for c in sheet.columns)],
        {c.field: column_widget(sheet, c, job, here.edits.units) for c in sheet.columns},
        fault_width="large",
        alt=f"Table {sheet.name}, one row a {sheet.row_is}",
    )
    here.edits.keep_table(sheet, job, edited)
    st.caption(
        "New rows go into the empty last line. Cells may be pasted from a spreadsheet; rows are deleted by "
        "ticking them at the left and pressing Delete."
    )


def _table(
    base: pd.DataFrame,
    widget: str,
    order: list[str],
    columns: dict[str, Any],
    *,
    fault_width: Any,
    alt: str,
    height: int | Literal["content"] = "content",
) -> pd.DataFrame:
    """A table that takes new rows, with what is wrong in a row beside it; the table as it is edited."""
    fault = st.column_config.TextColumn("To put right", disabled=True, width=fault_width)
    edited: pd.DataFrame = st.data_editor(
        base,
        key=widget,
        num_rows="dynamic",
        hide_index=True,
        height=height,
        placeholder="",
        column_order=order,
        column_config={**columns, FAULT: fault},
        alt=alt,
    )
    return edited


def column_widget(sheet: JobSheet, column: Column, job: Job, units: UnitSystem) -> Any:
    """How a column of the workbook is edited in a table, in these units."""
    common: dict[str, Any] = {
        "label": column.heading(units),
        "help": _help(sheet, column, units),
    }
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return st.column_config.NumberColumn(**common, step=1 if whole_steps(column, units) else None)
    if chips(column):
        return st.column_config.MultiselectColumn(
            **common, options=_names(column, job), accept_new_options=True, color="gray"
        )
    if column.kind is CellKind.YES_NO:
        return st.column_config.CheckboxColumn(**common)
    if column.kind is CellKind.DATE:
        return st.column_config.DateColumn(**common, format="YYYY-MM-DD")
    choices = _choices(column, job)
    if choices:
        return st.column_config.SelectboxColumn(**common, options=choices)
    return st.column_config.TextColumn(**common)


def _choices(column: Column, job: Job) -> list[str]:
    """What a cell may hold where that is a closed list."""
    if column.kind is CellKind.CHOICE:
        return [str(c) for c in column.choices]
    if column.kind is CellKind.NAME and column.refers in ("people", "items", "stations"):
        return _names(column, job)
    return []


def _names(column: Column, job: Job) -> list[str]:
    """The names of the kind that a column refers to."""
    if column.refers == "people":
        return [p.name for p in job.people]
    if column.refers == "items":
        return [i.name for i in job.items]
    if column.refers == "stations":
        return [s.name for s in job.stations]
    if column.refers == "certificates":
        asked = {c for i in job.dive_items for c in i.certificates}
        return sorted(asked | {c.name for p in job.people for c in p.certificates})
    return [*job.duties, *sorted({d for p in job.people for d in p.duties} - set(job.duties))]


def _help(sheet: JobSheet, column: Column, units: UnitSystem) -> str:
    parts = [column.help]
    blank = sheet.blank_means(column, units)
    if blank:
        parts.append(f"Blank: {blank}.")
    if column.kind in (CellKind.NAMES, CellKind.CREW) and column.example:
        parts.append(f"For example {column.example}.")
    if column.kind is CellKind.CLOCK:
        parts.append("0700 or 07:00.")
    return " ".join(parts)


def edit_settings(here: Desk, job: Job, sheet: JobSheet, leave_out: tuple[str, ...] = ("units",)) -> None:
    """A sheet of settings as fields, two side by side."""
    values = here.edits.settings(sheet, job)
    bad = {title: fault for _, title, fault in here.edits.faults_at(sheet)}
    columns = [c for c in sheet.columns if c.field not in leave_out]
    typed: dict[str, CellValue] = {}
    places = st.columns(2, gap="large")
    for number, column in enumerate(columns):
        with places[number % 2]:
            typed[column.field] = cell_of(column, _field(here, sheet, column, values[column.field]))
            if column.title in bad:
                st.caption(f":red[{plain(bad[column.title].sentence)}]")
    here.edits.keep_settings(sheet, job, typed)


def _field(here: Desk, sheet: JobSheet, column: Column, value: CellValue) -> object:
    units = here.edits.units
    common: dict[str, Any] = {
        "label": column.heading(units),
        "key": f"set_{sheet.name}_{column.field}_{here.version}_{here.edits.round}",
        "help": _help(sheet, column, units),
    }
    if column.kind is CellKind.CHOICE:
        options = [str(c) for c in column.choices]
        index = options.index(str(value)) if str(value) in options else None
        return st.selectbox(options=options, index=index, **common)
    if column.kind is CellKind.YES_NO:
        return st.toggle(value=value == "yes", **common)
    if column.kind is CellKind.DATE:
        shown = value if isinstance(value, date) else None
        return st.date_input(
            value=shown, min_value=_FIRST_DAY, max_value=_LAST_DAY, format="YYYY-MM-DD", **common
        )
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return _number_field(sheet, column, value, units, common)
    return st.text_input(value="" if value is None else str(value), **common)


def _number_field(
    sheet: JobSheet, column: Column, value: CellValue, units: UnitSystem, common: dict[str, Any]
) -> float | None:
    """A number with its limits in these units; whole numbers step by one."""
    bounds = sheet.bounds(column)
    low, high = bounds.low, bounds.high
    if column.measure is not None:
        low, high = column.measure.range(low, high, units)
    number = value if isinstance(value, int | float) else None
    if number is not None:
        # A limit in metric units is shrunk to hundredths; what stands there may be the limit itself.
        low = None if low is None else min(low, number)
        high = None if high is None else max(high, number)
    kind: type[int] | type[float] = int if whole_steps(column, units) else float
    limits = {"value": number, "min_value": low, "max_value": high}
    shown: dict[str, Any] = {name: None if limit is None else kind(limit) for name, limit in limits.items()}
    shown |= {"step": 1} if kind is int else {"step": 0.1, "format": "%g"}
    typed: float | None = st.number_input(**shown, **common)
    return typed


def apply_bar(here: Desk, job: Job, *, key: str) -> None:
    """What is edited, and the two buttons: apply it to the job, or throw it away."""
    typed = sorted(here.edits.typed)
    with st.container(horizontal=True, vertical_alignment="center"):
        # Asked here and not in a callback, which would come before what was typed last is taken up.
        if chrome.ask(st.button, "apply", of=key, disabled=not typed):
            _apply(here, job)
            st.rerun()
        chrome.button("discard", here.edits.clear, of=key, disabled=not typed)
        st.caption(f"Edited, not applied: {plain(', '.join(typed))}" if typed else "Nothing is edited.")
    if here.edits.faults:
        chrome.verdict("Not applied: what was typed has things to put right. It is all kept here.", "bad")
        where = {
            "Table": lambda fault: place_in_table(fault)[0],
            "Row": lambda fault: _row_text(place_in_table(fault)[1]),
            "Column": lambda fault: place_in_table(fault)[2],
        }
        show_faults(here.edits.faults, where, key=f"wide_faults_{key}", alt="What to put right")


def _row_text(row: int | None) -> str:
    return "" if row is None else str(row + 1)


def _apply(here: Desk, job: Job) -> None:
    names = ", ".join(sorted(here.edits.typed))
    try:
        changed = edited_job(
            job,
            here.edits.typed,
            units=here.edits.units,
            now=datetime.now(UTC),
            by=str(st.session_state.get("signs_kept") or ""),
        )
    except InputFaults as found:
        here.edits.begin_anew(found.faults)
    else:
        here.change(changed, names)
        here.edits.clear()
        st.session_state[_APPLIED] = names


def limits_table(here: Desk, job: Job, sheet: JobSheet, limits: Mapping[str, Limit]) -> None:
    """Settings with a source as a table: only the values are edited. Those of a list are fields above it.

    Parameters
    ----------
    sheet
        The sheet of settings; texts in it are edited elsewhere.
    limits
        What each setting means and where it comes from, by field.
    """
    units = here.edits.units
    columns = [c for c in sheet.columns if c.kind in (CellKind.WHOLE, CellKind.NUMBER)]
    values = here.edits.settings(sheet, job)
    widget = f"edit_{sheet.name}_{here.version}_{here.edits.round}"
    bad = {title: fault.sentence for _, title, fault in here.edits.faults_at(sheet)}
    typed: dict[str, CellValue] = {
        c.field: cell_of(c, _field(here, sheet, c, values[c.field]))
        for c in sheet.columns
        if c.kind is CellKind.CHOICE
    }
    if widget not in st.session_state or "limits_base" not in st.session_state:
        st.session_state["limits_base"] = pd.DataFrame(
            {
                "Limit": [c.title for c in columns],
                "Value": pd.Series([values.get(c.field) for c in columns], dtype="Float64"),
                "Unit": [c.unit_in(units) for c in columns],
                "What it does": [c.help for c in columns],
                "Source": [c.source for c in columns],
                "Ground": [_ground(c, limits) for c in columns],
                "To put right": [bad.get(c.title, "") for c in columns],
            }
        )
    order = ["Limit", "Value", "Unit", "What it does", "Source", "Ground"]
    edited: pd.DataFrame = st.data_editor(
        st.session_state["limits_base"],
        key=widget,
        hide_index=True,
        height="content",
        disabled=[name for name in order if name != "Value"],
        column_order=[*order[:3], "To put right", *order[3:]] if bad else order,
        column_config={"Value": st.column_config.NumberColumn(format="%g", width="small")},
        alt="Limits with value, unit, source and ground",
    )
    typed |= {c.field: _number(c, value, units) for c, value in zip(columns, edited["Value"], strict=True)}
    here.edits.keep_settings(sheet, job, typed)


def _ground(column: Column, limits: Mapping[str, Limit]) -> str:
    found = limits.get(column.limits_of or column.field)
    return found.basis.value if found else ""


def _number(column: Column, value: object, units: UnitSystem) -> CellValue:
    """A table's number as the cell would hold it: whole where the column is."""
    cell = cell_of(column, value)
    if isinstance(cell, float) and cell.is_integer() and whole_steps(column, units):
        return int(cell)
    return cell


#: Key of the session: the sheet looked at last, to be shown again when the workbook has been read again.
_AT = "mending_at"

#: The choice that leads to the sheets without faults.
_OTHERS = "Other sheets"

#: Width of the column that says what is wrong; and how far right it may stand.
FAULT_PX, LEFT_COLUMNS = 330, 4

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
        _list(mending.elsewhere, {}, key="elsewhere")


def _sheet_to_mend(mending: Mending) -> str | None:
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
    number = st.column_config.NumberColumn(
        "Row",
        disabled=True,
        width=50,
        pinned=True,
        help="The row of the file; blank for a row added here.",
    )
    columns: dict[str, Any] = {ROW: number}
    for letter in letters:
        label = f"{headings[letter]} · {letter}" if headings.get(letter) else letter
        columns[letter] = st.column_config.TextColumn(label, width=_width_px(label, base[letter]))
    edited = _table(
        base,
        widget,
        _order(mending, name, base, letters),
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
    _list([fault for _, fault in mending.faults_of(name)], headings, key="here")


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
    here.open(job, mending.file)
    here.note = (
        f"{mending.file} is put right and open. The file itself still has its faults: take the mended one "
        "with This job as a workbook."
    )
