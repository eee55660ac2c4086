"""Streamlit pages; no arithmetic here."""
