"""Widgets that edit the sheets of the open job.

Tables for what is listed and fields for settings, with a button that applies them. What is typed is kept as
it is typed, each fault is told beside its row and again below, and only this part of the page is drawn anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any, Literal

import pandas as pd
import streamlit as st

from planner.check.limits import LIMITS
from planner.errors import InputFaults
from planner.job import Job, UnitSystem
from planner.job.contradiction import known_time_zones
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.edits import FAULT
from planner.screens.editing.sheets import (
    SHEETS,
    cell_of,
    chips,
    edited_job,
    place_in_table,
)
from planner.screens.frames import show_faults
from planner.screens.session import keep
from planner.screens.wording import plain
from planner.workbook.cells import split_names
from planner.workbook.columns import CellKind, JobColumn, JobSheet
from planner.workbook.job_sheets import RULES, SITE
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
            limits_table(here, job, sheet)
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


def edit_table(here: Desk, job: Job, sheet: JobSheet, fields: Sequence[str] = ()) -> None:
    """A sheet that lists things as a table that takes new rows and what is pasted from a spreadsheet;
    ``fields``: columns to show, all of the sheet's where none is named."""
    widget = f"edit_{sheet.name}_{here.version}_{here.edits.mark(sheet)}"
    base = here.edits.base(sheet, job, fresh=widget not in st.session_state)
    shown = [FAULT] if FAULT in base.columns else []
    edited = table_editor(
        base,
        widget,
        [*shown, *(fields or (c.field for c in sheet.columns))],
        {c.field: column_widget(sheet, c, job, here.edits.units) for c in sheet.columns},
        fault_width="large",
        alt=f"Table {sheet.name}, one row a {sheet.row_is}",
    )
    here.edits.keep_table(sheet, job, edited)
    st.caption(
        "New rows go into the empty last line. Cells may be pasted from a spreadsheet; rows are deleted by "
        "ticking them at the left and pressing Delete."
    )


def table_editor(
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
    shown: dict[str, Any] = {"column_order": order, "column_config": {**columns, FAULT: fault}}
    shown |= {"num_rows": "dynamic", "hide_index": True, "height": height, "placeholder": ""}
    edited: pd.DataFrame = st.data_editor(base, key=widget, alt=alt, **shown)
    return edited


def column_widget(sheet: JobSheet, column: JobColumn, job: Job, units: UnitSystem) -> Any:
    """How a column of the workbook is edited in a table, in these units."""
    common: dict[str, Any] = {"label": column.heading(units), "help": _help(sheet, column, units)}
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return st.column_config.NumberColumn(**common, step=1 if column.whole_in(units) else None)
    if chips(column):
        own: dict[str, Any] = {"options": _names(column, job), "accept_new_options": True, "color": "gray"}
        return st.column_config.MultiselectColumn(**common, **own)
    if column.kind is CellKind.YES_NO:
        return st.column_config.CheckboxColumn(**common)
    if column.kind is CellKind.DATE:
        return st.column_config.DateColumn(**common, format="YYYY-MM-DD")
    choices = _choices(column, job)
    if choices:
        return st.column_config.SelectboxColumn(**common, options=choices)
    return st.column_config.TextColumn(**common)


def _choices(column: JobColumn, job: Job) -> list[str]:
    """What a cell may hold where that is a closed list."""
    if column.kind is CellKind.CHOICE:
        return [str(c) for c in column.choices]
    if column.kind is CellKind.NAME and column.refers in ("people", "items", "stations"):
        return _names(column, job)
    return []


def _names(column: JobColumn, job: Job) -> list[str]:
    """The names of the kind that a column refers to."""
    if column.refers == "people":
        return [p.name for p in job.people]
    if column.refers == "items":
        return [i.name for i in job.items]
    if column.refers == "stations":
        return [s.name for s in job.stations]
    if column.refers == "certificates":
        asked = {c for i in job.dive_items for c in i.certificates}
        asked |= {row.certificate for row in job.rules.duty_certificates}
        return sorted(asked | {c.name for p in job.people for c in p.certificates})
    return [*job.duties, *sorted({d for p in job.people for d in p.duties} - set(job.duties))]


def _help(sheet: JobSheet, column: JobColumn, units: UnitSystem) -> str:
    parts = [column.help]
    blank = sheet.blank_means(column, units)
    if blank:
        parts.append(f"Blank: {blank}.")
    if column.kind in (CellKind.NAMES, CellKind.CREW) and column.example:
        parts.append(f"For example {column.example}.")
    if column.kind is CellKind.CLOCK:
        parts.append("0700 or 07:00.")
    return " ".join(parts)


def edit_settings(here: Desk, job: Job, sheet: JobSheet) -> None:
    """A sheet of settings but the units as fields, two side by side, under the subjects that `SUBJECTS` sorts
    them by."""
    values = here.edits.settings(sheet, job)
    bad = {title: fault for _, title, fault in here.edits.faults_at(sheet)}
    columns = {c.field: c for c in sheet.columns if c.field != "units"}
    typed: dict[str, CellValue] = {}
    for subject, fields in SUBJECTS.get(sheet.name, {"": tuple(columns)}).items():
        if subject:
            st.markdown(f"**{subject}**")
        for number, column in enumerate(columns[field] for field in fields):
            if number % 2 == 0:
                # A row of its own for each two: on a phone they then follow in their order.
                places = st.columns(2, gap="large")
            with places[number % 2]:
                given = setting_field(here, sheet, column, values[column.field])
                typed[column.field] = cell_of(column, given)
                if column.title in bad:
                    st.caption(f":red[{plain(bad[column.title].sentence)}]")
    here.edits.keep_settings(sheet, job, typed)


_SLACK = ("slack_offset_min", "slack_length_min")

#: Settings by subject, for a sheet with too many of them to be read down in one list.
SUBJECTS: dict[str, dict[str, tuple[str, ...]]] = {
    SITE.name: {
        "Days and hours": ("name", "first_day", "days", "day_start", "day_end", "early_enough"),
        "Place and light": ("latitude_deg", "longitude_deg", "time_zone", "daylight_only"),
        "Water": ("water", "water_temp_f", "altitude_ft", "depth_gauge", *_SLACK),
        "Ways up": ("policy", "in_water_stop_max_min", "oxygen_in_water", "table_set"),
        "Margins to the tables": ("margin_min", "next_longer_row", "pneumofathometer_correction"),
        "Stations and chamber": ("stations_at_once", "chamber_minutes_away", "chamber_places"),
    }
}


def setting_field(here: Desk, sheet: JobSheet, column: JobColumn, value: CellValue) -> object:
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
    if column.field == "time_zone":
        zones = sorted(known_time_zones() | ({str(value)} if value else set()))
        index = zones.index(str(value)) if value else None
        return st.selectbox(options=zones, index=index, filter_mode=chrome.AS_TYPED, **common)
    if column.kind is CellKind.NAMES:
        shipped = split_names(column.default)
        picked = st.multiselect(options=shipped, default=split_names(str(value or "")), **common)
        st.caption("To change the order, clear the list and pick: the first picked is the first that counts.")
        return picked
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
    sheet: JobSheet, column: JobColumn, value: CellValue, units: UnitSystem, common: dict[str, Any]
) -> float | None:
    """A number with its limits in these units; whole numbers step by one."""
    low, high = sheet.range_in(column, units)
    number = value if isinstance(value, int | float) else None
    if number is not None:
        # A limit in metric units is shrunk to hundredths; what stands there may be the limit itself.
        low = None if low is None else min(low, number)
        high = None if high is None else max(high, number)
    kind: type[int] | type[float] = int if column.whole_in(units) else float
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
            "Row": lambda fault: "" if (row := place_in_table(fault)[1]) is None else str(row + 1),
            "Column": lambda fault: place_in_table(fault)[2],
        }
        show_faults(here.edits.faults, where, key=f"wide_faults_{key}", alt="What to put right")


