"""What each pack carries: its own share of all that stands above it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

SLACK_KG = 1e-6
"""What rounding may do to a mass."""

Footprint = tuple[int, int, int, int]
"""x0, y0, x1, y1."""


@dataclass
class Bearing:
    """Packs placed so far, and the mass that each carries.

    A pack hands its own mass and what it carries to those it stands on, in proportion to the area
    of contact.
    """

    foot: list[Footprint] = field(default_factory=list)
    carried_kg: list[float] = field(default_factory=list)
    most_kg: list[float] = field(default_factory=list)
    stands_on: list[list[tuple[int, float]]] = field(default_factory=list)
    """For each pack, those below it and their shares."""
    by_top: dict[int, list[int]] = field(default_factory=dict)
    """Height → the packs whose tops are there."""

    def copy(self) -> Bearing:
        """Return another that can be added to from here on."""
        return Bearing(
            list(self.foot),
            list(self.carried_kg),
            list(self.most_kg),
            list(self.stands_on),
            {height: list(packs) for height, packs in self.by_top.items()},
        )

    def _below(self, feet: list[Footprint], height: int) -> list[list[tuple[int, float]]]:
        """Return, for each footprint at a height, the packs under it and their shares."""
        packs = self.by_top.get(height, [])
        if not packs:
            return [[] for _ in feet]
        under = np.array([self.foot[pack] for pack in packs])
        over = np.array(feet)[:, None, :]
        along = np.minimum(over[..., 2], under[:, 2]) - np.maximum(over[..., 0], under[:, 0])
        across = np.minimum(over[..., 3], under[:, 3]) - np.maximum(over[..., 1], under[:, 1])
        area = np.maximum(along, 0) * np.maximum(across, 0)
        whole = area.sum(axis=1)
        return [
            [(packs[j], float(area[i, j] / whole[i])) for j in np.flatnonzero(area[i])]
            for i in range(len(feet))
        ]

    def _added(self, feet: list[Footprint], height: int, mass_kg: float) -> dict[int, float]:
        """Return what each pack carries more when each footprint brings so much mass."""
        added: dict[int, float] = {}
        waiting = [(share, mass_kg) for shares in self._below(feet, height) for share in shares]
        while waiting:
            (pack, share), mass = waiting.pop()
            added[pack] = added.get(pack, 0.0) + mass * share
            waiting += [(below, mass * share) for below in self.stands_on[pack]]
        return added

    def bears(self, feet: list[Footprint], height: int, mass_kg: float) -> bool:
        """Tell whether columns of this mass may stand on these footprints."""
        return all(
            self.carried_kg[pack] + mass <= self.most_kg[pack] + SLACK_KG
            for pack, mass in self._added(feet, height, mass_kg).items()
        )

    def add(
        self,
        feet: list[Footprint],
        height: int,
        pack_height: int,
        pack_kg: float,
        stacked: int,
        most_on_top_kg: float | None,
    ) -> None:
        """Stand a column of `stacked` like packs on each footprint."""
        for pack, mass in self._added(feet, height, pack_kg * stacked).items():
            self.carried_kg[pack] += mass
        below = self._below(feet, height)
        most = math.inf if most_on_top_kg is None else most_on_top_kg
        for foot, shares in zip(feet, below, strict=True):
            for layer in range(stacked):
                pack = len(self.foot)
                self.foot.append(foot)
                self.carried_kg.append(pack_kg * (stacked - 1 - layer))
                self.most_kg.append(most)
                self.stands_on.append(shares if layer == 0 else [(pack - 1, 1.0)])
                self.by_top.setdefault(height + (layer + 1) * pack_height, []).append(pack)
