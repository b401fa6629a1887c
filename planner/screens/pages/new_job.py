"""The page on which a new job is typed in: where and when, who, which dives; what is missing is told as it is
typed, and the job that comes out is opened like any other."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import streamlit as st

from planner.errors import InputFaults
from planner.job import Job
from planner.job.places import SOURCE, places
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.new_job import (
    CREW_FIELDS,
    DIVE_FIELDS,
    add_rows,
    bare_of,
    begun,
    by_default,
    coming,
    have_come,
    made,
    show_in,
    take_from,
)
from planner.screens.editing.pasted import pasted_rows
from planner.screens.editing.sheets import cell_of
from planner.screens.editing.widgets import edit_table, setting_field
from planner.screens.frames import show_faults
from planner.screens.saved import now, store
from planner.screens.session import keep
from planner.screens.wording import plain
from planner.store import StoreRefused
from planner.words.measures import count_words
from planner.workbook.columns import JobSheet
from planner.workbook.job_sheets import DIVE_WORK, PEOPLE, SITE

#: Things that are missing or wrong, told in the live line before the rest is only counted.
TOLD = 3


def page(here: Desk) -> None:
    """Draw the page."""

    @st.fragment
    def steps() -> None:
        if here.draft is None:
            tomorrow = (now() + timedelta(days=1)).date()
            here.draft = begun(tomorrow, here.units, st.session_state.get(_BEFORE, 0))
        draft = here.draft
        show_in(draft, here.units)
        st.header("1 · Where and when", anchor=False)
        _place(draft)
        st.header("2 · Crew", anchor=False)
        _crew(draft)
        st.header("3 · Dives", anchor=False)
        _add(draft, DIVE_WORK, DIVE_FIELDS, "new_dives", "Add these dives")
        edit_table(draft, bare_of(draft), DIVE_WORK, DIVE_FIELDS)
        _where_it_stands(here, draft)
        keep(here)

    steps()


def _place(draft: Desk) -> None:
    bare, known = bare_of(draft), places()
    values = draft.edits.settings(SITE, bare)
    columns = dict(zip(("name", "first_day", "day_start", "day_end"), st.columns([3, 2, 1, 1]), strict=True))
    typed = dict(values)
    for field, place in columns.items():
        with place:
            column = SITE.column(field)
            typed[field] = cell_of(column, setting_field(draft, SITE, column, values[field]))
    zone = values["time_zone"]
    options = list(known) if zone is None or zone in known else [*known, str(zone)]
    chosen = chrome.ask(
        st.selectbox,
        "new_place",
        of=f"{draft.version}_{draft.edits.round}",
        options=options,
        index=None if zone is None else options.index(str(zone)),
        format_func=lambda name: known[name].label if name in known else name,
    )
    if chosen != zone:
        typed["time_zone"], at = chosen, known.get(chosen)
        if at is not None:
            typed |= {"latitude_deg": at.latitude_deg, "longitude_deg": at.longitude_deg}
    draft.edits.keep_settings(SITE, bare, typed)
    if chosen in known:
        st.caption(
            f"Time zone {plain(chosen)}; position {known[chosen].position}, that of the town, for sunrise "
            f"and sunset: put your own in on the page Site and water. Source: {SOURCE}."
        )


def _crew(draft: Desk) -> None:
    try:
        saved = [line.name for line in store().jobs()]
    except StoreRefused:
        # The job page says why; a crew can be typed without the store.
        saved = []
    if saved:
        given = {"options": saved, "index": None, "on_change": _take, "args": (draft,)}
        chrome.ask(st.selectbox, "new_from", **given)
    people = bare_of(draft).people
    if people:
        names = coming(draft)
        # A key for each choice of people: rows may be deleted in the table as well.
        there = [str(number) for number, person in enumerate(people) if person.name in names]
        of = "_".join([str(draft.version), str(draft.edits.round), *there])
        about = {"label": f"Who comes of {draft.opened_from}", "options": [p.name for p in people]}
        then = {"default": names, "on_change": _tick, "args": (draft, of)}
        chrome.ask(st.pills, "new_comes", of=of, selection_mode="multi", **about, **then)
    _add(draft, PEOPLE, CREW_FIELDS, "new_crew", "Add these people")
    edit_table(draft, bare_of(draft), PEOPLE, CREW_FIELDS)


def _take(draft: Desk) -> None:
    name = st.session_state.get("new_from")
    if name:
        with chrome.refusals_told():
            take_from(draft, store().open_job(name), name)


def _tick(draft: Desk, of: str) -> None:
    have_come(draft, st.session_state.get(f"new_comes_{of}") or ())


#: Key of the session: what was wrong with a text of rows, by field.
_WRONG = "new_wrong"


def _add(draft: Desk, sheet: JobSheet, fields: Sequence[str], name: str, label: str) -> None:
    """A text of rows, one a line, that goes into the table below it."""
    headings = ", ".join(sheet.column(field).heading(draft.units) for field in fields)
    chrome.ask(st.text_area, name, height=110, placeholder=headings)
    chrome.button("new_add", _add_rows, draft, sheet, fields, name, of=name, label=label)
    faults = st.session_state.get(_WRONG, {}).pop(name, ())
    show_faults(faults, {"Where": lambda fault: fault.where}, key=f"wide_faults_{name}", alt="What is wrong")


def _add_rows(draft: Desk, sheet: JobSheet, fields: Sequence[str], name: str) -> None:
    text = str(st.session_state.get(name) or "")
    try:
        rows = pasted_rows(sheet, fields, text, draft.units)
    except InputFaults as found:
        st.session_state.setdefault(_WRONG, {})[name] = found.faults
        return
    if rows:
        st.session_state[name] = ""
        add_rows(draft, sheet.name, rows)


def _where_it_stands(here: Desk, draft: Desk) -> None:
    """The live line, the press that opens the job, and what holds because nothing else was said."""
    job, told = made(draft)
    lines = " ".join(told[:TOLD]) + (f" And {len(told) - TOLD} more." if len(told) > TOLD else "")
    if job is None:
        chrome.verdict(f"Not ready yet. {lines}", "wait")
    else:
        dives = count_words(len(job.dive_items), "dive item")
        ready = f"Ready to plan: {len(job.people)} people, {dives}."
        if told:
            ready += f" Some work would be left over. {lines}"
        chrome.verdict(ready, "wait" if told else "")
    with st.container(horizontal=True, vertical_alignment="center"):
        # Asked here and not in a callback, which would come before what was typed last is taken up.
        if chrome.ask(st.button, "new_open", disabled=job is None) and job is not None:
            _open(here, job, draft.opened_from)
        chrome.button("new_over", _start_over, here, disabled=not here.drafting)
    with st.expander("All else, as it stands unless you change it later"):
        shown = by_default(job or bare_of(draft))
        rows = [{"What": what, "As it stands": said, "Page": page} for what, (said, page) in shown.items()]
        st.table(rows, hide_index=True, border="horizontal", alt="What holds by default, one a row")


def _start_over(here: Desk) -> None:
    _away(here)
    st.session_state.update({"new_crew": "", "new_dives": "", "new_from": None})


#: Key of the session: how many new jobs were put away in this tab.
_BEFORE = "new_before"


def _away(here: Desk) -> None:
    here.draft = None
    st.session_state[_BEFORE] = st.session_state.get(_BEFORE, 0) + 1


def _open(here: Desk, job: Job, earlier: str) -> None:
    of = f"; crew, gear and rules of {earlier}" if earlier else ""
    _away(here)
    here.open(job, f"Typed in as a new job{of}.")
    if "tomorrow" in (known := st.session_state.get("pages", {})):
        st.switch_page(known["tomorrow"])
    st.rerun()
