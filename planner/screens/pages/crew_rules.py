"""The page of crew rules: named least teams, crew rows, pairs, limits, every rule with its source."""

from __future__ import annotations

import streamlit as st

from planner.check import RULES as ALL_RULES
from planner.check import SUBJECT_TO, Rule
from planner.job import Job
from planner.job.duties import CrewMinimum
from planner.job.presets import PRESETS, Preset
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.widgets import edit_sheets
from planner.screens.frames import Columns, crew_rows_frame, frame_of, show_table
from planner.screens.saved import now, signer
from planner.screens.wording import plain
from planner.workbook.job_sheets import CREW_MINIMA, DUTY_CERTIFICATES, DUTY_PAIRS, RULES

#: Sheets of the job workbook that are edited on this page.
SHEETS = (CREW_MINIMA, DUTY_PAIRS, DUTY_CERTIFICATES, RULES)


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job, SUBJECT_TO)
    by = signer([p.name for p in job.people], "Who changes the rules")
    _least_team(here, job, by)
    _in_use(here, job)
    st.header("Change crew rows, pairs and certificates of duties, limits", anchor=False)
    edit_sheets(here, SHEETS, key="rules")
    _every_rule()


def _least_team(here: Desk, job: Job, by: str) -> None:
    st.header("Least team", anchor=False)
    names = list(PRESETS)
    current = job.rules.preset
    if st.session_state.get("preset") not in names:
        st.session_state["preset"] = current if current in names else names[0]
    chosen = chrome.ask(st.segmented_control, "preset", options=names, required=True)
    preset = PRESETS[str(chosen)]
    st.markdown(f"{plain(preset.sentence)}  \n:gray[Source: {plain(preset.source)}]")
    stands = _unsigned(job.rules.minima) == _unsigned(preset.minima)
    label = "These rows are in use" if stands else f"Use the team “{preset.name}”"
    chrome.button("use_preset", _use, here, job, preset, by, label=label, disabled=stands)


def _use(here: Desk, job: Job, preset: Preset, by: str) -> None:
    """Put a team's rows in place; each row that was not there before says who put it there and when."""
    rules = preset.on(job.rules)
    kept = dict(zip(_unsigned(job.rules.minima), job.rules.minima, strict=True))
    at = now().replace(microsecond=0)
    rows = [kept.get(row) or row.replace(changed_by=by, changed_at=at) for row in _unsigned(rules.minima)]
    here.change(job.replace(rules=rules.replace(minima=tuple(rows))), f"least team {preset.name}")


def _unsigned(rows: tuple[CrewMinimum, ...]) -> tuple[CrewMinimum, ...]:
    """The rows without who changed them and when."""
    return tuple(row.replace(changed_by="", changed_at=None) for row in rows)


def _in_use(here: Desk, job: Job) -> None:
    st.markdown("**Crew rows in use**")
    widths = {"A dive asks for": 310, "Source": 430, "Changed by": 110, "Changed at": 110}
    show_table(
        crew_rows_frame(job, here.units),
        key="crew_rows",
        alt=f"The {len(job.rules.asked_rows)} crew rows in words, with source, who changed each and when",
        column_config={head: st.column_config.Column(width=width) for head, width in widths.items()},
    )


def _every_rule() -> None:
    columns: Columns[Rule] = {
        "Rule": lambda rule: rule.id,
        "What must hold": lambda rule: rule.sentence,
        "Source": lambda rule: rule.source,
        "Ground": lambda rule: rule.basis.value,
    }
    with st.expander(f"Every rule that the check applies, with its source ({len(ALL_RULES)})"):
        alt = "Every rule with id, sentence, source and ground"
        show_table(frame_of(ALL_RULES.values(), columns), key="every_rule", height=420, alt=alt)
