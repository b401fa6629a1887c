"""The page of crew rules: named least teams, crew rows, pairs, limits, every rule with its source."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from planner.books.columns_rules import CREW_MINIMA, DUTY_PAIRS, RULES
from planner.job import Job
from planner.rules import SUBJECT_TO
from planner.rules.presets import PRESETS, Preset
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.session import desk
from planner.screens.sheet_widgets import edit_sheets
from planner.screens.wording import plain
from planner.verdict import ALL_RULES

#: Sheets of the job workbook that are edited on this page.
SHEETS = (CREW_MINIMA, DUTY_PAIRS, RULES)


def page() -> None:
    """Draw the page."""
    here = desk()
    chrome.head("Crew rules", "What the plan keeps to. Every row has its source and may be changed.")
    job = chrome.job_or_stop(here, "its rules are here")
    chrome.job_line(job, SUBJECT_TO)
    _least_team(here, job)
    st.subheader("Crew rows, pairs of duties, limits", anchor=False)
    edit_sheets(here, SHEETS, key="rules")
    _every_rule()


def _least_team(here: Desk, job: Job) -> None:
    st.subheader("Least team", anchor=False)
    names = list(PRESETS)
    current = job.rules.preset
    if st.session_state.get("preset") not in names:
        st.session_state["preset"] = current if current in names else names[0]
    chosen = st.segmented_control("Named least team", names, key="preset", required=True)
    preset = PRESETS[str(chosen)]
    st.markdown(f"{plain(preset.sentence)}  \n:gray[Source: {plain(preset.source)}]")
    stands = job.rules.minima == preset.minima
    st.button(
        "These rows are in use" if stands else f"Use the team “{preset.name}”",
        key="use_preset",
        disabled=stands,
        icon=":material/check:",
        on_click=_use,
        args=(here, job, preset),
        help="Puts this team's rows in place of the crew rows below; it can be taken back.",
    )


def _use(here: Desk, job: Job, preset: Preset) -> None:
    here.change(job.replace(rules=preset.on(job.rules)), f"least team {preset.name}")


def _every_rule() -> None:
    with st.expander(f"Every rule that the check applies, with its source ({len(ALL_RULES)})"):
        st.dataframe(
            pd.DataFrame(
                [
                    {"Rule": r.id, "What must hold": r.sentence, "Source": r.source, "Ground": r.basis.value}
                    for r in ALL_RULES.values()
                ]
            ),
            hide_index=True,
            key="every_rule",
            height=420,
            alt="Every rule with id, sentence, source and ground",
        )
