"""Jobs, photos and people made up for the store's tests."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from typing import Any

from PIL import Image

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
    "right to left": "\u05e4\u05e1\u05e0\u05ea\u05e8 \u202e ABC",
    "four bytes": "\U0001f3b9 \U00020bb7",
    "quotes and percent": "100 % 'sure' {0} %s _",
    "combining": "Kla\u0308vier",
}
