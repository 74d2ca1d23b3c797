"""A freight service: an offer of carriage from one origin."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from .fault import Source


class Basis(StrEnum):
    """What a service charges for."""

    CONTAINER = "container"
    MEASURE = "measure"


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
    source: Source | None = field(default=None, compare=False, repr=False)

    def takes_pack(self, length_mm: float, width_mm: float, height_mm: float) -> bool:
        """Tell whether a pack passes the door with two sides and lies inside with the third.

        A service that states no door or no inside length bars nothing by that.
        """
        sides = (length_mm, width_mm, height_mm)
        for along in range(3):
            through = [side for index, side in enumerate(sides) if index != along]
            small, large = min(through), max(through)
            if self.inside_length_mm is not None and sides[along] > self.inside_length_mm:
                continue
            door = [d for d in (self.door_width_mm, self.door_height_mm) if d is not None]
            if len(door) == 2 and (small > min(door) or large > max(door)):
                continue
            if len(door) == 1 and small > door[0]:
                continue
            return True
        return False

    def charge(self, containers: int, tonnes: float, volume_m3: float) -> float:
        """Return what one consignment pays, in the service's currency; the service is used."""
        if self.basis is Basis.CONTAINER:
            amount = self.rate * containers
        else:
            amount = self.rate * revenue_tonnes(tonnes, volume_m3, self.m3_per_tonne)
        return max(amount, self.minimum_charge) + self.fixed_charge
