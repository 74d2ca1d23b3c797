"""A leg group: one mooring line of the farm, or several that are alike."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..fault import Source


@dataclass(frozen=True)
class Leg:
    """A row of the Legs sheet: `count` identical mooring lines."""

    name: str
    design_tension_kn: float
    """Tension at the attachment that each line must stand, before safety factors."""
    depth_m: float
    """Highest water: from the seabed to the attachment."""
    seabed: str
    allowed_drag_m: float
    group: str = ""
    count: int = 1
    line_lost_tension_kn: float | None = None
    """Tension that each line must stand when a neighbour is lost; None: not given."""
    longest_radius_m: float | None = None
    allowed_families: tuple[str, ...] = ()
    """Anchor families that may be used; empty: any."""
    fixed_anchor: str | None = None
    fixed_chain: str | None = None
    easting_m: float | None = None
    northing_m: float | None = None
    """Of the attachment of its first line."""
    bearing_deg: float | None = None
    """From an attachment to its anchor, clockwise from grid north."""
    spacing_m: float | None = None
    """From the attachment of one line to the next."""
    row_bearing_deg: float | None = None
    """Where the next line's attachment lies, clockwise from grid north."""
    note: str = ""
    still_to_lay: tuple[int, ...] = ()
    """The numbers of its lines where some of the group are laid already and `count` is of the
    others; empty: 1 to `count`."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers of its lines, `count` of them."""
        return self.still_to_lay or tuple(range(1, self.count + 1))

    def tag(self, line: int) -> str:
        """Return the tag of one of its lines, from 1: the same on every sheet and paper."""
        return f"{self.name}/{line}"
