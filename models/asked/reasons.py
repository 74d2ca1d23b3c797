"""Reasons: why the order is as it is, and what would be paid for it to be otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from ..answer.stopped import Stopped
from ..standing.make_up import MakeUp


@dataclass(frozen=True)
class CostRange:
    """An amount by which a cost changes: by the plans found, at least, at most."""

    found: float
    least: float
    most: float


@dataclass(frozen=True)
class Why:
    """What decided one row of the leg schedule, a limit or the cost, in words."""

    leg: str
    count: int
    make_up: MakeUp
    vessel: str
    anchor: str
    chain_length: str
    chain: str
    rope: str
    by_vessel: str


@dataclass(frozen=True)
class Forced:
    """One leg group forced to another anchor family, the rest of the farm free to follow."""

    leg: str
    family: str
    make_ups: tuple[MakeUp, ...]
    """Those that it then has; none where the family cannot moor it."""
    adds: CostRange | None
    why: str = ""


@dataclass(frozen=True)
class Change:
    """The farm priced again with one thing otherwise."""

    what: str
    adds: CostRange | None
    laid: str
    """The anchors that are then laid."""
    why: str = ""


@dataclass(frozen=True)
class Reasons:
    """All of them, for one plan of a farm."""

    project: str
    currency: str
    cost: float
    asked_gap: float
    whys: tuple[Why, ...]
    forced: tuple[Forced, ...]
    changes: tuple[Change, ...]
    """One more kN, metre, tenth of the safety factor, day of weather."""
    regrets: tuple[Change, ...]
    """Each anchor model laid, banned."""
    next_best: tuple[Change, ...]
    """Plans with at least one other anchor, the cheapest first."""
    stopped: Stopped | None = None
