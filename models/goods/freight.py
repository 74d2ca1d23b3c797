"""A freight service: an offer of carriage from one origin."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum, StrEnum, auto
from functools import cached_property
from itertools import permutations

from ..arrays import ceil_to_whole, floor_to_whole
from ..constants import M3_PER_MM3
from ..fault import Source
from .load import Box


class Basis(StrEnum):
    """What a service charges for."""

    CONTAINER = "container"
    MEASURE = "measure"


class FreightLimit(Enum):
    """What may bar a pack from a service, or limit how much goes into its container."""

    DOOR = auto()
    """Its door, or its length."""
    VOLUME = auto()
    PAYLOAD = auto()
    DATES = auto()


def revenue_tonnes(tonnes: float, volume_m3: float, m3_per_tonne: float) -> float:
    """Return what by-measure freight is billed on: the larger of mass and measure, t.

    Source: weight-or-measure billing; 1 m³/t at sea, 3 by road, 6 by air (common practice).
    """
    return max(tonnes, volume_m3 / m3_per_tonne)


@dataclass(frozen=True)
class FreightService:
    """A row of the Freight sheet; money in the service's own currency."""

    name: str
    origin: str
    basis: Basis
    rate: float
    """Per container, or per revenue tonne."""
    currency: str
    exchange_rate: float
    volume_m3: float | None = None
    payload_t: float | None = None
    inside_length_mm: float | None = None
    inside_width_mm: float | None = None
    inside_height_mm: float | None = None
    door_width_mm: float | None = None
    door_height_mm: float | None = None
    m3_per_tonne: float = 1.0
    minimum_charge: float = 0.0
    fixed_charge: float = 0.0
    available: int | None = None
    transit_days: int | None = None
    forwarder: str = ""
    """Who books it and is sent the packing list; blank: nobody is named yet."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @cached_property
    def box(self) -> Box | None:
        """The inside of one of its containers, in whole mm; None where it has none, or does not
        state all three sides: its containers cannot be load-planned."""
        inside = (self.inside_length_mm, self.inside_width_mm, self.inside_height_mm)
        if self.basis is not Basis.CONTAINER or None in inside:
            return None
        length, width, height = (floor_to_whole(side or 0.0) for side in inside)
        payload = None if self.payload_t is None else self.payload_t * 1000.0
        return Box(
            self.name,
            length,
            width,
            height,
            floor_to_whole(min(self.door_width_mm or width, width)),
            floor_to_whole(min(self.door_height_mm or height, height)),
            payload,
        )

    @property
    def inside_m3(self) -> float:
        """Inside volume of a container: by its sides, else as stated, else without end."""
        if self.box is not None:
            return self.box.volume_mm3 * M3_PER_MM3
        return self.volume_m3 or math.inf

    def takes_pack(
        self, length_mm: float, width_mm: float, height_mm: float, *, upright: bool = False
    ) -> bool:
        """Tell whether a pack passes the door with two sides and lies inside with the third.

        A service that states no door is passed as wide and high as its inside; what it states of
        neither bars nothing. upright : the height must stay upright.
        """
        wide = min(self.door_width_mm or math.inf, self.inside_width_mm or math.inf)
        high = min(self.door_height_mm or math.inf, self.inside_height_mm or math.inf)
        room = [self.inside_length_mm or math.inf, wide, high]
        within = [side if math.isinf(side) else floor_to_whole(side) for side in room]
        sides = [ceil_to_whole(side) for side in (length_mm, width_mm, height_mm)]
        return any(
            all(sides[side] <= inside for side, inside in zip(way, within, strict=True))
            for way in permutations(range(3))
            if not upright or way[2] == 2
        )

    def charge(self, containers: int, tonnes: float, volume_m3: float) -> float:
        """Return what one consignment pays, in the service's currency; the service is used."""
        if self.basis is Basis.CONTAINER:
            amount = self.rate * containers
        else:
            amount = self.rate * revenue_tonnes(tonnes, volume_m3, self.m3_per_tonne)
        return max(amount, self.minimum_charge) + self.fixed_charge
