"""The farm's map: where each chosen anchor lies, and the drawing of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from ...models.answer.plan import Plan
from ...models.evidence.lines import PlanLine, every_line
from .drawing import Drawing, Part, Point, Stroke, Words, mark

Box = tuple[tuple[float, float], tuple[float, float]]
"""Least and most across, then upwards."""

WIDTH, HEIGHT = 760.0, 470.0
LEFT, RIGHT, TOP, FOOT = 46.0, 170.0, 10.0, 40.0
"""Room around the map: scales to the left and below, marks explained to the right."""
GRID_LINES = 6
NAME_SIZE = 11.0


def placed_lines(plan: Plan) -> dict[str, list[PlanLine]]:
    """Return the lines of a plan that have a position, by anchor, those laid most first."""
    laid: dict[str, list[PlanLine]] = defaultdict(list)
    for line in every_line(plan):
        if line.anchor is not None:
            laid[line.row.make_up.anchor].append(line)
    return dict(sorted(laid.items(), key=lambda item: (-anchors_in(item[1]), item[0])))


def anchors_in(lines: Sequence[PlanLine]) -> int:
    """Return the anchors that lines lie on."""
    return sum(line.row.make_up.anchors for line in lines)


def left_out_words(plan: Plan) -> str:
    """Return how many lines have no position and so are not drawn, or ""."""
    lines = sum(row.count for row in (*plan.assignments, *plan.laid))
    drawn = sum(len(lines) for lines in placed_lines(plan).values())
    if lines == drawn:
        return ""
    return f" {lines - drawn} of {lines} lines have no position and are not drawn."


def drawn_points(plan: Plan) -> list[Point]:
    """Return every point that the map must hold: anchors, attachments, the lease's corners."""
    lines = [line for placed in placed_lines(plan).values() for line in placed]
    ends = [end for line in lines for end in (line.anchor, line.attachment) if end is not None]
    return [*ends, *((corner.easting_m, corner.northing_m) for corner in plan.farm.lease)]


def map_box(points: Sequence[tuple[float, float]], shape: float) -> Box:
    """Return the least and most of both axes around points, for one scale on both.

    shape : width ÷ height of where they are drawn.
    """
    eastings, northings = [x for x, _ in points], [y for _, y in points]
    wide = max(max(eastings) - min(eastings), 10.0) * 1.15
    high = max(max(northings) - min(northings), 10.0) * 1.15
    wide, high = max(wide, high * shape), max(high, wide / shape)
    step = _step(wide)
    box = []
    for values, size in ((eastings, wide), (northings, high)):
        middle = (max(values) + min(values)) / 2
        least = (middle - size / 2) // step * step
        box.append((least, least + -(-size // step) * step + step))
    return box[0], box[1]


def _step(size: float) -> float:
    """Return the largest power of ten that goes at least ten times into a size."""
    return float(10.0 ** (len(f"{size:.0f}") - 2))


def map_drawing(plan: Plan) -> Drawing | None:
    """Return the map: lines from attachment to anchor, leg groups named, the lease dashed; None
    where no line has a position."""
    placed = placed_lines(plan)
    if not placed:
        return None
    room = WIDTH - LEFT - RIGHT, HEIGHT - TOP - FOOT
    (west, east), (south, north) = map_box(drawn_points(plan), room[0] / room[1])
    scale = min(room[0] / (east - west), room[1] / (north - south))

    def at(point: Point) -> Point:
        return LEFT + (point[0] - west) * scale, HEIGHT - FOOT - (point[1] - south) * scale

    parts: list[Part] = [*_grid((west, east), (south, north), scale)]
    corners = [at((corner.easting_m, corner.northing_m)) for corner in plan.farm.lease]
    if corners:
        parts.append(Stroke((*corners, corners[0]), 1.2, dash=(6.0, 4.0)))
    taken: list[tuple[float, float, float, float]] = []
    names: dict[str, Words] = {}
    for number, (anchor, lines) in enumerate(placed.items()):
        for line in lines:
            assert line.anchor is not None, "a placed line has its anchor's position"
            assert line.attachment is not None, "and its attachment's"
            spot = at(line.anchor)
            parts.append(Stroke((at(line.attachment), spot), 0.6, "#808080"))
            parts.append(mark(spot, number))
            taken.append((spot[0] - 6, spot[1] - 6, spot[0] + 6, spot[1] + 6))
            names.setdefault(line.leg, Words(spot, line.leg, NAME_SIZE))
        key = TOP + 14.0 + 18.0 * number
        parts.append(mark((WIDTH - RIGHT + 20.0, key), number))
        told = f"{anchor} ({anchors_in(lines)})"
        parts.append(Words((WIDTH - RIGHT + 32.0, key + 4.0), told, 11.0))
    parts += [_clear(name, taken) for name in names.values()]
    about = "Map of the anchors: " + ", ".join(
        f"{anchors_in(lines)} {anchor}" for anchor, lines in placed.items()
    )
    height = max(HEIGHT, TOP + 18.0 * len(placed) + 10.0)
    return Drawing(WIDTH, height, tuple(parts), about)


def _grid(across: tuple[float, float], upwards: tuple[float, float], scale: float) -> list[Part]:
    """Return the frame, fine lines at round metres, and what they stand for."""
    parts: list[Part] = []
    left, foot = LEFT, HEIGHT - FOOT
    right, top = LEFT + (across[1] - across[0]) * scale, foot - (upwards[1] - upwards[0]) * scale
    step = _step(across[1] - across[0])
    while (across[1] - across[0]) / step > GRID_LINES:
        step *= 2
    metres = -(-across[0] // step) * step
    while metres <= across[1]:
        x = left + (metres - across[0]) * scale
        parts.append(Stroke(((x, top), (x, foot)), 0.5, "#c8c8c8"))
        parts.append(Words((x, foot + 14.0), f"{metres:.0f}", 11.0, "middle"))
        metres += step
    metres = -(-upwards[0] // step) * step
    while metres <= upwards[1]:
        y = foot - (metres - upwards[0]) * scale
        parts.append(Stroke(((left, y), (right, y)), 0.5, "#c8c8c8"))
        parts.append(Words((left - 4.0, y + 3.0), f"{metres:.0f}", 11.0, "end"))
        metres += step
    frame = ((left, top), (right, top), (right, foot), (left, foot), (left, top))
    parts.append(Stroke(frame, 0.8))
    parts.append(
        Words(
            ((left + right) / 2, foot + 30.0), "Easting (m); upwards: northing (m)", 10.0, "middle"
        )
    )
    return parts


def _clear(name: Words, taken: list[tuple[float, float, float, float]]) -> Words:
    """Return a name moved beside its mark, where it covers least, and note the place as taken."""
    x, y = name.at
    width, height = len(name.text) * NAME_SIZE * 0.6, NAME_SIZE
    places = (
        (x + 8, y + 3),
        (x - 8 - width, y + 3),
        (x - width / 2, y - 9),
        (x - width / 2, y + 17),
        (x + 8, y - 7),
        (x + 8, y + 14),
    )

    def covered(place: tuple[float, float]) -> int:
        left, foot = place
        return sum(
            left < box[2] and left + width > box[0] and foot - height < box[3] and foot > box[1]
            for box in taken
        )

    left, foot = min(places, key=covered)
    taken.append((left, foot - height, left + width, foot))
    return Words((left, foot), name.text, name.size)
