"""The app's frame: which pages there are, in what order, and what stands around them.

The app's mark: flag A of the International Code of Signals, "I have a diver down; keep well clear".

White at the hoist, blue at the fly, swallowtailed. Kept as text here so that no picture has to be fetched."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st
from streamlit.commands.navigation import PageType

from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.session import desk, keep, lost_work


@dataclass(frozen=True)
class PageSpec:
    """One page: its place in the address, its title, its group in the menu.

    Parameters
    ----------
    sheets
        Sheets of the job's workbook that a page edits, where it does nothing else; any other page is a module
        of `planner.screens.pages` with a function ``page()``.
    lead, purpose
        Of a page of sheets: what it is for, and what it asks a job for.
    """

    address: str
    title: str
    icon: str
    group: str
    sheets: tuple[str, ...] = ()
    lead: str = ""
    purpose: str = ""

    def open(self) -> None:
        """Draw the page; what it needs is loaded on the first visit."""
        if not self.sheets:
            importlib.import_module(f"planner.screens.pages.{self.address.replace('-', '_')}").page()
            return
        from planner.screens.editing.sheets import SHEETS
        from planner.screens.editing.widgets import edit_sheets

        here = desk()
        chrome.head(self.title, self.lead)
        chrome.job_line(chrome.job_or_stop(here, self.purpose))
        edit_sheets(here, [SHEETS[name] for name in self.sheets], key=self.address)


PAGES: tuple[PageSpec, ...] = (
    PageSpec("job", "Job", ":material/folder_open:", "Prepare"),
    PageSpec("site-and-water", "Site and water", ":material/water:", "Prepare"),
    PageSpec(
        "people",
        "People",
        ":material/groups:",
        "Prepare",
        ("People", "Certificates", "Past dives", "Hours worked", "On site"),
        "Everyone who can be posted, and what they bring from the days before.",
        "edit its people here",
    ),
    PageSpec(
        "work",
        "Work",
        ":material/handyman:",
        "Prepare",
        ("Dive work", "Surface work", "Windows", "Order", "Not together", "Pins"),
        "What has to be done under water and on deck, when it may be done, what comes first.",
        "edit its work here",
    ),
    PageSpec("crew-rules", "Crew rules", ":material/rule:", "Prepare"),
    PageSpec("tomorrow", "Tomorrow", ":material/view_timeline:", "Plan"),
    PageSpec("dive-sheets", "Dive sheets", ":material/scuba_diving:", "Plan"),
    PageSpec("gear-and-air", "Gear and air", ":material/air:", "Plan"),
    PageSpec("what-if", "What if", ":material/alt_route:", "Plan"),
    PageSpec("issue", "Issue", ":material/approval:", "The day"),
    PageSpec("day-log", "Day log", ":material/history_edu:", "The day"),
    PageSpec("hours", "Hours", ":material/schedule:", "The day"),
    PageSpec("tables", "Tables", ":material/table_chart:", "Look up"),
)


def main() -> None:
    """Draw the app: the frame, then the page that was asked for."""
    st.set_page_config("Diving team planner", FLAG_ALPHA_SVG, layout="wide", initial_sidebar_state=232)
    here = desk()
    groups: dict[str, list[PageType]] = {}
    known: dict[str, PageType] = {}
    for number, spec in enumerate(PAGES):
        made = st.Page(
            spec.open, title=spec.title, icon=spec.icon, url_path=spec.address, default=number == 0
        )
        groups.setdefault(spec.group, []).append(made)
        known[spec.address] = made
    st.session_state["pages"] = known
    chosen = st.navigation(groups, expanded=True)
    frame(here, chosen.run)


def frame(here: Desk, draw_page: Callable[[], None]) -> None:
    """What stands around every page, and the page inside it."""
    chrome.put_style(here)
    chrome.caution()
    chrome.notes(here, lost_work())
    place = chrome.side_panel(here)
    try:
        draw_page()
    finally:
        # Also when the page has ended early or asks to be drawn anew.
        keep(here)
    chrome.say_if_not_kept(here, place)


FLAG_ALPHA_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">'
    '<path d="M2 10H32V54H2Z" fill="#fafaf7" stroke="#0b468c" stroke-width="2"/>'
    '<path d="M32 9H63L46 32L63 55H32Z" fill="#0b468c"/>'
    "</svg>"
)
