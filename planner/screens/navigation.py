"""The app's frame: which pages there are, in what order, and what stands around them.

The app's mark: flag A of the International Code of Signals, "I have a diver down; keep well clear".

White at the hoist, blue at the fly, swallowtailed. Kept as text here so that no picture has to be fetched."""

from __future__ import annotations

import importlib
import tomllib
from collections.abc import Callable
from pathlib import Path

import streamlit as st
from pydantic import BaseModel, ConfigDict, TypeAdapter
from streamlit.commands.navigation import PageType

from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.last_typed import take_up_first
from planner.screens.going_on import remember
from planner.screens.session import desk, keep, lost_work


class PageSpec(BaseModel):
    """One page: its place in the address, its title, its group in the menu."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    address: str
    title: str
    icon: str
    group: str
    lead: str = ""
    """What it is for, in a line below its title; a page without one draws its own head."""
    purpose: str = ""
    """What it asks an open job for; blank for a page that can do without one."""
    sheets: tuple[str, ...] = ()
    """Sheets of the job's workbook that the page edits, where it does nothing else. Any other page is a
    module of `planner.screens.pages` with a function ``page(here)``, or ``page(here, job)`` where it asks for
    a job."""

    @property
    def module(self) -> str:
        """Name of the page's module in `planner.screens.pages`, where it has one."""
        return self.address.replace("-", "_")

    def open(self) -> None:
        """Draw the page; what it needs is loaded on the first visit."""
        here = desk()
        if self.lead:
            chrome.head(self.title, self.lead)
        job = chrome.job_or_stop(here, self.purpose) if self.purpose else None
        if self.sheets and job is not None:
            from planner.screens.editing.widgets import edit_page

            edit_page(here, job, self.sheets, key=self.address)
        else:
            given = (here,) if job is None else (here, job)
            importlib.import_module(f"planner.screens.pages.{self.module}").page(*given)


PAGES: tuple[PageSpec, ...] = TypeAdapter(tuple[PageSpec, ...]).validate_python(
    tomllib.loads((Path(__file__).parent / "pages" / "pages.toml").read_text("utf-8"))["page"]
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
    take_up_first()
    chrome.notes(here, lost_work())
    place = chrome.side_panel(here)
    try:
        draw_page()
    finally:
        # Also when the page has ended early or asks to be drawn anew.
        keep(here)
    remember(here)
    chrome.say_if_not_kept(here, place)


FLAG_ALPHA_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">'
    '<path d="M2 10H32V54H2Z" fill="#fafaf7" stroke="#0b468c" stroke-width="2"/>'
    '<path d="M32 9H63L46 32L63 55H32Z" fill="#0b468c"/>'
    "</svg>"
)
