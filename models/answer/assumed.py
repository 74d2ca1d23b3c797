"""What is assumed of a farm: each stand-in for a fact that its workbook does not state.

Only those that its price depends on: a deck area tells nothing where the laying is not priced.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ..constants import STEEL_KG_M3
from ..farm import Farm
from ..goods.anchor import PACK_SIDES

LAYING = ("deck_area_m2", "lowering_min", "setting_min")
CARRIAGE = ("pack_length_mm", "packed_volume_m3")
"""Fields that only the laying, or only freight, depends on; a pack's length stands for its size."""

LOWER, HIGHER = 0.5, 1.5
"""A stand-in is tried a half lower and a half higher."""

LOOSE_KG_M3 = 500.0
"""A pack that goes by mass alone is as small as its steel: it is tried from there up to this
density (common practice, no source)."""

SETTINGS = ("rope_in_each_eye_m", "shortest_chain_m", "container_stowage_share")
"""Defaults of the Project sheet that stand in for a fact too."""


@dataclass(frozen=True)
class Assumed:
    """One stand-in."""

    catalogue: str
    """The farm's field: "anchors", or "project"."""
    name: str
    """Of its record; "" for a setting."""
    field: str
    value: float
    """Of a pack's size: its volume, m³."""

    @property
    def tried(self) -> tuple[float, float]:
        """The values that it is tried at."""
        if self.field == PACK_SIDES[0]:
            return self.value, self.value * STEEL_KG_M3 / LOOSE_KG_M3
        return self.value * LOWER, self.value * HIGHER

    def put(self, farm: Farm, value: float) -> Farm:
        """Return the farm with another value in its place."""
        if self.catalogue == "project":
            settings: dict[str, Any] = {self.field: value}
            return replace(farm, project=replace(farm.project, **settings))
        records: tuple[Any, ...] = getattr(farm, self.catalogue)
        made = tuple(self._other(r, value) if r.name == self.name else r for r in records)
        changed: dict[str, Any] = {self.catalogue: made}
        return replace(farm, **changed)

    def _other(self, record: Any, value: float) -> Any:
        if self.field != PACK_SIDES[0]:
            return replace(record, **{self.field: value})
        times = (value / record.pack_volume_m3) ** (1 / 3)
        return replace(record, **{side: getattr(record, side) * times for side in PACK_SIDES})


def assumed(farm: Farm) -> tuple[Assumed, ...]:
    """Return every stand-in that the farm's price depends on, by catalogue."""
    counting = (*(LAYING if farm.laying_priced else ()), *(CARRIAGE if farm.freight_priced else ()))
    found = []
    for catalogue in ("anchors", "chains", "ropes", "fittings"):
        for record in getattr(farm, catalogue):
            for field in counting:
                if field in record.stood_in:
                    sides = field == PACK_SIDES[0]
                    value = record.pack_volume_m3 if sides else getattr(record, field)
                    found.append(Assumed(catalogue, record.name, field, value))
    return tuple(found)


def assumed_settings(farm: Farm) -> tuple[Assumed, ...]:
    """Return the project's defaults that stand in for a fact that its price depends on."""
    idle = set() if farm.freight_priced else {"container_stowage_share"}
    idle |= set() if farm.ropes else {"rope_in_each_eye_m"}
    return tuple(
        Assumed("project", "", field, getattr(farm.project, field))
        for field in SETTINGS
        if field not in farm.project.given and field not in idle
    )
