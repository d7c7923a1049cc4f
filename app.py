"""The app's door: pages and nothing else. Start it with ``radiofixture app``."""

import streamlit as st

from identify.screens import keeping, look

st.set_page_config(page_title="Radiofixture", layout="wide")

TITLES = (
    *("Film", "Findings", "Families", "Second reading", "Restore", "Record"),
    *("No film", "Cases", "Shelf"),
)
pages = [st.Page(look.page(title.lower().replace(" ", "_")), title=title) for title in TITLES]
chosen = st.navigation(pages, position="top")
keeping.autosave()  # what a callback just changed, before anything slow
chosen.run()
keeping.autosave()
