"""Reads printed pages back with poppler's tools, and makes the jobs that are printed; all invented."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import tempfile
import xml.etree.ElementTree as ET
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from finishplan.office.labour import labour
from finishplan.planning.materials import materials
from finishplan.planning.plan import make_plan
from finishplan.safety.cautions import cautions
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict
from finishplan.workup import Answer, work_up

ROOT = Path(__file__).parents[2]
WORKED = ROOT / "tests" / "published" / "worked_jobs"
NAMES = sorted(path.name.removesuffix(".job.json") for path in WORKED.glob("*.job.json"))
TOOLS = ("pdftotext", "pdftohtml", "pdftoppm")
needs_poppler = pytest.mark.skipif(any(shutil.which(tool) is None for tool in TOOLS),
                                   reason="needs poppler-utils to read pages back")


@cache
def worked(name: str) -> Answer:
    raw = json.loads((WORKED / f"{name}.job.json").read_text(encoding="utf-8"))
    return work_up(read_job_dict(raw), default_profile(), draws=0)


@cache
def demo() -> Answer:
    job, shop = (json.loads((ROOT / "data" / "demo" / name).read_text(encoding="utf-8"))
                 for name in ("lid_and_rim.job.json", "our_bench.shop.json"))
    return work_up(read_job_dict(job), apply_shop(default_profile(), shop), draws=400)


def zone(*defects: dict[str, Any], **changes: Any) -> dict[str, Any]:
    readings = [{"um": um, "spot": k + 1} for k, um in enumerate((402, 398, 405, 400, 395))]
    return {"name": "field", "area_m2": 0.5, "readings": readings, "defects": list(defects), **changes}


def panel(*zones: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {"name": "part", "off": True, "zones": list(zones) or [zone(SCRATCH)], **changes}


def job_of(*panels: dict[str, Any], **changes: Any) -> Job:
    return read_job_dict({
        "format": "finishplan-job", "version": 1, "title": "Made for a test", "build": "pigmented through",
        "finish_id": {"result": "polyester", "how": "solvent on a hidden spot"},
        "instrument": {"year": 1995}, "panels": list(panels), **changes,
    })


def answer(*panels: dict[str, Any], profile: Profile | None = None, **changes: Any) -> Answer:
    return work_up(job_of(*panels, **changes), profile or default_profile(), draws=0)


def answer_without_why(*panels: dict[str, Any], **changes: Any) -> Answer:
    """The same for many panels, without the reasons, which take longer than plan and paper together."""
    job, profile = job_of(*panels, **changes), default_profile()
    plan = make_plan(job, profile)
    return Answer(job, profile, plan, materials(plan, profile), labour(job, plan), cautions(job, plan, profile), ())


SCRATCH = {"kind": "scratch", "depth_um": 20.0, "length_mm": 60}
DULL = {"kind": "dull_area", "depth_um": 3.0}
NICK = {"kind": "nick", "depth_um": 230.0, "width_mm": 2.0}
PEEL = {"kind": "orange_peel", "depth_um": 15.0}


@cache
def grand() -> Answer:
    """A grand of 14 parts, all worked, with sheets, fills and edges."""
    names = ("main lid, top", "main lid, underside", "front lid flap", "rim, bass side", "rim, tail", "rim, treble",
             "arm, bass", "arm, treble", "fallboard", "key slip", "music desk", "leg, bass", "leg, treble", "lyre")
    edge = {"name": "edges", "kind": "edge", "area_m2": 0.05,
            "readings": [{"um": um, "spot": 10 + k} for k, um in enumerate((250, 245, 255))]}
    return answer_without_why(*[panel(zone(PEEL, SCRATCH, *([NICK] if k % 3 == 0 else [])), edge, name=name)
                                for k, name in enumerate(names)], title="Grand of 14 parts (invented)")


def run(pdf: bytes, *command: str) -> bytes:
    done = subprocess.run([*command], input=pdf, capture_output=True, check=True, timeout=60)
    return done.stdout


def text_of(pdf: bytes, *options: str) -> str:
    """The text in the order in which it was set, in one line a page, without the places to break a word."""
    raw = run(pdf, "pdftotext", *(options or ("-raw",)), "-", "-").decode("utf-8").replace("\u200b", "")
    raw = re.sub(r"LEAST (\d+) ?um", r"LEAST \1 um", raw)
    return "\f".join(" ".join(page.split()) for page in raw.split("\f"))


def plain(words: str) -> str:
    return " ".join(words.split())


def sized(pdf: bytes) -> list[tuple[int, str]]:
    """Every piece of text with its size in thirds of a point."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        xml = run(b"", "pdftohtml", "-xml", "-i", "-zoom", "3", "-stdout", file.name).decode("utf-8")
    tree = ET.fromstring(re.sub(r"<!DOCTYPE.*?>", "", xml))
    sizes = {font.attrib["id"]: int(font.attrib["size"]) for font in tree.iter("fontspec")}
    return [(sizes[node.attrib["font"]], "".join(node.itertext())) for node in tree.iter("text")]


def words(pdf: bytes) -> list[tuple[float, float, float, float, float, float, str]]:
    """Every word with its box and the size of its page, in points."""
    html = run(pdf, "pdftotext", "-bbox", "-", "-").decode("utf-8")
    found, page = [], (0.0, 0.0)
    for width, height, x1, y1, x2, y2, word in re.findall(
            r'<page width="([\d.]+)" height="([\d.]+)">|<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" '
            r'yMax="([-\d.]+)">(.*?)</word>', html):
        if width:
            page = (float(width), float(height))
        else:
            found.append((float(x1), float(y1), float(x2), float(y2), *page, word))
    return found


def objects(pdf: bytes) -> bytes:
    """The file with all packed streams unpacked: what stands in it."""
    packed = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    opened = []
    for stream in packed:
        try:
            opened.append(zlib.decompress(stream))
        except zlib.error:
            continue
    return pdf + b"\n".join(opened)


def page_count(pdf: bytes) -> int:
    return len(re.findall(rb"/Type ?/Page\b(?!s)", objects(pdf)))


def heads(pdf: bytes) -> list[tuple[int, int]]:
    """Page n of m, as every page says it."""
    pages = text_of(pdf).split("\f")
    return [(int(a), int(b)) for a, b in (re.findall(r"page (\d+) of (\d+)", page)[0] for page in pages if page)]
