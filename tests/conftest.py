"""Settings for all tests: hypothesis runs the same examples every time, unless it is told to explore."""

from __future__ import annotations

import os

import hypothesis

hypothesis.settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
hypothesis.settings.register_profile("explore", database=None, deadline=None)
hypothesis.settings.load_profile(os.environ.get("FINISHPLAN_HYPOTHESIS", "repeatable"))
