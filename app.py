"""Starts the screens: ``streamlit run app.py``."""

from finishplan.screens.start import main

main()
