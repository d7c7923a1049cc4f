"""The app's door: pages and nothing else. Start it with ``radiofixture app``."""

import streamlit as st

from identify.screens import look

st.set_page_config(page_title="Radiofixture", layout="wide")

TITLES = ("Film", "Findings", "Families", "Second reading", "Restore", "Record", "Shelf")
pages = [st.Page(look.page(title.lower().replace(" ", "_")), title=title) for title in TITLES]
st.navigation(pages, position="top").run()
