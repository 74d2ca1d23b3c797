"""What a holding rests on, in words."""

from __future__ import annotations

from ...models.evidence.anchor_evidence import AnchorEvidence
from ...models.fault import rounded
from ...models.standing.holding_evidence import EvidenceKind, HoldingEvidence
from .grammar import counted


def evidence_text(evidence: HoldingEvidence) -> str:
    """Return the evidence: "weight × friction 0.5; declared: a letter", or "" for none."""
    weight = "" if evidence.friction is None else f"weight × friction {evidence.friction:g}"
    raised = ""
    if evidence.raised_by_pull_kn is not None:
        raised = (
            f"raised for a setting pull of {rounded(evidence.raised_by_pull_kn)} kN that it stood"
        )
    return "; ".join(filter(None, (weight, _embedding(evidence), raised)))


def supported_words(evidence: HoldingEvidence) -> str:
    """Return what the tests below a declared holding come to: "support 31.4 kN"."""
    verb = "supports" if evidence.tests == 1 else "support"
    return f"{verb} {rounded(evidence.supported_kn or 0.0)} kN"


def what_it_rests_on(row: AnchorEvidence) -> list[str]:
    """Return what an anchor rests on and why it is refused, each once."""
    return [*map(evidence_text, row.rests_on), *(f"refused: {why}" for why in row.refusals)]


def _embedding(evidence: HoldingEvidence) -> str:
    match evidence.kind:
        case None:
            return ""
        case EvidenceKind.DECLARED:
            return f"declared: {evidence.reference}"
        case EvidenceKind.OVERRIDE:
            tests = counted(evidence.tests, "pull test")
            return f"declared over {tests}, which {supported_words(evidence)}: {evidence.reference}"
        case EvidenceKind.LAW | EvidenceKind.MEAN_LAW:
            words = f"law: {evidence.reference}"
            if evidence.scatter is not None:
                words += f", lowered for its scatter of {100 * evidence.scatter:g} %"
            if evidence.tests:
                words += f", no more than {counted(evidence.tests, 'pull test')} held"
            return words
        case EvidenceKind.PULL_TESTS:
            within = "" if evidence.within_m is None else f" within {evidence.within_m:g} m"
            return counted(evidence.tests, "pull test") + within
