"""Holding evidence: what the holding of one anchor on one seabed rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto


class EvidenceKind(Enum):
    """The kinds of evidence for what an embedded anchor holds."""

    PULL_TESTS = auto()
    DECLARED = auto()
    """No more than its own tests support, or without any."""
    OVERRIDE = auto()
    """Declared above what its own tests support, and said to override them."""
    MEAN_LAW = auto()
    """The law of its family, lowered for its scatter."""
    LAW = auto()
    """The law of its family, taken as a lower value already."""


@dataclass(frozen=True)
class HoldingEvidence:
    """The evidence for embedding, a deadweight's friction, or both."""

    kind: EvidenceKind | None = None
    """Of embedding; None: there is none."""
    reference: str = ""
    """Where the declared holding, or the law, is from."""
    tests: int = 0
    """How many pull tests: relied on, overridden, or that cap a law."""
    within_m: float | None = None
    """The allowed drag within which the pull tests were read; None: of any."""
    supported_kn: float | None = None
    """What the tests support that a declared holding overrides."""
    scatter: float | None = None
    """The law's, for which it was lowered."""
    raised_by_pull_kn: float | None = None
    """The setting pull for which it is relied on for more; None: for none."""
    friction: float | None = None
    """The seabed's friction for a deadweight; None for anchors that embed."""

    @property
    def by_law(self) -> bool:
        """Whether a law of its family backs what embeds; a deadweight's friction too, or not."""
        return self.kind in (EvidenceKind.LAW, EvidenceKind.MEAN_LAW)

    @property
    def by_weight_alone(self) -> bool:
        """Whether only its friction backs a deadweight."""
        return self.kind is None and self.friction is not None
