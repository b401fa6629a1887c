"""The page for the office: hours by person and duty, overtime and premiums, and the files to take away."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from planner.check import SUBJECT_TO
from planner.check.rest import ShortRest
from planner.errors import Fault, InputFaults
from planner.hours.logbook import Logbook, logbooks, runs_of_days
from planner.hours.office_files import call_files, hours_csv, payroll_csv
from planner.hours.pay_rules import (
    COLUMNS,
    EXAMPLE_RULES,
    KINDS,
    CountBy,
    PayRules,
    pay_rows,
    pay_rules_csv,
    pay_rules_from,
    pay_rules_of_csv,
)
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.weeks import PayLine, PersonWeek
from planner.hours.worked import WorkedRecord, from_plan
from planner.job.duties import PaidAs
from planner.screens import chrome
from planner.screens.backend import book_of
from planner.screens.desk import Desk
from planner.screens.frames import Columns, frame_of, show_table
from planner.screens.saved import store_or_stop
from planner.screens.wording import plain
from planner.store import StoreRefused
from planner.store.recording import logged_day, worked, worked_days
from planner.words.measures import hours_minutes

_RULES, _FAULTS = "pay rules", "pay_faults"
_SHOWN = "the plan shown under Tomorrow"


def page(here: Desk) -> None:
    """Draw the page."""
    records = _records(here)
    with st.expander("Pay rules", expanded=False):
        _edit_rules(here)
    if records:
        try:
            sheets = timesheets(records, _rules(here))
        except InputFaults as found:
            _tell(found.faults)
        else:
            _show(sheets)
            _downloads(sheets)
    _logbooks()


def _records(here: Desk) -> list[WorkedRecord]:
    """The days that the user takes together: the plan on the desk, and days that were issued."""
    store = store_or_stop()
    lines = sorted(store.latest_issued(), key=lambda line: line.day)
    issued = {line.title: line for line in lines}
    shown = here.shown
    choices = [*([_SHOWN] if shown is not None else []), *issued]
    if not choices:
        chrome.first("There are no hours yet: plan the day, or issue a watchbill and keep its log.")
        return []
    own = [label for label, line in issued.items() if shown is not None and line.name == shown.job.site.name]
    first = [own[-1]] if own else [choices[0]]
    picked = st.multiselect(
        "Days", choices, default=first, key="hours_days", help="Several days make a week."
    )
    records = []
    for label in picked:
        if label == _SHOWN and shown is not None:
            records.append(from_plan(shown.plan, shown.job))
            continue
        try:
            records.append(worked(logged_day(store, issued[label].name, issued[label].day)))
        except StoreRefused as refused:
            st.error(plain(str(refused)))
    if not picked:
        st.info("Choose at least one day.")
    return records


def _rules(here: Desk) -> PayRules:
    return here.having(_RULES, PayRules) or EXAMPLE_RULES


def _edit_rules(here: Desk) -> None:
    rules = _rules(here)
    st.caption(
        "Each row with its source; the rows that ship are examples. From: hours for overtime, fsw for the "
        "depth premium, a time for the night, minutes for a break, hours of rest that end a shift; count by "
        "shift or calendar day. Amount: money an hour or a foot, or times the rate."
    )
    frame = pd.DataFrame(pay_rows(rules), columns=list(COLUMNS), dtype="str")
    kinds, text = st.column_config.SelectboxColumn, st.column_config.TextColumn
    columns: dict[str, Any] = {
        "rule": kinds("rule", options=list(KINDS), required=True, width="medium"),
        "source": text("source", width="large"),
        "example": text("example", help="yes for a row that is only an example"),
        "in overtime base": text("in overtime base", help="yes or no"),
    }
    shown: dict[str, Any] = {"num_rows": "dynamic", "hide_index": True, "height": "content"}
    key = f"pay_{here.version}_{id(rules)}"
    edited = st.data_editor(frame, key=key, column_config=columns, **shown)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        if st.button("Use these rules", key="use_pay", icon=":material/check:"):
            _take_rules(here, edited)
        chrome.button("pay_back", here.beside.pop, _RULES, None)
        chrome.download("pay_csv", lambda: pay_rules_csv(rules).encode("utf-8-sig"), "pay_rules.csv")
    chrome.ask(st.file_uploader, "pay_file", type=["csv"])
    chrome.button("pay_take", _take_file, here, disabled=st.session_state.get("pay_file") is None)
    _tell(st.session_state.pop(_FAULTS, ()))


def _take_file(here: Desk) -> None:
    """The rules of the file that lies in the field; its faults are told instead."""
    file = st.session_state["pay_file"]
    try:
        here.beside[_RULES] = pay_rules_of_csv(file.getvalue(), file.name)
    except InputFaults as found:
        st.session_state[_FAULTS] = found.faults


def _take_rules(here: Desk, edited: pd.DataFrame) -> None:
    try:
        rows = [{str(k): v for k, v in row.items()} for row in edited.to_dict("records")]
        here.beside[_RULES] = pay_rules_from(rows, "the office's rules")
    except InputFaults as found:
        _tell(found.faults)
        return
    st.rerun()


def _tell(faults: tuple[Fault, ...]) -> None:
    for fault in faults[:12]:
        st.error(plain(str(fault)))


def _show(sheets: Timesheets) -> None:
    chrome.verdict(sheets.basis_sentence, "" if sheets.from_log else "wait")
    rest = len(sheets.rest)
    figures = [
        (hours_minutes(sheets.worked_min), "hours worked"),
        (hours_minutes(sheets.overtime_min), "overtime"),
        (str(sum(s.dives for s in sheets.shifts)), "dives, by diver"),
        (f"{sheets.pay:,.2f} {sheets.rules.currency}", "pay"),
        (str(rest), "short of rest, MLC 2006"),
    ]
    chrome.facts(figures)
    for note in sheets.notes:
        st.caption(plain(note))
    show_table(weeks_frame(sheets), key="weeks", alt="Hours of each person")
    if rest:
        st.markdown("**Rest**")
        show_table(rest_frame(sheets), key="rest", alt="Rest rules broken")
    person = chrome.ask(st.selectbox, "hours_person", options=sheets.people)
    show_table(shifts_of(sheets, str(person)), key="person_shifts", alt=f"Shifts of {person}")
    show_table(lines_of(sheets, str(person)), key="person_pay", alt=f"Pay of {person}")
    st.caption(f"The workbook has the same with its sums live. {SUBJECT_TO}")


def weeks_frame(sheets: Timesheets) -> pd.DataFrame:
    """One row a person a week."""
    columns: Columns[PersonWeek] = {
        "person": lambda w: w.person,
        "week from": lambda w: w.starts.isoformat(),
        "class": lambda w: w.pay_class,
        "worked, h": lambda w: hours_minutes(w.worked_min),
        "overtime, h": lambda w: hours_minutes(w.overtime_min),
        "night, h": lambda w: hours_minutes(sum(s.night_min for s in w.shifts)),
        "weekend, h": lambda w: hours_minutes(sum(s.weekend_min for s in w.shifts)),
        "by the chamber, h": lambda w: hours_minutes(sum(s.paid_min(PaidAs.CHAMBER) for s in w.shifts)),
        "bottom time, min": lambda w: sum(s.bottom_min for s in w.shifts),
        "dives": lambda w: sum(s.dives for s in w.shifts),
        f"pay, {sheets.rules.currency}": lambda w: f"{w.pay:,.2f}",
        "from": lambda w: w.basis,
    }
    return frame_of(sheets.weeks, columns)


def rest_frame(sheets: Timesheets) -> pd.DataFrame:
    """One row a rest rule broken."""
    columns: Columns[tuple[str, ShortRest]] = {
        "person": lambda row: row[0],
        "rule": lambda row: row[1].rule,
        "found": lambda row: sheets.rest_words(row[1]),
    }
    return frame_of(sheets.rest, columns)


def shifts_of(sheets: Timesheets, person: str) -> pd.DataFrame:
    """One person's shifts, or days where the office counts by day: start, end, breaks, minutes by duty."""
    head = "day" if sheets.rules.count_by is CountBy.DAY else "shift of"
    rows = []
    for shift in sheets.shifts:
        if shift.person == person:
            row: dict[str, object] = {
                head: f"{shift.day:%a %d %b}",
                "start": sheets.clock.hhmm(shift.start_min),
                "end": sheets.clock.hhmm(shift.end_min),
                "breaks, h": hours_minutes(shift.break_min),
                "worked, h": hours_minutes(shift.worked_min),
            }
            rows.append(row | {f"{duty}, min": minutes for duty, minutes in shift.by_duty})
    return pd.DataFrame(rows).fillna(0)


