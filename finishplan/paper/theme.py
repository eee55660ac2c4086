"""Ink, grounds and the few colours of a drawing, and the SVG text they are written with.

Colours are those of Okabe and Ito (published palette, told apart by colour-blind readers), used within
their contrast: text is ink alone, a mark has 3:1 on its ground, a fill under that gets an outline of ink.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

OKABE_ITO = {
    "black": "#000000", "orange": "#E69F00", "sky blue": "#56B4E9", "bluish green": "#009E73",
    "yellow": "#F0E442", "blue": "#0072B2", "vermillion": "#D55E00", "reddish purple": "#CC79A7",
}
"""The eight colours by name."""

FONT = "'Source Sans', 'Source Sans 3', 'Noto Sans', 'Helvetica Neue', Arial, 'DejaVu Sans', sans-serif"
"""Fonts in order of wish; the widths are estimated for the widest of them."""

WIDE_LETTERS = frozenset("mwMW@%&—ŒÆœæ")
NARROW_LETTERS = frozenset("iljtfI.,:;'|!()[]` ")


@dataclass(frozen=True)
class Theme:
    """Colours of one drawing: light screen, dark screen or paper."""

    name: str
    ground: str
    ink: str
    quiet: str
    """Second ink for what is said in passing; still 4.5:1 on the ground."""
    film: str
    """Fill of film; always outlined."""
    taken: str
    """Fill of what is taken; always outlined."""
    keep: str
    """Colour of the film that must stay."""
    defect: str
    """Colour of a defect's mark."""
    hairline: str
    """Rules and axes: a mark, 3:1 on the ground."""


LIGHT = Theme("light", "#FFFFFF", "#1B1B1A", "#555450", "#F1EFE9", OKABE_ITO["orange"], OKABE_ITO["blue"],
              "#B34F00", "#807E78")
DARK = Theme("dark", "#15171A", "#F2F0EB", "#B9B6AE", "#2B2E33", OKABE_ITO["orange"], OKABE_ITO["sky blue"],
             "#F08A3C", "#85878A")
PAPER = Theme("paper", "#FFFFFF", "#000000", "#333333", "#FFFFFF", "#DDDDDD", "#000000", "#000000", "#555555")
"""Black alone suffices: what colour says is said by pattern and word as well."""

SCREEN = Theme("screen", *(f"var(--{name})" for name in ("ground", "ink", "quiet", "film", "taken", "keep",
                                                             "defect", "hairline")))
"""Light or dark as the browser asks at the moment; the drawing carries both."""

THEMES = {theme.name: theme for theme in (LIGHT, DARK, PAPER)}
"""The themes with colours of their own, by name."""


def style(theme: Theme) -> str:
    """Return the style element that a drawing on ``theme`` needs: both palettes for the screen, else nothing."""
    if theme is not SCREEN:
        return ""
    light, dark = (
        ";".join(f"--{name}:{getattr(worn, name)}" for name in (
            "ground", "ink", "quiet", "film", "taken", "keep", "defect", "hairline"))
        for worn in (LIGHT, DARK)
    )
    return f"<style>svg{{{light}}}@media (prefers-color-scheme:dark){{svg{{{dark}}}}}</style>"


def luminance(colour: str) -> float:
    """Return the relative luminance (0 to 1) of "#RRGGBB". Source: WCAG 2.2, relative luminance.

    >>> luminance("#FFFFFF"), luminance("#000000")
    (1.0, 0.0)
    """
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio (1 to 21) of two colours. Source: WCAG 2.2, contrast ratio.

    >>> round(contrast("#000000", "#FFFFFF"), 2)
    21.0
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def text_width(text: str, size_px: float, bold: bool = False) -> float:
    """Return a width in px that ``text`` will not pass in any of the fonts: for placing, not for setting.

    Greek and Cyrillic count as wide letters, what lies beyond as a full em.
    """
    ems = 0.0
    for letter in text:
        if letter in NARROW_LETTERS:
            ems += 0.40
        elif ord(letter) > 0x0530:
            ems += 0.68 if letter in "–…×→↑↓" else 1.0
        elif letter in WIDE_LETTERS or ord(letter) > 0x024F:
            ems += 0.98
        else:
            ems += 0.70 if letter.isupper() else 0.62
    return ems * size_px * (1.08 if bold else 1.0)


def fitted(text: str, room_px: float, size_px: float, bold: bool = False) -> str:
    """Return ``text``, or as much of it as fits ``room_px`` with an ellipsis that says so."""
    if text_width(text, size_px, bold) <= room_px:
        return text
    cut = text
    while cut and text_width(cut + "…", size_px, bold) > room_px:
        cut = cut[:-1]
    return cut.rstrip() + "…"


