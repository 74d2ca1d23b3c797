"""Quantities asked for: what suppliers are to quote on, and where a price break would matter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class QuantityAsked:
    """One item, in units as sold."""

    item: str
    least_plan: int
    """What the least plan orders, of all offers together."""
    most: int
    """What the hungriest choice of every leg would need."""
    breaks: tuple[int, ...]
    """Quantities at which a break would matter: from them on it counts on an order of the farm."""
