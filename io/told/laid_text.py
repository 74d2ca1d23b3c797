"""The lines that lie already, in words."""

from __future__ import annotations

from ...models.answer.plan import Plan
from ..words.grammar import counted

LAID_ALREADY = "laid already"
"""Said in the place of a vessel."""


def laid_words(plan: Plan) -> str:
    """Return how many lines lie already, and what is accepted of them; "" where none does."""
    if not plan.laid:
        return ""
    pulls = len(plan.farm.laid_pulls)
    tests = f"; {counted(pulls, 'setting pull')} of them counted as stopped tests" if pulls else ""
    accepted = [f"{row.tag} by {row.accepted_by}" for row in plan.farm.laid if row.accepted_by]
    told = f" Accepted as they lie: {', '.join(accepted)}." if accepted else ""
    return (
        f"Laid already: {counted(len(plan.laid), 'line')}, built as recorded and no part of this "
        f"cost{tests}. Limits on the number of models, and of make-ups of a leg group, are kept "
        f"by the lines that are still to lay.{told}"
    )
