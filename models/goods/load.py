"""A load: packs, the container that they go into, and where each one stands in it.

Axes: x along the length from the front wall to the door, y across the width, z up. Whole mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

LINE_LOAD_20_T_PER_M = 4.5
LINE_LOAD_40_T_PER_M = 3.0
"""Mass per metre of length above which the floor of a 20 ft or 40 ft container wants a bed.

Source: GDV Transport Information Service, "Permissible loading capacity". A caution, not a limit:
the plate on the container and the carrier decide.
"""

LONGEST_20_MM = 7000
"""A container no longer inside counts as a 20 ft one."""

MOST_IN_HALF = 0.60
"""Largest share of the mass in either half of the length. Source: CTU Code (load distribution)."""

MOST_OFF_MIDDLE = 0.05
"""Share of the width that the centre of mass may lie off its middle before it is cautioned of.

Source: CTU Code, annex 7, 3.1.4 (in general no more than 5 % off centre), as a page on load
securing quotes it; held against the width here. A caution, not a limit: no load is shifted for it.
"""


class Binding(StrEnum):
    """What stops one more pack."""

    NOTHING = "nothing"
    SPACE = "space"
    PAYLOAD = "payload"
    BALANCE = "balance"
    DOOR = "door"


@dataclass(frozen=True)
class Pack:
    """What is handed to the carrier, and how it may stand; sizes in whole mm."""

    name: str
    length_mm: int
    width_mm: int
    height_mm: int
    mass_kg: float
    this_side_up: bool = False
    """Whether the height must stay upright."""
    stackable: bool = True
    """Whether anything may stand on it."""
    most_on_top_kg: float | None = None
    """Most that it may carry, through all that stands above it; None: no limit stated."""
    item: str = ""
    """What is in it, as the order names it."""
    units: int = 1
    """How many of the item's packs it is: several lengths of chain go in one crate."""

    @property
    def volume_mm3(self) -> int:
        """Its volume, mm³."""
        return self.length_mm * self.width_mm * self.height_mm


@dataclass(frozen=True)
class Box:
    """The inside of a container."""

    name: str
    length_mm: int
    width_mm: int
    height_mm: int
    door_width_mm: int | None = None
    """None: as wide as the inside."""
    door_height_mm: int | None = None
    """None: as high as the inside."""
    payload_kg: float | None = None
    """None: no limit stated."""

    @property
    def volume_mm3(self) -> int:
        """Inside volume, mm³."""
        return self.length_mm * self.width_mm * self.height_mm

    @property
    def through_door_mm3(self) -> int:
        """Volume of the largest body that goes in through the door, mm³."""
        wide = self.door_width_mm or self.width_mm
        high = self.door_height_mm or self.height_mm
        return self.length_mm * wide * high

    @property
    def line_load_caution_t_per_m(self) -> float:
        """The line load above which its floor wants a bed, t/m."""
        short = self.length_mm <= LONGEST_20_MM
        return LINE_LOAD_20_T_PER_M if short else LINE_LOAD_40_T_PER_M


@dataclass(frozen=True)
class Placement:
    """One pack in its place: nearest corner and extent along each axis, mm."""

    pack: str
    x: int
    y: int
    z: int
    dx: int
    dy: int
    dz: int
    mass_kg: float


@dataclass(frozen=True)
class LoadPlan:
    """Where everything stands in one container, and what found no place."""

    box: Box
    placements: tuple[Placement, ...]
    """In an order in which they can be loaded: from the front wall, and from below."""
    left_out: tuple[Pack, ...]
    binding: Binding
    """What stopped the packs that were left out or sent on to another container."""

    @property
    def mass_kg(self) -> float:
        """Mass of all packs in it."""
        return sum(placed.mass_kg for placed in self.placements)

    @property
    def volume_mm3(self) -> int:
        """Volume of all packs in it."""
        return sum(placed.dx * placed.dy * placed.dz for placed in self.placements)

    @property
    def fill_by_volume(self) -> float:
        """Share of the inside volume that packs take up."""
        return self.volume_mm3 / self.box.volume_mm3

    @property
    def fill_by_mass(self) -> float | None:
        """Share of the payload that is used; None where no payload is stated."""
        return self.mass_kg / self.box.payload_kg if self.box.payload_kg else None

    @property
    def front_share(self) -> float:
        """Share of the mass in the half nearer the front wall; 0.5 of nothing."""
        return (
            mass_before(self.placements, self.box.length_mm / 2) / self.mass_kg
            if (self.mass_kg)
            else 0.5
        )

    @property
    def right_of_middle_mm(self) -> float:
        """How far the centre of mass lies right of the middle of the width; less than 0: left."""
        moment = sum(p.mass_kg * (p.y + p.dy / 2) for p in self.placements)
        return moment / self.mass_kg - self.box.width_mm / 2 if self.mass_kg else 0.0

    @property
    def line_load_t_per_m(self) -> float:
        """Most mass on any one metre of the length, t/m."""
        edges = {edge for p in self.placements for edge in (p.x, p.x + p.dx)}
        starts = {start for edge in edges for start in (edge, edge - 1000)}
        return (
            max(
                (
                    mass_before(self.placements, start + 1000) - mass_before(self.placements, start)
                    for start in starts
                ),
                default=0.0,
            )
            / 1000
        )


def mass_before(placements: Sequence[Placement], x_mm: float) -> float:
    """Return the mass between the front wall and x, kg, each pack spread over its own length."""
    return sum(
        placed.mass_kg * min(max((x_mm - placed.x) / placed.dx, 0.0), 1.0) for placed in placements
    )
