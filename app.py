"""The web app's door: ``streamlit run app.py``.

The server imports this file once and finds `app`, which loads the first page's parts beside it; each tab
then runs it as a script, which draws the page.
"""

import streamlit as st
from starlette.middleware import Middleware

from planner.screens.ahead import page_is_up, while_serving
from planner.screens.entry import OnlyWithPassword, kept_password
from planner.screens.visitors import OnlyKnownHosts

app = st.App(
    __file__,
    lifespan=while_serving,
    middleware=[Middleware(OnlyKnownHosts), Middleware(OnlyWithPassword, kept=kept_password())],
)

if __name__ == "__main__":
    from planner.screens.navigation import main

    try:
        main()
    finally:
        page_is_up()
