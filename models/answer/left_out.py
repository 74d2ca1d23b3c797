"""What a plan leaves out: rows of the catalogues that no plan of the farm can use, and why."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..fault import Source


class Cause(StrEnum):
    """Why something can be used by no plan."""

    DATES = "too late"
    LEAST_ORDER = "minimum over available"
    CARRIAGE = "no carriage"
    DOOR = "does not pass the door"
    PAYLOAD = "too heavy for a container"
    VOLUME = "too large for a container"
    NOT_ALLOWED = "no leg may use it"
    EVIDENCE = "no holding to rely on"
    CRANE = "crane too small"
    DECK = "deck too small"
    PULL = "bollard pull too small"
    WEAK = "too weak for every leg"
    LIMIT = "misses a limit on every leg"
    LENGTH = "too short"
    DAY = "no time in a day"
    NOTHING = "nothing to do"


@dataclass(frozen=True)
class LeftOut:
    """One row that no plan can use."""

    what: str
    """"anchor", "chain", "rope", "fitting", "offer", "price break", "service" or "vessel"."""
    name: str
    cause: Cause
    told: str
    """The reason in a sentence, with its figures."""
    required: float | None = None
    """The figure that came nearest: what is required, and what there is of it."""
    available: float | None = None
    unit: str = ""
    source: Source | None = field(default=None, compare=False, repr=False)