def wrapped(text: str, room_px: float, size_px: float) -> list[str]:
    """Return ``text`` in lines that fit ``room_px``; a word longer than a line is cut with an ellipsis."""
    lines, line_words = [], ""
    for word in text.split():
        longer = f"{line_words} {word}".strip()
        if line_words and text_width(longer, size_px) > room_px:
            lines.append(line_words)
            longer = word
        line_words = fitted(longer, room_px, size_px)
    return [*lines, line_words] if line_words else lines


def num(value: float) -> str:
    """Return a coordinate with at most two decimals, so that bytes do not depend on the last bit.

    >>> num(12.0), num(1.23456), num(-0.001)
    ('12', '1.23', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Return ``text`` escaped for SVG and without characters that XML does not allow."""
    allowed = "".join(c for c in text if c in "\t\n\r" or (ord(c) >= 0x20 and ord(c) not in (0xFFFE, 0xFFFF)
                                                           and not 0xD800 <= ord(c) <= 0xDFFF))
    return escape(allowed, quote=True)


def text(x: float, y: float, words: str, theme: Theme, size_px: float, *, anchor: str = "start",
         bold: bool = False, quiet: bool = False, halo: str = "") -> str:
    """Return one line of text in ink; ``halo`` is the ground it is cut out of, where it crosses a pattern."""
    weight = ' font-weight="600"' if bold else ""
    place = "" if anchor == "start" else f' text-anchor="{anchor}"'
    edge = f' stroke="{halo}" stroke-width="5" stroke-linejoin="round" paint-order="stroke"' if halo else ""
    ink = theme.quiet if quiet else theme.ink
    return (f'<text x="{num(x)}" y="{num(y)}" font-size="{num(size_px)}" fill="{ink}"{weight}{place}{edge}>'
            f"{clean(words)}</text>")


def line(x1: float, y1: float, x2: float, y2: float, colour: str, width: float = 1.0, dash: str = "") -> str:
    """Return one straight line."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (f'<line x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}" stroke="{colour}" '
            f'stroke-width="{num(width)}"{dashes}/>')


def rect(x: float, y: float, width: float, height: float, fill: str, stroke: str = "", *, role: str = "",
         stroke_width: float = 1.0, dash: str = "") -> str:
    """Return one rectangle; ``role`` names what it stands for (data-is), for tests and tools."""
    edge = f' stroke="{stroke}" stroke-width="{num(stroke_width)}"' if stroke else ""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    says = f' data-is="{clean(role)}"' if role else ""
    return (f'<rect x="{num(x)}" y="{num(y)}" width="{num(width)}" height="{num(height)}" fill="{fill}"'
            f"{edge}{dashes}{says}/>")


def hatch(pattern_id: str, colour: str, gap_px: float = 7.0, angle: int = 45, width: float = 1.2) -> str:
    """Return a pattern of parallel lines under ``pattern_id``."""
    return (f'<pattern id="{pattern_id}" width="{num(gap_px)}" height="{num(gap_px)}" '
            f'patternUnits="userSpaceOnUse" patternTransform="rotate({angle})">'
            f'<line x1="0" y1="0" x2="0" y2="{num(gap_px)}" stroke="{colour}" stroke-width="{num(width)}"/>'
            "</pattern>")


def svg(width: float, height: float, title: str, desc: str, body: list[str], defs: str = "") -> str:
    """Return a whole drawing with its title and description for those who hear it instead of seeing it."""
    held = f"<defs>{defs}</defs>" if defs else ""
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(width)} {num(height)}" '
            f'width="{num(width)}" height="{num(height)}" role="img" font-family="{FONT}">'
            f"<title>{clean(title)}</title><desc>{clean(desc)}</desc>{held}{''.join(body)}</svg>")


def mark_svg(shape: str, fill: str, x: float, y: float, size_px: float, ink: str, ground: str) -> str:
    """Return a verdict's shape (circle, diamond, triangle, square, cross) with its fill, centred on x, y.

    Full is solid ink, open an outline, half an outline with its left half solid.
    """
    r = size_px / 2
    solid = ink if fill == "full" else ground
    edge = f'fill="{solid}" stroke="{ink}" stroke-width="{num(size_px / 9)}"'
    if shape == "circle":
        half = (f'<path d="M{num(x)} {num(y - r)}A{num(r)} {num(r)} 0 0 0 {num(x)} {num(y + r)}Z" '
                f'fill="{ink}"/>') if fill == "half" else ""
        return f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}" {edge}/>{half}'
    if shape == "cross":
        ends = [(x - r, y - r, x + r, y + r), (x - r, y + r, x + r, y - r)]
        return "".join(line(*end, ink, size_px / 5) for end in ends)
    corners = {
        "diamond": [(x, y - r), (x + r, y), (x, y + r), (x - r, y)],
        "triangle": [(x, y - r), (x + r, y + r * 0.8), (x - r, y + r * 0.8)],
        "square": [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)],
    }[shape]
    points = " ".join(f"{num(a)},{num(b)}" for a, b in corners)
    return f'<polygon points="{points}" stroke-linejoin="round" {edge}/>'
