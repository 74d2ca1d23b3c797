"""What anchors hold, drawn: pulls on one scale, holding ÷ weight, ground chain against uplift."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...models.evidence.anchor_evidence import AnchorEvidence, WithinDrag
from ...models.evidence.chain_need import ChainNeed
from ...models.site.pull_test import Event, PullTest
from ...models.standing.holding import efficiency
from ..words.grammar import counted
from .drawing import Area, Drawing, Part, Point, Stroke, Words, mark

WIDTH = 760.0
ABREAST = 3
PANEL = (WIDTH / ABREAST, 178.0)
LEFT, RIGHT, TOP, FOOT = 34.0, 8.0, 20.0, 30.0
"""Room around the field of a panel."""

DASHES: tuple[tuple[float, ...], ...] = ((), (7.0, 3.0), (2.0, 2.5), (9.0, 2.5, 2.0, 2.5))
GREY, PALE = "#8c8c8c", "#d0d0d0"

BAR, GAP, NAMES, VALUES = 15.0, 7.0, 250.0, 150.0
"""Of the bars: thickness, space between, room for names at the left and figures at the right."""


@dataclass(frozen=True)
class Field:
    """A field of a chart: where it lies on the drawing, and the figures at its far ends."""

    at: Point
    """Its upper left corner."""
    width: float
    height: float
    most: tuple[float, float]
    """Across and upwards; both begin at zero."""

    def point(self, across: float, up: float) -> Point:
        """Return where two figures lie."""
        x = self.at[0] + self.width * across / self.most[0]
        return x, self.at[1] + self.height * (1 - up / self.most[1])

    def line(self, points: Sequence[Point], width: float = 1.0, **look: object) -> Stroke:
        """Return a line through figures."""
        return Stroke(tuple(self.point(*each) for each in points), width, **look)  # type: ignore[arg-type]

    def axes(self) -> list[Part]:
        """Return its frame, with ticks, faint lines and their figures."""
        parts: list[Part] = []
        for figure in ticks(self.most[0]):
            x, y = self.point(figure, 0)
            parts.append(self.line(((figure, 0), (figure, self.most[1])), 0.6, shade=PALE))
            parts.append(Words((x, y + 11.0), f"{figure:g}", 8.5, "middle"))
        for figure in ticks(self.most[1]):
            x, y = self.point(0, figure)
            parts.append(self.line(((0, figure), (self.most[0], figure)), 0.6, shade=PALE))
            parts.append(Words((x - 4.0, y + 3.0), f"{figure:g}", 8.5, "end"))
        parts.append(self.line(((0, self.most[1]), (0, 0), (self.most[0], 0)), 1.0))
        return parts


def ticks(most: float, number: int = 5) -> list[float]:
    """Return about so many round figures from zero up to the most."""
    rough = most / number
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * each for each in (1, 2, 5, 10) if power * each >= rough * 0.999)
    return [step * n for n in range(int(most / step * (1 + 1e-9)) + 1)]


def pull_drawing(rows: Sequence[AnchorEvidence], of: Sequence[AnchorEvidence]) -> Drawing:
    """Return a panel for each of some anchors tested, load against drag, a line a test.

    of : all whose tests share the scale.
    """
    readings = [r for row in of for test in row.tests for r in test.readings]
    most = max(r.drag_m for r in readings) * 1.04 or 1.0, max(r.load_kn for r in readings) * 1.08
    most = most[0], most[1] or 1.0
    parts: list[Part] = []
    for number, row in enumerate(rows):
        x, y = PANEL[0] * (number % ABREAST), PANEL[1] * (number // ABREAST)
        wide, high = PANEL[0] - LEFT - RIGHT, PANEL[1] - TOP - FOOT
        field = Field((x + LEFT, y + TOP), wide, high, most)
        parts += field.axes()
        parts.append(Words((x + LEFT, y + 13.0), _short(row.anchor.name, 34), 11.0, bold=True))
        parts.append(Words((x + PANEL[0] - RIGHT, y + PANEL[1] - 6.0), "drag, m", 8.5, "end"))
        parts.append(Words((x + PANEL[0] - RIGHT, y + 13.0), "kN", 8.5, "end"))
        for test, dash in zip(row.tests, _looped(len(row.tests)), strict=True):
            parts += _pull(field, test, dash)
    shown = "; ".join(f"{row.anchor.name}: {len(row.tests)} tests" for row in rows)
    height = PANEL[1] * math.ceil(len(rows) / ABREAST)
    return Drawing(WIDTH, height, tuple(parts), f"Load against drag on one scale. {shown}")


def _looped(number: int) -> list[tuple[float, ...]]:
    return [DASHES[each % len(DASHES)] for each in range(number)]


def _pull(field: Field, test: PullTest, dash: tuple[float, ...]) -> list[Part]:
    """Return one test's line, its events marked, and its name at its end."""
    points = [(r.drag_m, r.load_kn) for r in test.readings]
    parts: list[Part] = [field.line(points, 1.4, dash=dash)] if len(points) > 1 else []
    for reading in test.readings:
        x, y = field.point(reading.drag_m, reading.load_kn)
        match reading.event:
            case Event.ROLLED_OUT:
                arms = [((x - 4.0, y - rise), (x + 4.0, y + rise)) for rise in (-4.0, 4.0)]
                parts += [Stroke(arm, 2.0) for arm in arms]
            case Event.BROKE:
                parts.append(mark((x, y), 1, 5.0))
            case Event.STOPPED:
                parts.append(mark((x, y), 6, 4.0))
            case _:
                pass
    return parts


