from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from postgres_cluster import Cluster, binaries
from store_examples import at

from finishplan.records import where
from finishplan.records.store import Store, open_store


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    programs = binaries()
    if programs is None:
        if os.environ.get("CI"):
            pytest.fail("PostgreSQL's programs are not on this machine, and CI must run these tests")
        pytest.skip("PostgreSQL's programs are not on this machine; install postgresql to run these tests")
    made = Cluster(programs)
    try:
        made.start()
        yield made
        made.stop()
    finally:
        made.remove()


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> where.Where:
    """Where a store may be made: both kinds."""
    url = request.getfixturevalue("cluster").fresh() if request.param == "postgres" else None
    return where.find(tmp_path / "data", url, {})


@pytest.fixture
def store(place: where.Where) -> Iterator[Store]:
    made = open_store(place, at())
    yield made
    made.close()


@pytest.fixture
def lite(tmp_path: Path) -> Iterator[Store]:
    """A store on SQLite alone."""
    made = open_store(where.find(tmp_path / "data", None, {}), at())
    yield made
    made.close()
