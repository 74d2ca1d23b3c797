"""A part of the programme: some choices, bounds and rows, to be solved by itself."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...models.arrays import Ints
from ..programme.cutting_rows import CutLesson, CutRow
from ..programme.pattern_rows import CutPattern
from .relaxation import Ends


@dataclass(frozen=True)
class ProgrammePart:
    """A part of the whole programme: some choices, rows and bounds."""

    active: Ints
    bounds: Ends | None = None
    """Of the farm-wide columns, in the order they are added."""
    cut_rows: tuple[CutRow, ...] = ()
    lessons: tuple[CutLesson, ...] = ()
    at_most: Mapping[str, int] | None = None
    patterns: Mapping[str, Sequence[CutPattern]] | None = None
    cost_at_most: float = math.inf