def lines_of(sheets: Timesheets, person: str) -> pd.DataFrame:
    """One person's pay, line by line."""
    currency = sheets.rules.currency
    columns: Columns[PayLine] = {
        "pay line": lambda line: line.label,
        "quantity": lambda line: f"{line.quantity} {line.unit}",
        f"per hour or foot, {currency}": lambda line: f"{line.per_unit:,.4f}".rstrip("0").rstrip("."),
        "times": lambda line: f"{line.times:f}",
        f"amount, {currency}": lambda line: f"{line.amount:,.2f}",
        "source": lambda line: line.source,
    }
    return frame_of([line for w in sheets.weeks if w.person == person for line in w.lines], columns)


def _downloads(sheets: Timesheets) -> None:
    first, last = sheets.records[0], sheets.records[-1]
    stem = f"hours_{first.first_day.isoformat()}_{last.dates[-1].isoformat()}"
    with st.container(horizontal=True):
        chrome.download("hours_book", lambda: book_of("hours_book", sheets), f"{stem}.xlsx")
        chrome.download("hours_csv", lambda: hours_csv(sheets).encode("utf-8-sig"), f"{stem}.csv")
        payroll = f"{stem}_payroll.csv"
        chrome.download("payroll_csv", lambda: payroll_csv(sheets).encode("utf-8-sig"), payroll)
        chrome.download("calls", lambda: _zipped(call_files(sheets)), f"{stem}_calls.zip")
        records = f"{stem}_dive_records.xlsx"
        chrome.download("dive_records", lambda: book_of("dive_record_book", sheets), records)


