"""The app with its clock on the morning of the tidal pier's day: what the pictures of the day log show."""

from datetime import UTC, datetime

import streamlit as st

from planner.screens.navigation import main
from planner.screens.saved import CLOCK_KEY

st.session_state[CLOCK_KEY] = datetime(2027, 3, 16, 7, 14, tzinfo=UTC)
main()
