"""What is known of an anchor's holding besides its pull tests."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..fault import Source

ONE_IN_TWENTY = 1.645
"""Standard deviations below the mean under which a normal spread has 5 % (standard tables)."""


@dataclass(frozen=True)
class DeclaredHolding:
    """A row of the Holding sheet: a holding that the engineer or the supplier answers for."""

    anchor: str
    seabed: str
    holding_kn: float
    reference: str
    overrides_tests: bool = False
    """Whether it counts though the anchor's own tests there support less."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class HoldingLaw:
    """A family's holding against mass on one seabed: H = H_ref (m / m_ref)^b.

    Source: the form is UFC 4-159-03 (2005) para 5-2, Eq. (26), with mass as the size.
    """

    family: str
    seabed: str
    reference_mass_kg: float
    reference_holding_kn: float
    exponent: float
    reference: str
    scatter: float | None = None
    """Coefficient of variation of holding about a mean law; None: a lower value already."""
    source: Source | None = field(default=None, compare=False, repr=False)

    def holding_kn(self, mass_kg: float) -> float:
        """Return the holding of an anchor of this family and mass, kN, scatter left aside."""
        ratio = mass_kg / self.reference_mass_kg
        return float(self.reference_holding_kn * ratio**self.exponent)

    def lower_holding_kn(self, mass_kg: float) -> float:
        """Return the holding that one anchor in twenty falls short of, kN.

        A mean law, one that states a scatter V, is lowered by exp(−1.645 s), s = √ln(1 + V²): the
        5 % fractile of a log-normal spread. A law without scatter is taken as it is.
        """
        holding = self.holding_kn(mass_kg)
        if self.scatter is None:
            return holding
        return holding * math.exp(-ONE_IN_TWENTY * math.sqrt(math.log1p(self.scatter**2)))