EVENT_WORDS = "A cross: it rolled out. A black triangle: it broke. A white square: stopped."


Within = tuple[AnchorEvidence, WithinDrag]
"""An anchor on a seabed, with the allowed drag that it is shown for."""


def bar_drawing(rows: Sequence[Within], of: Sequence[Within]) -> Drawing:
    """Return a bar for each anchor: what is relied on ÷ its weight, the range of its tests on it.

    of : all that share the scale.
    """
    most = max([*(_most(row, at) for row, at in of), 1.0]) * 1.04
    scale = (WIDTH - NAMES - VALUES) / most
    foot = 16.0 + len(rows) * (BAR + GAP)
    parts: list[Part] = []
    for figure in ticks(most, 8):
        x = NAMES + figure * scale
        parts.append(Stroke(((x, 10.0), (x, foot)), 0.6, PALE))
        parts.append(Words((x, foot + 12.0), f"{figure:g}", 9.0, "middle"))
    for number, (row, at) in enumerate(rows):
        y = 14.0 + number * (BAR + GAP)
        middle, mass = y + BAR / 2, row.anchor.mass_kg
        parts.append(Words((NAMES - 6.0, middle + 4.0), _short(row.anchor.name, 40), 10.5, "end"))
        relied = efficiency(at.relied_on_kn, mass)
        if relied > 0:
            right = NAMES + relied * scale
            corners = ((NAMES, y), (right, y), (right, y + BAR), (NAMES, y + BAR))
            parts.append(Area(corners, "#bdbdbd"))
        if at.usable_kn:
            low, high = (efficiency(f(at.usable_kn), mass) for f in (min, max))
            ends = NAMES + low * scale, NAMES + high * scale
            parts.append(Stroke(((ends[0], middle), (ends[1], middle)), 2.0))
            parts += [Stroke(((end, middle - 5.0), (end, middle + 5.0)), 2.0) for end in ends]
        if row.peak_efficiency is not None:
            parts.append(mark((NAMES + row.peak_efficiency * scale, middle), 7, 3.6))
        told = "refused" if at.holding.refusal else f"{at.relied_on_kn:,.1f} kN, {relied:.1f}"
        tests = f", {counted(len(row.tests), 'test')}" if row.tests else ""
        parts.append(Words((WIDTH - VALUES + 12.0, middle + 4.0), told + tests, 10.0))
    parts.append(Stroke(((NAMES, 10.0), (NAMES, foot)), 1.2))
    about = "; ".join(f"{r.anchor.name} {at.relied_on_kn:,.1f} kN" for r, at in rows)
    return Drawing(WIDTH, foot + 18.0, tuple(parts), f"Holding relied on ÷ weight: {about}")


BAR_WORDS = (
    "Grey bar: what is relied on ÷ weight in air. Black line: from the least to the most that its "
    "tests allow within that drag. White diamond: the peak that one test showed once, at any drag; "
    "it is not relied on. Behind: kN, times its weight, and the pull tests."
)


def _most(row: AnchorEvidence, at: WithinDrag) -> float:
    held = max([*at.usable_kn, at.relied_on_kn, row.peak.load_kn if row.peak else 0.0])
    return efficiency(held, row.anchor.mass_kg) if math.isfinite(held) else 0.0


def chain_drawing(needs: Sequence[ChainNeed]) -> Drawing:
    """Return the ground chain needed against the uplift that an anchor tolerates, a line a leg."""
    known = [
        [(a, m) for a, m in zip(need.uplifts_deg, need.lengths_m, strict=True) if m is not None]
        for need in needs
    ]
    most = max(needs[0].uplifts_deg), max([m for run in known for _, m in run] + [1.0]) * 1.06
    field = Field((44.0, 12.0), 440.0, 250.0, most)
    parts = field.axes()
    parts.append(Words((field.at[0], 9.0), "ground chain, m", 9.0))
    parts.append(Words((484.0, 290.0), "largest uplift tolerated, degrees", 9.0, "end"))
    for number, (need, run) in enumerate(zip(needs, known, strict=True)):
        if run:
            parts.append(field.line(run, 1.4, dash=DASHES[number % len(DASHES)]))
            parts += [mark(field.point(*each), number, 3.4) for each in run]
        y = 22.0 + 30.0 * number
        parts.append(mark((506.0, y - 4.0), number, 4.0))
        parts.append(Words((518.0, y), _short(_leg(need), 44), 10.0))
        parts.append(Words((518.0, y + 12.0), _short(_gear(need), 44), 9.0))
    about = "; ".join(f"{_leg(need)}, {_gear(need)}" for need in needs)
    return Drawing(WIDTH, 296.0, tuple(parts), f"Ground chain against uplift: {about}")


def _leg(need: ChainNeed) -> str:
    return f"{need.leg.name}: {need.leg.design_tension_kn:g} kN, {need.leg.depth_m:g} m deep"


def _gear(need: ChainNeed) -> str:
    rope = f" + {need.rope_m:g} m {need.rope.name}" if need.rope else ""
    return f"{need.chain.name}{rope}"


def _short(name: str, most: int) -> str:
    return name if len(name) <= most else name[: most - 1] + "…"
