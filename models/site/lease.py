"""The lease: the ground within which every anchor must lie."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..fault import Source


@dataclass(frozen=True)
class LeaseCorner:
    """A row of the Lease sheet: the corners of a polygon in order."""

    easting_m: float
    northing_m: float
    source: Source | None = field(default=None, compare=False, repr=False)
