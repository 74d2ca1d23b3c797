"""The seabed under a leg."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..fault import Source


@dataclass(frozen=True)
class Seabed:
    """A kind of seabed: what chain and deadweights find to rub on."""

    name: str
    chain_friction: float
    """Friction of chain lying on it, dimensionless."""
    deadweight_friction: float | None = None
    """Friction of a deadweight lying on it; None: deadweights are not relied on here."""
    reference: str = ""
    """Where the frictions come from, in the buyer's words."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)
