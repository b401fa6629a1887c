"""The web app's door: ``streamlit run app.py``."""

from planner.screens.door import main

main()
