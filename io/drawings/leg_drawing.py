"""Leg drawings: each distinct make-up as it hangs, to scale: seabed, chain, rope, uplift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...models.answer.plan import Assignment, Plan
from ...models.evidence.line_shape import LineShape, assignment_shape
from ...models.standing.make_up import MakeUp
from ..words.grammar import listed
from .drawing import Area, Drawing, Part, Stroke, Words

WIDTH, HEIGHT = 640.0, 180.0
LEFT, RIGHT, TOP, FOOT = 30.0, 84.0, 20.0, 50.0
"""Room around the leg, for its words."""
SIZE = 15.0
"""Of the words."""
ABREAST, MOST_ANCHORS = 10.0, 3
"""How far the anchors of one line stand apart, and how many are drawn."""
NARROW = 270.0
"""What is drawn less wide has its words beside it."""


@dataclass(frozen=True)
class DrawnLeg:
    """One way in which legs hang, and the rows of the plan that do."""

    make_up: MakeUp
    rows: tuple[Assignment, ...]
    title: str
    """The legs, and how many."""
    built: str
    """What they are built of."""
    drawing: Drawing


def drawn_legs(plan: Plan) -> tuple[DrawnLeg, ...]:
    """Return every distinct make-up of a plan as it hangs at its leg's tension and depth."""
    alike: dict[tuple[MakeUp, float, float], list[Assignment]] = {}
    for row in plan.assignments:
        leg = plan.farm.leg_by_name[row.leg]
        key = (row.make_up, leg.design_tension_kn, leg.depth_m)
        alike.setdefault(key, []).append(row)
    drawn = []
    for (make_up, tension, depth), rows in alike.items():
        shape = assignment_shape(plan.farm, rows[0])
        if shape is None:  # the recheck has refused such a plan
            continue
        count = sum(row.count for row in rows)
        names = ", ".join(dict.fromkeys(row.leg for row in rows))
        title = f"{names}: {count} leg{'' if count == 1 else 's'}, {tension:g} kN at {depth:g} m"
        beds = list(dict.fromkeys(plan.farm.leg_by_name[row.leg].seabed for row in rows))
        built = f"{make_up}; on {listed(beds)}"
        drawn.append(DrawnLeg(make_up, tuple(rows), title, built, _drawing(shape, make_up, title)))
    return tuple(drawn)


def _drawing(shape: LineShape, make_up: MakeUp, title: str) -> Drawing:
    """Return one leg to scale, the anchor to the left."""
    across, up = shape.attachment
    scale = min((WIDTH - LEFT - RIGHT) / max(across, 1.0), (HEIGHT - TOP - FOOT) / max(up, 1.0))
    bed = HEIGHT - FOOT

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return LEFT + point[0] * scale, bed - point[1] * scale

    chain = [at((0.0, 0.0)), *(at(point) for point in shape.chain)]
    rope = [at(point) for point in shape.rope]
    right, top = at((across, up))
    parts: list[Part] = [*_seabed(bed)]
    if rope:
        parts.append(Stroke(tuple(rope), 1.6))
    parts += [
        Stroke(tuple(chain), 4.0, dash=(5.0, 2.0)),
        *_anchors(make_up.anchors, bed),
        Area(_box(right, top, 4.0), "#ffffff"),
        *_height(right, top, bed, up),
        *_radius(right, bed, across),
        _of_chain(chain, bed, f"{make_up.chain_m:g} m chain"),
        Words((LEFT, bed + 42.0), f"uplift {shape.uplift_deg:.1f}°", SIZE),
    ]
    if rope:
        parts.append(_above(rope, f"{make_up.rope_m:g} m rope"))
    return Drawing(WIDTH, HEIGHT, tuple(parts), f"Leg drawing, {title}; {make_up}")


def _seabed(bed: float) -> list[Part]:
    """Return the seabed as a line with earth below it."""
    ticks = [
        Stroke(((x, bed + 6.0), (x - 6.0, bed + 12.0)), 0.6, "#808080")
        for x in range(12, int(WIDTH) - 4, 12)
    ]
    return [Stroke(((4.0, bed + 6.0), (WIDTH - 4.0, bed + 6.0)), 1.0), *ticks]


def _anchors(count: int, bed: float) -> list[Part]:
    """Return the anchors of one line: one, or a smaller one each abreast with their number."""
    if count == 1:
        return [Area(((LEFT, bed - 9), (LEFT - 15, bed + 5), (LEFT + 3, bed + 5)), "#000000")]
    return [
        *(
            Area(((x, bed - 9), (x - 7, bed + 5), (x + 1, bed + 5)), "#000000")
            for x in (LEFT - ABREAST * at for at in range(min(count, MOST_ANCHORS)))
        ),
        Words((4.0, bed - 16.0), f"{count} ×", SIZE),
    ]


def _box(x: float, y: float, half: float) -> tuple[tuple[float, float], ...]:
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _height(x: float, top: float, bed: float, metres: float) -> list[Part]:
    """Return the dimension from the seabed to the attachment."""
    line = x + 14.0
    return [
        Stroke(((line, top), (line, bed + 6.0)), 0.6),
        Stroke(((line - 4, top), (line + 4, top)), 0.6),
        Words((line + 5.0, (top + bed) / 2 + 4.0), f"{metres:g} m", SIZE),
    ]


def _radius(x: float, bed: float, metres: float) -> list[Part]:
    """Return the dimension from the anchor to below the attachment."""
    line = bed + 24.0
    narrow = x - LEFT < NARROW
    words = (x + 10.0, line + 5.0) if narrow else ((LEFT + x) / 2, line + 18.0)
    anchor = "start" if narrow else "middle"
    return [
        Stroke(((LEFT, line), (x, line)), 0.6),
        Stroke(((LEFT, line - 4), (LEFT, line + 4)), 0.6),
        Stroke(((x, line - 4), (x, line + 4)), 0.6),
        Words(words, f"radius {metres:.1f} m", SIZE, anchor),
    ]


def _above(line: Sequence[tuple[float, float]], text: str) -> Words:
    """Return words above the middle of a line, ending there where it is steep."""
    (x0, y0), (x1, y1) = line[0], line[-1]
    flat = abs(y1 - y0) < 12.0
    return Words(((x0 + x1) / 2, (y0 + y1) / 2 - 10.0), text, SIZE, "middle" if flat else "end")


def _of_chain(line: Sequence[tuple[float, float]], bed: float, text: str) -> Words:
    """Return words above a chain; beside its upper end where it is short."""
    if line[-1][0] - line[0][0] < NARROW / 2:
        return Words((line[-1][0] + 16.0, bed + 1.0), text, SIZE)
    return _above(line, text)
