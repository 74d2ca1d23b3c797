"""A spread: between which amounts the installed cost of a plan will lie, and what makes it so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Percentiles:
    """Four costs, each with the chance that the cost comes out at no more: 10 to 90 %."""

    p10: float
    p50: float
    p80: float
    p90: float

    @property
    def width(self) -> float:
        """From P10 to P90: four times in five the cost lies between."""
        return self.p90 - self.p10


@dataclass(frozen=True)
class SourceSpread:
    """What one source of spread does alone, all others as priced."""

    name: str
    cost: Percentiles


@dataclass(frozen=True)
class VesselDays:
    """The charged days of one vessel, exactly, by the chance of each."""

    vessel: str
    working_days: int
    """Days of work, none of them lost."""
    workable_share: float
    charged_days: int
    """That the plan charges."""
    chance_within: float
    """That no more than those are charged."""
    p10: int
    p50: int
    p80: int
    p90: int


@dataclass(frozen=True)
class Spread:
    """The installed cost of a finished plan over many draws; project currency."""

    cost: float
    """As priced."""
    draws: int
    total: Percentiles
    mean: float
    dearest_fifth: float
    """The mean of the dearest fifth of the draws."""
    chance_within: float
    """That the cost comes out at no more than as priced."""
    sources: tuple[SourceSpread, ...]
    """The widest first; none: nothing is uncertain."""
    days: tuple[VesselDays, ...]
    """Of every vessel that the plan uses."""
    curve: tuple[tuple[float, float], ...]
    """(cost, chance that it is no more), by cost."""

    @property
    def uncertain(self) -> bool:
        """Whether anything is."""
        return bool(self.sources)

    @property
    def contingency(self) -> float:
        """What to hold beside the cost as priced, to be enough four times in five."""
        return max(self.total.p80 - self.cost, 0.0)


@dataclass(frozen=True)
class SureChoice:
    """How a plan was chosen by what it costs at a certainty; project currency."""

    sure: float
    among: int
    """Plans that were compared."""
    cost: float
    """Enough with that chance, over the draws: of the plan chosen."""
    least_cost_plan: float
    """The same of the plan that is cheapest at the rates as given."""


@dataclass(frozen=True)
class SpreadOfOptions:
    """Plans of several options on the same draws."""

    ranges: Mapping[str, Percentiles]
    """By option."""
    cheapest: Mapping[str, float]
    """By option, the share of the draws in which no other is cheaper; the first of equals."""
