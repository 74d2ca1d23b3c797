"""A make-up: one complete way to build a leg, and how it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from ..site.project import Project


class LimitName(StrEnum):
    """The limits that a make-up, and the vessel that lays it, must keep."""

    HOLDING = "anchor holding"
    STRUCTURE = "anchor structure"
    UPLIFT = "uplift angle"
    ON_SEABED = "chain on the seabed"
    CHAIN = "chain strength"
    ROPE = "rope strength"
    FITTING = "fitting strength"
    CONNECTOR = "connector strength"
    RADIUS = "radius"
    LEASE = "distance to the lease's boundary"
    CRANE = "vessel crane"
    BOLLARD = "vessel bollard pull"
    DECK = "vessel deck"


@dataclass(frozen=True)
class Limit:
    """One limit: what is required, what is available, in one unit."""

    name: LimitName
    required: float
    available: float
    unit: str
    case: str = ""
    """The load case in which it is nearest to being reached; "" where cases do not matter."""

    @property
    def utilisation(self) -> float:
        """Required ÷ available; 0 where nothing is required, infinite where nothing is there."""
        if self.required <= 0:
            return 0.0
        return self.required / self.available if self.available > 0 else math.inf


@dataclass(frozen=True, order=True)
class MakeUp:
    """The items of one leg and their lengths; no rope (and 0 m) on an all-chain leg."""

    anchor: str
    anchors: int
    chain: str
    chain_m: float
    rope: str | None
    rope_m: float
    """Between its eyes, as it hangs; what is cut for it is `rope_piece_m`."""

    def rope_piece_m(self, project: Project) -> float:
        """Return the rope bought, cut, shipped and carried for one line, m: its eyes in it."""
        return project.rope_piece_m(self.rope_m) if self.rope is not None else 0.0

    def __str__(self) -> str:
        rope = f" + {self.rope_m:g} m {self.rope}" if self.rope else ""
        return f"{self.anchors} × {self.anchor}, {self.chain_m:g} m {self.chain}{rope}"
