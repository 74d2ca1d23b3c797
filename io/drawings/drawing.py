"""A drawing: strokes, marks and words on a plane, written as SVG or painted as PNG.

Told apart without colour: by width, dash, shape, shade and words.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from PIL import Image, ImageDraw, ImageFont

FINER = 3
"""A PNG is painted so many times larger, then made smaller, so that its edges are smooth."""
PNG_SCALE = 2
"""Pixels of a PNG in one unit of its drawing, for sharp prints."""
GREYS = 16
"""Shades that a PNG has, evenly from black to white: so many that edges still look smooth."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """A line through points; `dash` holds lengths drawn and left out in turn."""

    points: tuple[Point, ...]
    width: float = 1.0
    shade: str = "#000000"
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Area:
    """A filled outline."""

    points: tuple[Point, ...]
    fill: str = "#000000"
    edge: str = "#000000"
    stripes: str = ""
    """Shade of slanting stripes over the fill; "": none. SVG only."""


@dataclass(frozen=True)
class Words:
    """A text; `at` is its foot, at its start, middle or end."""

    at: Point
    text: str
    size: float = 11.0
    anchor: str = "start"
    bold: bool = False


Part = Stroke | Area | Words


@dataclass(frozen=True)
class Drawing:
    """Parts on a plane whose y runs downwards, first ones undermost; `about` says it in words."""

    width: float
    height: float
    parts: tuple[Part, ...]
    about: str

    def svg(self) -> str:
        """Return it as an element to set into a page; every text is escaped."""
        drawn = "".join(_svg(part) for part in self.parts)
        return (
            f'<svg viewBox="0 0 {self.width:g} {self.height:g}" role="img" '
            f'aria-label="{escape(self.about)}" xmlns="http://www.w3.org/2000/svg">'
            f"{drawn}</svg>"
        )

    def png(self) -> bytes:
        """Return it as a grey picture; letters beyond ASCII may come out as boxes."""
        scale = FINER * PNG_SCALE
        size = round(self.width * scale), round(self.height * scale)
        picture = Image.new("L", size, 255)
        pen = ImageDraw.Draw(picture)
        for part in self.parts:
            _paint(pen, part, scale)
        small = picture.resize((size[0] // FINER, size[1] // FINER), Image.Resampling.BOX)
        return grey_png(small)


def grey_png(picture: Image.Image) -> bytes:
    """Return a picture of mode L as a PNG of a few greys."""
    nearest = [round(shade * (GREYS - 1) / 255) for shade in range(256)]
    few = Image.frombytes("P", picture.size, picture.point(nearest).tobytes())
    few.putpalette([255 * grey // (GREYS - 1) for grey in range(GREYS) for _ in "RGB"])
    file = io.BytesIO()
    few.save(file, "PNG")
    return file.getvalue()


SHAPES = ("circle", "triangle", "square", "diamond")
MARK_FILLS = ("#000000", "#ffffff", "#9a9a9a")


def mark(at: Point, number: int, size: float = 5.0) -> Area:
    """Return the numbered mark: no two of the first twelve are alike in shape and fill."""
    x, y = at
    shape = SHAPES[number % len(SHAPES)]
    fill = MARK_FILLS[number // len(SHAPES) % len(MARK_FILLS)]
    sides = {"circle": 20, "triangle": 3, "square": 4, "diamond": 4}[shape]
    turn = {"circle": 0.0, "triangle": -math.pi / 2, "square": math.pi / 4, "diamond": 0.0}[shape]
    reach = size * {"circle": 1.0, "triangle": 1.3, "square": 1.3, "diamond": 1.3}[shape]
    corners = (turn + 2 * math.pi * side / sides for side in range(sides))
    outline = tuple((x + reach * math.cos(a), y + reach * math.sin(a)) for a in corners)
    return Area(outline, fill)


def _svg(part: Part) -> str:
    if isinstance(part, Words):
        weight = ' font-weight="bold"' if part.bold else ""
        return (
            f'<text x="{part.at[0]:.1f}" y="{part.at[1]:.1f}" font-size="{part.size:g}" '
            f'text-anchor="{part.anchor}"{weight}>{escape(part.text)}</text>'
        )
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in part.points)
    if isinstance(part, Area):
        shape = f'<polygon points="{points}" fill="{part.fill}" stroke="{part.edge}"/>'
        return shape + _striped(part)
    dash = ",".join(f"{length:g}" for length in part.dash)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="{part.shade}" '
        f'stroke-width="{part.width:g}"{dashed}/>'
    )


def _striped(area: Area) -> str:
    """Return slanting stripes over an upright rectangle."""
    if not area.stripes:
        return ""
    left, right = min(x for x, _ in area.points), max(x for x, _ in area.points)
    top, foot = min(y for _, y in area.points), max(y for _, y in area.points)
    height = foot - top
    lines = []
    x = left - height
    while x < right:
        # The line from (x, foot) to (x + height, top), cut off at the sides.
        x0, x1 = max(x, left), min(x + height, right)
        if x1 > x0:
            lines.append(f"M{x0:.1f} {foot - (x0 - x):.1f}L{x1:.1f} {foot - (x1 - x):.1f}")
        x += 5.0
    return f'<path d="{"".join(lines)}" stroke="{area.stripes}" fill="none"/>'


def _paint(pen: ImageDraw.ImageDraw, part: Part, scale: float) -> None:
    if isinstance(part, Words):
        font = ImageFont.load_default(part.size * scale)
        where = {"start": "ls", "middle": "ms", "end": "rs"}[part.anchor]
        at = (part.at[0] * scale, part.at[1] * scale)
        pen.text(at, part.text, fill=0, font=font, anchor=where)
        return
    points = [(x * scale, y * scale) for x, y in part.points]
    if isinstance(part, Area):
        pen.polygon(points, fill=_grey(part.fill), outline=_grey(part.edge), width=round(scale))
        return
    for run in _dashes(points, [length * scale for length in part.dash]):
        pen.line(run, fill=_grey(part.shade), width=round(part.width * scale), joint="curve")


def _grey(shade: str) -> int:
    return int(shade[1:3], 16)


def _dashes(points: Sequence[Point], dash: Sequence[float]) -> list[list[Point]]:
    """Return the pieces of a line that are drawn."""
    if not dash:
        return [list(points)]
    runs: list[list[Point]] = []
    number, left = 0, dash[0]
    run = [points[0]]
    for (x0, y0), (x1, y1) in pairwise(points):
        length, done = math.hypot(x1 - x0, y1 - y0), 0.0
        while length - done > left:
            done += left
            x, y = x0 + (x1 - x0) * done / length, y0 + (y1 - y0) * done / length
            if number % 2 == 0:
                runs.append([*run, (x, y)])
            run = [(x, y)]
            number += 1
            left = dash[number % len(dash)]
        left -= length - done
        run.append((x1, y1))
    return runs if number % 2 else [*runs, run]
