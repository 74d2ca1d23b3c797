"""What a holding rests on, in words."""

from __future__ import annotations

from ...models.evidence.anchor_evidence import AnchorEvidence
from ...models.standing.holding_evidence import EvidenceKind, HoldingEvidence
from .grammar import counted


def evidence_text(evidence: HoldingEvidence) -> str:
    """Return the evidence: "weight × friction 0.5; declared: a letter", or "" for none."""
    weight = "" if evidence.friction is None else f"weight × friction {evidence.friction:g}"
    return "; ".join(filter(None, (weight, _embedding(evidence))))


def what_it_rests_on(row: AnchorEvidence) -> list[str]:
    """Return what an anchor rests on and why it is refused, each once."""
    return [*map(evidence_text, row.rests_on), *(f"refused: {why}" for why in row.refusals)]


def _embedding(evidence: HoldingEvidence) -> str:
    match evidence.kind:
        case None:
            return ""
        case EvidenceKind.DECLARED:
            return f"declared: {evidence.reference}"
        case EvidenceKind.LAW:
            return f"law: {evidence.reference}"
        case EvidenceKind.PULL_TESTS:
            within = "" if evidence.within_m is None else f" within {evidence.within_m:g} m"
            return counted(evidence.tests, "pull test") + within
