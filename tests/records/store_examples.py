"""Jobs, photos and people made up for the store's tests."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from typing import Any

from argon2 import PasswordHasher
from PIL import Image

from finishplan.records import bench_log, photos, pins, signatures
from finishplan.records.store import Store

QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
"""A hasher that is quick and weak: for tests only."""
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def at(minutes: float = 0) -> datetime:
    return START + timedelta(minutes=minutes)


def zone(name: str = "field", **more: Any) -> dict[str, Any]:
    return {"name": name, "area_m2": 1.9, "readings": [], "defects": [], **more}


def job(title: str = "Parlour grand", **more: Any) -> dict[str, Any]:
    panels = [{"name": "lid", "zones": [zone(), zone("front edge", kind="edge", area_m2=0.06)]}]
    return {"format": "finishplan-job", "version": 1, "title": title, "panels": panels, **more}


def readings(body: dict[str, Any], panel: int = 0, place: int = 0) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = body["panels"][panel]["zones"][place].setdefault("readings", [])
    return found


def with_reading(um: float, **more: Any) -> Any:
    def edit(body: dict[str, Any]) -> dict[str, Any]:
        readings(body).append({"um": um, **more})
        return body

    return edit


def png(width: int = 40, height: int = 30, colour: str = "red") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "PNG")
    return out.getvalue()


HOSTILE = {
    "markup": "<script>alert(1)</script>",
    "sql": "\"; drop table revision; --",
    "formula": "=1+1",
    "right to left": "\u05e4\u05e1\u05e0\u05ea\u05e8 ABC",
    "four bytes": "\U0001f3b9 \U00020bb7",
    "quotes and percent": "100 % 'sure' {0} %s _",
    "combining": "Kla\u0308vier",
}


def furnished(store: Store) -> str:
    """Put a job with history, log, photo, state and a shop into the store; return the job's number."""
    made = store.start(job("Grand"), "Ana", at())
    store.change(made.id, with_reading(412), "Ben", at(1))
    store.undo(made.id, 2, "Ana", at(2))
    store.set_state(made.id, "planned", "Ana", at(3))
    photos.add_photo(store, made.id, png(), "lid.png", "Ana", at(4))
    line = bench_log.write_line(store, made.id, "reading", {"um": 400}, "Ana", at(5), panel="lid")
    bench_log.set_aside(store, made.id, line.number, "gauge drifted", "Ana", at(6))
    pins.set_pin(store, "Ana", "4711", "Ben", at(6), QUICK)
    pins.try_pin(store, "Ana", "4712", at(6), "hold point 'cleaned'", QUICK)
    signatures.sign(store, made.id, "hold", "lid: cleaned", "Ana", "", 2, at(6), {"panel": "lid"})
    store.archive(store.start(job("Put away"), "Ana", at(7)).id, "Ana", at(8))
    store.shop("Ana", at(9))
    return made.id


def contents(store: Store) -> object:
    """Return all that a person can see of a store."""
    found: list[object] = [store.jobs(archived=which) for which in (False, True)]
    for page in (store.jobs(), store.jobs(archived=True)):
        for row in page.rows:
            lines = store.history(row.id)
            found += [lines, [store.open_revision(row.id, line.number) for line in lines],
                      bench_log.lines(store, row.id), photos.photos_of(store, row.id),
                      signatures.signatures_of(store, row.id)]
    return [*found, store.history("shop"), pins.attempts(store), pins.pin_state(store, "Ana")]
