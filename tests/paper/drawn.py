"""Reads drawings back: boxes of texts by a width that no font passes, and shapes by what they stand for."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

from finishplan.paper.theme import text_width

NS = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float, float]


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def frame(svg: str) -> tuple[float, float]:
    _, _, width, height = read(svg).attrib["viewBox"].split()
    return float(width), float(height)


def texts(svg: str) -> list[tuple[str, Box]]:
    """Every text with its box."""
    found = []
    for node in read(svg).iter(f"{NS}text"):
        words, size = node.text or "", float(node.attrib["font-size"])
        width = text_width(words, size, "font-weight" in node.attrib)
        x, y = float(node.attrib["x"]), float(node.attrib["y"])
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[node.attrib.get("text-anchor", "start")] * width
        found.append((words, (left, y - 0.78 * size, left + width, y + 0.22 * size)))
    return found


def overlaps(svg: str) -> list[tuple[str, str]]:
    boxes = texts(svg)
    return [
        (a, b)
        for k, (a, one) in enumerate(boxes)
        for b, other in boxes[k + 1 :]
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    ]


def shapes(svg: str, role: str) -> list[ET.Element]:
    return [node for node in read(svg).iter() if node.attrib.get("data-is") == role]


def width_of(node: ET.Element) -> float:
    return float(node.attrib["width"])


def points(node: ET.Element) -> list[tuple[float, float]]:
    return [(float(p.split(",")[0]), float(p.split(",")[1])) for p in node.attrib["points"].split()]


def boxes(svg: str) -> list[tuple[str, Box]]:
    """Boxes of all rectangles, lines, circles, polygons and texts that no clip path cuts off."""
    found = list(texts(svg))
    for node in read(svg).iter():
        tag, a = node.tag.removeprefix(NS), node.attrib
        if "clip-path" in a:
            continue
        if tag == "rect":
            x, y, w, h = (float(a[k]) for k in ("x", "y", "width", "height"))
            found.append((tag, (x, y, x + w, y + h)))
        elif tag == "line" and "x2" in a and float(a["x2"]) + float(a["y2"]) > 8.5:
            xs, ys = sorted((float(a["x1"]), float(a["x2"]))), sorted((float(a["y1"]), float(a["y2"])))
            found.append((tag, (xs[0], ys[0], xs[1], ys[1])))
        elif tag == "circle":
            x, y, r = (float(a[k]) for k in ("cx", "cy", "r"))
            found.append((tag, (x - r, y - r, x + r, y + r)))
        elif tag == "polygon":
            xs, ys = zip(*points(node), strict=True)
            found.append((tag, (min(xs), min(ys), max(xs), max(ys))))
        elif tag == "path" and re.fullmatch(r"[ML\d., -]+Z?", a["d"]):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", a["d"])]
            xs, ys = numbers[::2], numbers[1::2]
            found.append((tag, (min(xs), min(ys), max(xs), max(ys))))
    return found


def outside(svg: str) -> list[tuple[str, Box]]:
    width, height = frame(svg)
    return [(what, box) for what, box in boxes(svg)
            if box[0] < -0.01 or box[1] < -0.01 or box[2] > width + 0.01 or box[3] > height + 0.01]


def rising(values: list[float]) -> bool:
    return all(a <= b for a, b in pairwise(values))
