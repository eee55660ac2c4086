"""Doing it: bench sheets, check readings, log and learning."""
