"""Duty: what customs ask, and of what it is a percentage.

With i the insurance share: insurance = i × (goods + freight). Duty on price: Σ rate × price over
the goods. Duty on price, freight and insurance, as customs value goods landed:

    Σ over the goods      rate × (1 + i) × price
  + Σ over the services   highest rate among the goods of its origin × (1 + i) × charge

A consignment mixes goods of unlike rates, and its charge is not parted among them: it bears the
highest rate of all the goods that are offered from its origin, ordered or not. So the
cost stays linear in what is ordered, and is rather too high than too low. Order charges and joins
carry neither duty nor insurance.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..site.project import DutyOn, Project
from .item import Item


def goods_duty(project: Project, rate: float) -> float:
    """Return the duty on one unit of money of goods, with its insurance where that is dutiable."""
    return rate * (1.0 + project.insurance_share) if _landed(project) else rate


def freight_rate(project: Project, items: Iterable[Item], origin: str) -> float:
    """Return the duty rate that services from an origin bear; 0 where duty is on price alone."""
    if not _landed(project):
        return 0.0
    offers = (offer for item in items for offer in item.offers if offer.origin == origin)
    return max((offer.duty_share for offer in offers), default=0.0)


def freight_duty(project: Project, items: Iterable[Item], origin: str) -> float:
    """Return the duty on one unit of money of freight from an origin, with its insurance."""
    return freight_rate(project, items, origin) * (1.0 + project.insurance_share)


def landed_freight(project: Project, items: Iterable[Item], origin: str) -> float:
    """Return what one unit of money of freight from an origin costs with insurance and duty."""
    return 1.0 + project.insurance_share + freight_duty(project, items, origin)


def _landed(project: Project) -> bool:
    return project.duty_on is DutyOn.LANDED
