"""Offers compared: at which price each would enter, or leave, the least plan."""

from __future__ import annotations

from dataclasses import dataclass

from ..answer.plan import Plan, within_gap
from ..answer.stopped import Stopped


@dataclass(frozen=True)
class OfferWorth:
    """One offer: what it is worth to the farm, all other prices held fast.

    Multipliers are on its whole price list, breaks too; money is in the project's currency,
    prices in the supplier's.
    """

    item: str
    supplier: str
    quotation: str
    currency: str
    price: float
    """Asked: each, or per metre; the supplier's price factor in."""
    bought: int
    """Units as sold that the least plan orders of it; 0: it lost."""
    turning: float | None
    """The multiplier below which it is in the least plan; None: there is none, and `why` says
    so."""
    there: float
    """What the farm pays at the turning; for an offer without one, what the least plan costs."""
    with_it: float | None
    """What the cheapest plan known that buys of it costs at the price asked; None: none known."""
    taken: int
    """Units that the plan which enters at the turning, or leaves there, buys."""
    per_share: float
    """What that plan pays for the offer at the price asked, duty and insurance in."""
    gap: float
    """The share by which any plan may be cheaper at the turning than the one known."""
    why: str = ""
    """Why there is no turning, or why it is not sure."""

    @property
    def won(self) -> bool:
        """Whether the least plan buys of it."""
        return self.bought > 0

    @property
    def target(self) -> float | None:
        """The price at the turning: what a loser must come down to, or a winner may rise to."""
        return None if self.turning is None else self.turning * self.price

    @property
    def cheaper_yet(self) -> float:
        """Money by which a plan cheaper than those known is not ruled out at the turning."""
        return self.gap * self.there

    @property
    def stake(self) -> float | None:
        """Money that hangs on it: what a loser makes the farm pay more than the least, or what
        a winner saves it beside the best plan without it; None: not known."""
        if self.turning is None:
            return None
        return abs(self.turning - 1.0) * self.per_share


@dataclass(frozen=True)
class OfferWorths:
    """Every offer of a farm, and the plan that they are held against."""

    plan: Plan
    asked_gap: float
    lost: tuple[OfferWorth, ...]
    """The least money short of winning first; those that cannot win last."""
    won: tuple[OfferWorth, ...]
    """The most money ahead of the next first; those that nothing replaces before all."""
    solves: int
    seconds: float
    stopped: Stopped | None = None

    @property
    def unsure(self) -> list[OfferWorth]:
        """The offers that are less sure than the gap asked."""
        return [one for one in (*self.lost, *self.won) if not within_gap(one.gap, self.asked_gap)]

    @property
    def proven(self) -> bool:
        """Whether every turning is exact to the gap asked."""
        return not self.unsure
