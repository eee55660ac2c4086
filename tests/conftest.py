"""Settings for all tests: hypothesis repeats its examples unless told to explore; two processes share the tests."""

from __future__ import annotations

import os
from typing import Any

import hypothesis
import pytest

hypothesis.settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
hypothesis.settings.register_profile("explore", database=None, deadline=None)
hypothesis.settings.load_profile(os.environ.get("FINISHPLAN_HYPOTHESIS", "repeatable"))


def in_browser(path: str) -> bool:
    """Whether a test needs the browser; two of them at once would starve each other."""
    return path.startswith("tests/browser/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the browser's tests first: they take longest, and one process has them all."""
    items.sort(key=lambda item: not in_browser(item.nodeid))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Keep each file's tests in one process, and all browser tests in one."""
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            path = nodeid.split("::", 1)[0]
            return "tests/browser" if in_browser(path) else path

    return ByFile(config, log)
