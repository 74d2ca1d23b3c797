"""A load case: a tension with its factors, in which every limit must hold."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..fault import Source


class CaseTension(StrEnum):
    """Which of a leg's tensions a case takes."""

    DESIGN = "design"
    LINE_LOST = "line lost"


@dataclass(frozen=True)
class LoadCase:
    """A row of the Load cases sheet: the engineer's own."""

    name: str
    tension: CaseTension
    load_factor: float
    """On the tension, before the statics."""
    anchor_factor: float
    """On what the statics bring to the anchor."""
    chain_factor: float
    """On the load factor × the tension."""
    rope_factor: float
    """On the load factor × the tension."""
    extra_depth_m: float = 0.0
    legs: tuple[str, ...] = ()
    """Leg or group names that it is for; empty: all."""
    source: Source | None = field(default=None, compare=False, repr=False)
