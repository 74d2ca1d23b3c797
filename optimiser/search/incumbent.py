"""The incumbent: the least settlement found so far, and what was learnt on the way to it.

The search's threads share it; one lock guards it.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace

import numpy as np

from ...models.arrays import Ints
from ...models.farm import Farm
from ..choices.choices import Choices
from ..programme.cutting_rows import CutLesson, CutRow
from ..stowage.load_lessons import Stowage
from .settlement import Settlement, settle

MOST_KEPT = 150
"""Most cutting rows that are kept for a later search."""


@dataclass(frozen=True)
class SearchMemory:
    """What a search learnt that holds at any prices and under any option of the same farm."""

    cut_rows: tuple[CutRow, ...] = ()
    lessons: tuple[CutLesson, ...] = ()
    active: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Choices that prices asked for, by their place among those given."""
    stowage: Stowage | None = None


class Incumbent:
    """The best plan of some choices, and the rows and lessons that hold for all of them."""

    def __init__(
        self, farm: Farm, choices: Choices, solver: str, gap: float, known: SearchMemory
    ) -> None:
        self.farm, self.choices, self.solver, self.gap = farm, choices, solver, gap
        self.places = np.arange(len(choices))
        """Of the choices still there, among those that were given."""
        self.best: Settlement | None = None
        self.stowage = known.stowage or Stowage(farm)
        self.cut_rows: tuple[CutRow, ...] = known.cut_rows
        self.lessons: tuple[CutLesson, ...] = known.lessons
        self.stopped = False
        """Whether every thread is to end as soon as it can."""
        self._settled: dict[tuple[bytes, bytes, int], Settlement | None] = {}
        self._lock = threading.Lock()

    @property
    def cost(self) -> float:
        """Cost of the best plan; infinite without one."""
        best = self.best
        return math.inf if best is None else best.cost

    @property
    def floor(self) -> float:
        """A plan that costs no less than this is no news: the gap is met without it."""
        return self.cost * (1 - self.gap)

    def settle(self, chosen: Ints, counts: Ints) -> Settlement | None:
        """Settle lines of these choices, keep the settlement if it is the least, and return it."""
        lines = (chosen.tobytes(), counts.tobytes(), len(self.stowage.lessons))
        with self._lock:
            if lines in self._settled:
                return self._settled[lines]
        settled = settle(
            self.farm,
            self.choices,
            chosen,
            counts,
            self.solver,
            self.stowage,
            stopped=lambda: self.stopped,
        )
        with self._lock:
            self._settled[lines] = settled
        if settled is not None:
            self.offer(settled)
        return settled

    def offer(self, settled: Settlement) -> None:
        """Keep a settlement of these choices if it is the least."""
        with self._lock:
            if settled.cost < self.cost - 1e-9:
                self.best = settled

    def learn(self, cut_rows: Iterable[CutRow] = (), lessons: Iterable[CutLesson] = ()) -> None:
        """Add rows that hold for every plan."""
        with self._lock:
            self.cut_rows += tuple(cut_rows)
            self.lessons += tuple(lessons)

    def keep_rows(self, kept: Collection[CutRow]) -> None:
        """Forget the cutting rows that are not among these."""
        with self._lock:
            self.cut_rows = tuple(row for row in self.cut_rows if row in kept)

    def keep_choices(self, kept: Ints) -> None:
        """Go on with the choices at some places, all of the best plan's among them."""
        with self._lock:
            self.places = self.places[kept]
            self.choices = self.choices.take(kept)
            self._settled = {}
            if self.best is not None:
                chosen = np.searchsorted(kept, self.best.chosen)
                self.best = replace(self.best, chosen=chosen)

    def found(self) -> Settlement | None:
        """Return the best plan, its choices by their place among those that were given."""
        with self._lock:
            best = self.best
            return None if best is None else replace(best, chosen=self.places[best.chosen])

    def memory(self, active: Ints) -> SearchMemory:
        """Return what was learnt, of cutting rows the last; active : by place among those given."""
        rows = self.cut_rows[-MOST_KEPT:]
        return SearchMemory(rows, self.lessons, active, self.stowage)
