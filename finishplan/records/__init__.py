"""Keeping it: files and the job store."""
