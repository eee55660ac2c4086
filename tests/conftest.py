"""Settings for all tests: hypothesis repeats its examples unless told to explore; two processes share the tests."""

from __future__ import annotations

import os
from pathlib import Path

import hypothesis
import pytest

hypothesis.settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
hypothesis.settings.register_profile("explore", database=None, deadline=None)
hypothesis.settings.load_profile(os.environ.get("FINISHPLAN_HYPOTHESIS", "repeatable"))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep each file's tests in one process, and all browser tests in one: two browsers at once starve each other."""
    here = Path(__file__).parent
    for item in items:
        inside = item.path.relative_to(here)
        group = "browser" if inside.parts[0] == "browser" else str(inside)
        item.add_marker(pytest.mark.xdist_group(group))
