"""Which sheets of a watchbill are printed, and on what: chosen in the app before download and issue."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

from planner.sheets.watchbill import DAY_SHEETS
from tests.world.quay import a_job

_SCRIPT = """
import streamlit as st
from planner.screens.printing import printed_as
st.session_state["given"] = printed_as(st.session_state["job"])
"""


def _asked() -> AppTest:
    test = AppTest.from_string(_SCRIPT)
    test.session_state["job"] = a_job()
    return test.run()


def test_all_sheets_on_a4_where_nothing_is_chosen() -> None:
    """As before there was a choice; choosing none of the sheets is all of them, too."""
    test = _asked()
    assert test.session_state["given"] == {"paper": "A4", "sheets": ()}
    test.segmented_control(key="print_which").set_value("chosen").run()
    assert test.session_state["given"]["sheets"] == ()


def test_a_working_day_and_single_sheets_on_letter() -> None:
    """What `write_watchbill` is told; a job without gates is not asked for their sheet."""
    test = _asked()
    test.segmented_control(key="print_paper").set_value("Letter").run()
    test.segmented_control(key="print_which").set_value("a working day").run()
    assert test.session_state["given"] == {"paper": "Letter", "sheets": DAY_SHEETS}
    test.segmented_control(key="print_which").set_value("chosen").run()
    (field,) = test.multiselect
    assert "Gates" not in field.options and field.options[0] == "Brief"
    field.set_value(["Air", "Brief"]).run()
    assert test.session_state["given"] == {"paper": "Letter", "sheets": ("Air", "Brief")}
    assert not test.exception