def _logbooks() -> None:
    """What every diver has done over all the jobs of the store, where it is asked for."""
    if not chrome.ask(st.toggle, "logbooks_shown"):
        return
    try:
        books = logbooks(worked_days(store_or_stop()))
    except StoreRefused as refused:
        st.info(plain(str(refused)))
        return
    if not books:
        st.info("No dive is logged in any issued day yet: keep the day log, and it stands here.")
        return
    show_table(divers_frame(books), key="divers", alt="Dives, hours in the water, days in a row, medical")
    chrome.download("logbooks", lambda: book_of("logbook_book", books), "logbooks.xlsx")


def divers_frame(books: Sequence[Logbook]) -> pd.DataFrame:
    """One row a diver."""
    columns: Columns[Logbook] = {
        "diver": lambda b: b.person,
        "dives": lambda b: len(b.dives),
        "in the water, h": lambda b: hours_minutes(b.in_water_min),
        "bottom time, min": lambda b: b.bottom_min,
        "greatest depth, fsw": lambda b: b.greatest_depth_fsw,
        "greatest depth, m": lambda b: b.greatest_depth_m,
        "last dive": lambda b: b.dived_days[-1].isoformat(),
        "days in a row": lambda b: runs_of_days(b.days)[-1],
        "most in a row": lambda b: max(runs_of_days(b.days)),
        "medical until": lambda b: b.medical_words,
    }
    return frame_of(books, columns)


def _zipped(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target:
        for name, content in files.items():
            target.writestr(name, content)
    return packed.getvalue()
