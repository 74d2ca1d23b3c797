"""Next tests: what the farm would pay with more pull tests, against what the tests cost."""

from __future__ import annotations

from dataclasses import dataclass

from ..answer.stopped import Stopped
from .reasons import CostRange


@dataclass(frozen=True)
class MoreTests:
    """The farm priced again with so many more tests of one anchor on one seabed."""

    more: int
    relied_on_kn: float
    """Within the least allowed drag there, if mean and scatter stay as they are; 0: refused."""
    saves: CostRange | None
    """By how much the farm is then cheaper; None: not priced."""
    price: float
    """Of the tests."""

    @property
    def net(self) -> float:
        """What is left of the saving found when the tests are paid."""
        return (0.0 if self.saves is None else self.saves.found) - self.price


@dataclass(frozen=True)
class NextTest:
    """One anchor on one seabed, and what one, two, three more tests of it are worth."""

    anchor: str
    seabed: str
    tests: int
    """There now."""
    by_law: bool
    """Whether it rests on a law now."""
    relied_on_kn: float
    """Now; 0: refused."""
    options: tuple[MoreTests, ...]
    why: str = ""
    """Why it was not priced."""

    @property
    def best(self) -> MoreTests:
        """The number of tests that leaves most."""
        return max(self.options, key=lambda one: (one.net, -one.more))

    @property
    def worth_it(self) -> bool:
        """Whether the saving found is more than the price, for some number of tests."""
        return self.best.net > 0


@dataclass(frozen=True)
class NextTests:
    """All of them, the one that leaves most first."""

    currency: str
    cost: float
    """Of the farm's plan with the tests that there are."""
    asked_gap: float
    rows: tuple[NextTest, ...]
    seconds: float = 0.0
    stopped: Stopped | None = None
    tests_priced: bool = True
    """Whether anything says what a test costs; else all are counted as costing nothing."""
