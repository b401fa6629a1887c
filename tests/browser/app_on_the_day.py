"""The app with its clock on the morning of the tidal pier's day: what the pictures of the day log show.

The clock runs, as a second press within two seconds of the first does not count. Planning and comparing for
the pictures before takes some minutes of it.
"""

from datetime import UTC, datetime

import streamlit as st

from planner.screens.navigation import main
from planner.screens.saved import CLOCK_KEY

began = st.session_state.setdefault("clock_began", datetime.now(UTC))
st.session_state[CLOCK_KEY] = datetime(2027, 3, 16, 7, 4, tzinfo=UTC) + (datetime.now(UTC) - began)
main()
