"""The job page: open a sample or a workbook, see what is wrong with it, see people and work at a glance."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

import planner
from planner.errors import InputFaults
from planner.job import Job
from planner.screens import chrome
from planner.screens.backend import backend, written
from planner.screens.desk import Desk, Refused
from planner.screens.going_on import offer
from planner.screens.wording import file_name, plain
from planner.words.measures import count_words, minutes_words

#: Samples stand beside `app.py`, outside the package.
SAMPLES_DIR = Path(__file__).resolve().parents[3] / "sample_jobs"


def samples(folder: Path = SAMPLES_DIR) -> tuple[Path, ...]:
    """The sample workbooks, by name; none where the folder is not there."""
    return tuple(p for p in sorted(folder.glob("*.xlsx")) if not p.name.startswith(("~", ".")))


#: Largest workbook that the browser sends, megabytes; the reader has its own limits below.
LARGEST_MB = 10


def page(here: Desk) -> None:
    """Draw the page."""
    if here.job is None:
        chrome.head(
            "One evening, one workbook, one watchbill",
            "Open a job, put right what is wrong, plan tomorrow, print the sheets.",
        )
        offer(here)
    else:
        chrome.head(here.job.site.name)
        _at_a_glance(here, here.job)
    if here.mending is not None and here.mending.begun:
        # The reader and tables are loaded when there is something to mend.
        from planner.screens.editing.mend import mend

        mend(here, here.mending)
    elif here.refused is not None:
        _faults(here, here.refused)
    if here.job is not None:
        _details(here, here.job)
    _open_section(here)
    # The store is loaded when the rest of the page is there to be used.
    from planner.screens.saved import saved_jobs

    saved_jobs(here)


def _open_section(here: Desk) -> None:
    st.header("Open another job" if here.job is not None else "Open a job", anchor=False)
    left, right = st.columns(2, gap="large")
    with left:
        chrome.link("new-job", "New job, in three steps")
        st.markdown("**A sample**, with people and places made up:")
        found = samples()
        for sample in found:
            label = sample.stem.replace("_", " ").replace("-", " ").capitalize()
            chrome.button("sample", _open_sample, here, sample, of=sample.stem, label=label)
        if not found:
            st.caption("No sample workbooks stand beside the program.")
    with right:
        sent = {"type": ["xlsx", "xlsm"], "max_upload_size": LARGEST_MB}
        chrome.ask(st.file_uploader, "upload", on_change=_open_upload, args=(here,), **sent)
        chrome.download("blank_book", lambda: written(planner.write_template), "job.xlsx")


def _open_sample(here: Desk, sample: Path) -> None:
    _open(here, sample.name, sample.read_bytes())


#: Key of the session: desk and file that were opened last by the upload field.
_SENT = "upload_opened"


def _open_upload(here: Desk) -> None:
    """Open what was sent. A press while it is read has the field report the same file again: it is the one
    that lies open already, with all that was mended in it since."""
    file = st.session_state.get("upload")
    if file is None:
        st.session_state.pop(_SENT, None)
        return
    sent = here.token, file.file_id
    if st.session_state.get(_SENT) != sent:
        _open(here, file.name, file.getvalue())
        st.session_state[_SENT] = sent


def _open(here: Desk, name: str, data: bytes) -> None:
    from planner.screens.editing.mending import macros_note, mendable

    told: list[str] = []
    came_from: list[str] = []
    try:
        job = backend().read_job(name, data, told.append, came_from.append)
    except InputFaults as found:
        here.refuse(name, found.faults, mendable(name, data, found.faults))
    else:
        here.open(job, " ".join(came_from) or name)
        here.note = " ".join(filter(None, [macros_note(name, data), *told]))


def _faults(here: Desk, refused: Refused) -> None:
    from planner.screens.frames import show_faults

    count = len(refused.faults)
    where_to = "it here, or in the workbook" if here.mending is not None else "the workbook"
    what = f"Mend {where_to} and open it again."
    chrome.verdict(
        f"{refused.file} could not be opened: {count_words(count, 'thing')} to put right. {what}"
        + (" What was open before still is." if here.job is not None else ""),
        "bad",
    )
    with st.container(horizontal=True):
        if here.mending is not None:
            chrome.button("mend", here.mending.begin)
        chrome.button("refused_away", here.put_file_away)
    where = {
        "Sheet": lambda fault: fault.where.partition("!")[0],
        "Cell": lambda fault: fault.where.partition("!")[2],
    }
    show_faults(refused.faults, where, key="wide_faults", alt="Faults of the workbook, one a row")


def _at_a_glance(here: Desk, job: Job) -> None:
    chrome.job_line(job, named=False)
    bottom = sum(i.bottom_work_min for i in job.dive_items)
    deck = sum(i.duration_min for i in job.surface_items)
    divers = sum(1 for p in job.people if p.depth_rating_fsw)
    figures = [
        (str(len(job.people)), f"people, {divers} of them divers"),
        (str(len(job.dive_items)), f"dive items, {minutes_words(bottom)} on the bottom"),
        (str(len(job.surface_items)), f"surface items, {minutes_words(deck)}"),
        (str(len(job.stations)), f"stations: {', '.join(s.name for s in job.stations)}"),
        (job.site.policy.value, "ways up allowed"),
    ]
    chrome.facts(figures)
    # The bytes are made when the button is pressed, on a thread that knows no session.
    st.caption(plain(here.opened_from))
    with st.container(horizontal=True, vertical_alignment="center"):
        chrome.link("tomorrow", "Plan tomorrow")
        chrome.download("job_book", lambda: written(planner.write_job, job), file_name(job, "job", "xlsx"))
        chrome.button("practise", _practise, here, job)
        st.caption(f"The workbook goes out in the job's own units: {job.site.units}.")


def _practise(here: Desk, job: Job) -> None:
    """Open the job as one of today, under a name of its own; Undo brings the job itself back."""
    from planner.job.another_day import for_practice
    from planner.screens.saved import now

    today = now().astimezone(job.clock.zone).date()
    here.open(for_practice(job, today), f"{here.opened_from}, moved to {today:%d %b %Y} to practise")
    here.note = (
        "Moved to today to practise: every date moved along, so tide, slack water and certificates are not "
        "those of today. Plan it, issue it, log it; never dive by it. Undo brings back the job itself."
    )


def _details(here: Desk, job: Job) -> None:
    # Tables, and pandas with them, are loaded when there is something to put into one.
    from planner.screens.frames import people_frame, show_table, work_frame

    st.header("Work", anchor=False)
    show_table(
        work_frame(job, here.units),
        key="glance_work",
        alt=f"Work of the job: {len(job.dive_items)} dive items and {len(job.surface_items)} surface items",
    )
    st.header("People", anchor=False)
    show_table(
        people_frame(job, here.units),
        key="glance_people",
        alt=f"The {len(job.people)} people of the job with duties, depth rating and hours",
    )
