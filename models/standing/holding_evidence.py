"""Holding evidence: what the holding of one anchor on one seabed rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto


class EvidenceKind(Enum):
    """The kinds of evidence for what an embedded anchor holds, the preferred first."""

    DECLARED = auto()
    PULL_TESTS = auto()
    LAW = auto()
    """The law of the anchor's family."""


@dataclass(frozen=True)
class HoldingEvidence:
    """The evidence for embedding, a deadweight's friction, or both."""

    kind: EvidenceKind | None = None
    """Of embedding; None: there is none."""
    reference: str = ""
    """Where the declared holding, or the law, is from."""
    tests: int = 0
    """How many pull tests."""
    within_m: float | None = None
    """The allowed drag within which the pull tests were read; None: of any."""
    friction: float | None = None
    """The seabed's friction for a deadweight; None for anchors that embed."""

    @property
    def by_law(self) -> bool:
        """Whether only the law of its family backs an anchor that embeds."""
        return self.kind is EvidenceKind.LAW and self.friction is None

    @property
    def by_weight_alone(self) -> bool:
        """Whether only its friction backs a deadweight."""
        return self.kind is None and self.friction is not None