def _apply(here: Desk, job: Job) -> None:
    names = ", ".join(sorted(here.edits.typed))
    try:
        by = str(st.session_state.get("signs_kept") or "")
        edits, units = here.edits.typed, here.edits.units
        changed = edited_job(job, edits, units=units, now=datetime.now(UTC), by=by)
    except InputFaults as found:
        here.edits.begin_anew(found.faults)
    else:
        here.change(changed, names)
        here.edits.clear()
        st.session_state[_APPLIED] = names


def limits_table(here: Desk, job: Job, sheet: JobSheet) -> None:
    """Settings with a source as a table: only the values are edited. Those of a list are fields above it;
    texts are edited elsewhere."""
    units = here.edits.units
    columns = [c for c in sheet.columns if c.kind in (CellKind.WHOLE, CellKind.NUMBER)]
    values = here.edits.settings(sheet, job)
    widget = f"edit_{sheet.name}_{here.version}_{here.edits.round}"
    bad = {title: fault.sentence for _, title, fault in here.edits.faults_at(sheet)}
    typed: dict[str, CellValue] = {
        c.field: cell_of(c, setting_field(here, sheet, c, values[c.field]))
        for c in sheet.columns
        if c.kind in (CellKind.CHOICE, CellKind.NAMES)
    }
    if widget not in st.session_state or "limits_base" not in st.session_state:
        st.session_state["limits_base"] = pd.DataFrame(
            {
                "Limit": [c.title for c in columns],
                "Value": pd.Series([values.get(c.field) for c in columns], dtype="Float64"),
                "Unit": [c.unit_in(units) for c in columns],
                "What it does": [c.help for c in columns],
                "Source": [c.source for c in columns],
                "Ground": [
                    LIMITS[f].basis.value if (f := c.limits_of or c.field) in LIMITS else "" for c in columns
                ],
                "To put right": [bad.get(c.title, "") for c in columns],
            }
        )
    order = ["Limit", "Value", "Unit", "What it does", "Source", "Ground"]
    shown: dict[str, Any] = {
        "disabled": [name for name in order if name != "Value"],
        "column_order": [*order[:3], "To put right", *order[3:]] if bad else order,
        "column_config": {"Value": st.column_config.NumberColumn(format="%g", width="small")},
    }
    base, alt = st.session_state["limits_base"], "Limits with value, unit, source and ground"
    edited = st.data_editor(base, key=widget, hide_index=True, height="content", alt=alt, **shown)
    typed |= {c.field: _number(c, value, units) for c, value in zip(columns, edited["Value"], strict=True)}
    here.edits.keep_settings(sheet, job, typed)


def _number(column: JobColumn, value: object, units: UnitSystem) -> CellValue:
    """A table's number as the cell would hold it: whole where the column is."""
    cell = cell_of(column, value)
    if isinstance(cell, float) and cell.is_integer() and column.whole_in(units):
        return int(cell)
    return cell
