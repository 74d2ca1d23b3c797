"""The picture of a load plan: a container from above and from its side, for print in grey."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFont

from ...models.goods.load import LoadPlan
from .drawing import grey_png

WIDE_PX = 1500
"""Of the longer container's inside; the picture is printed some 25 cm wide."""

MARGIN_PX, TEXT_PX, LETTER_PX = 90, 30, 19
FULL_PX = WIDE_PX + 2 * MARGIN_PX
"""Width of the picture of the longest container."""
LONGEST_MM = 12_000
"""What is drawn as wide as the picture; shorter containers come out shorter, to one scale."""

WHITE, PALE, GREY, BLACK = 255, 236, 150, 0


@dataclass(frozen=True)
class Rectangle:
    """One pack as it is seen in a view, mm: along the length, and across or up; its depth tells
    which lies nearer to the eye."""

    left: int
    low: int
    wide: int
    high: int
    depth: int
    number: int


def sides_px(plan: LoadPlan) -> tuple[int, int]:
    """Return the width and height of the picture of a load plan."""
    length, across, up = _inside_px(plan)
    return length + 2 * MARGIN_PX, across + up + 4 * TEXT_PX


def _inside_px(plan: LoadPlan) -> tuple[int, int, int]:
    """Return the length, width and height of a container's inside."""
    box, scale = plan.box, _scale(plan)
    length, across, up = (
        round(side * scale) for side in (box.length_mm, box.width_mm, box.height_mm)
    )
    return length, across, up


def _scale(plan: LoadPlan) -> float:
    return WIDE_PX / max(LONGEST_MM, plan.box.length_mm)


def load_picture(plan: LoadPlan) -> bytes:
    """Return a PNG of a load plan, packs numbered in the order of loading."""
    scale = _scale(plan)
    length, across, up = _inside_px(plan)
    image = Image.new("L", sides_px(plan), WHITE)
    draw = ImageDraw.Draw(image)
    top = TEXT_PX
    above = [
        Rectangle(p.x, p.y, p.dx, p.dy, p.z + p.dz, number)
        for number, p in enumerate(plan.placements, 1)
    ]
    _view(draw, "From above", above, (MARGIN_PX, top, length, across), scale, upwards=False)
    side = [
        Rectangle(p.x, p.z, p.dx, p.dz, p.y + p.dy, number)
        for number, p in enumerate(plan.placements, 1)
    ]
    below = top + across + 2 * TEXT_PX
    _view(draw, "From the right side", side, (MARGIN_PX, below, length, up), scale, upwards=True)
    return grey_png(image)


def _view(
    draw: ImageDraw.ImageDraw,
    title: str,
    seen: Sequence[Rectangle],
    frame: tuple[int, int, int, int],
    scale: float,
    *,
    upwards: bool,
) -> None:
    """Draw one view: the walls, the packs from the farthest to the nearest, and the door."""
    left, top, wide, high = frame
    draw.text((left, top - TEXT_PX), title, BLACK, _font())
    draw.rectangle((left, top, left + wide, top + high), PALE)
    behind: dict[tuple[int, int, int, int], list[Rectangle]] = defaultdict(list)
    for one in seen:
        behind[one.left, one.low, one.wide, one.high].append(one)
    nearest = sorted(behind.values(), key=lambda column: max(one.depth for one in column))
    for column in nearest:
        one = column[0]
        x0, x1 = (round(left + at * scale) for at in (one.left, one.left + one.wide))
        y0, y1 = (round(at * scale) for at in (one.low, one.low + one.high))
        y0, y1 = (top + high - y1, top + high - y0) if upwards else (top + y0, top + y1)
        draw.rectangle((x0, y0, x1, y1), WHITE, BLACK, 2)
        order = sorted(column, key=lambda one: (-one.depth, one.number))
        _label(draw, [other.number for other in order], (x0, y0, x1, y1))
    draw.rectangle((left, top, left + wide, top + high), None, BLACK, 3)
    for at in range(top, top + high, 24):  # the door end, hatched
        draw.line((left + wide + 4, at, left + wide + 16, min(at + 12, top + high)), BLACK, 3)
    middle = top + high // 2 - LETTER_PX // 2
    draw.text((left + wide + 20, middle), "DOOR", BLACK, _font())
    draw.text((6, middle), "FRONT", BLACK, _font())
    half = left + wide // 2
    draw.line((half, top + high, half, top + high + 8), BLACK, 3)


def _label(
    draw: ImageDraw.ImageDraw, numbers: Sequence[int], place: tuple[int, int, int, int]
) -> None:
    """Write the numbers of the packs that show as one rectangle, nearest first, if they fit."""
    x0, y0, x1, y1 = place
    texts = [" ".join(map(str, numbers)), f"{numbers[0]} +{len(numbers) - 1}", str(numbers[0])]
    for text in texts[0 if len(numbers) <= 4 else 1 :]:
        wide = draw.textlength(text, _font())
        if wide + 4 <= x1 - x0 and y1 - y0 >= LETTER_PX + 2:
            at = ((x0 + x1 - wide) / 2, (y0 + y1) / 2 - LETTER_PX * 0.6)
            draw.text(at, text, BLACK, _font())
            return


def _font() -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(LETTER_PX)
