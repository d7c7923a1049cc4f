"""The screens: the only place that imports Streamlit."""
