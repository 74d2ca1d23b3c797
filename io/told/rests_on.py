"""What a plan rests on beside tests and stated values: laws, overrides, defaults, what let go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.plan import Plan
from ...models.evidence.let_go import let_go_in_plan
from ...models.standing.holding_evidence import EvidenceKind
from ..layout.column import CellKind, InputColumn
from ..layout.farm import PROJECT
from ..words.grammar import counted, listed
from ..words.holding_evidence import supported_words

MOST_NAMED = 3
"""So many overrides, and so many tests that let go, are named; of more, how many there are."""


def rests_on(plan: Plan) -> tuple[str, ...]:
    """Return in sentences what a plan rests on that its engineer must look at first."""
    told = (evidence_words(plan), override_words(plan), default_words(plan), let_go_words(plan))
    return tuple(filter(None, told))


def evidence_words(plan: Plan) -> str:
    """Return on how many legs no test and no declared value backs the anchor's holding."""
    lawful = sum(row.count for row in plan.assignments if row.evidence.by_law)
    weighed = sum(row.count for row in plan.assignments if row.evidence.by_weight_alone)
    if lawful + weighed == 0:
        return "Evidence: every anchor was tested on its seabed, or its holding there is declared."
    legs = sum(row.count for row in plan.assignments)
    return (
        f"Evidence: {lawful} of {counted(legs, 'leg')} rely on the law of an anchor family and "
        f"{weighed} on a deadweight's friction alone: no pull test or declared holding backs them."
    )


def override_words(plan: Plan) -> str:
    """Return which declared holdings are relied on above what the anchor's own tests support."""
    told = [
        f"{row.make_up.anchor} on {plan.farm.leg_by_name[row.leg].seabed}, where "
        f"{counted(row.evidence.tests, 'pull test')} {supported_words(row.evidence)} "
        f"({row.evidence.reference})"
        for row in plan.assignments
        if row.evidence.kind is EvidenceKind.OVERRIDE
    ]
    return _named("Overrides: declared holdings above what tests support: ", told)


def default_words(plan: Plan) -> str:
    """Return the values of design that nobody stated, so that the program's own were taken."""
    given = plan.farm.project.given
    told = [
        _shown(column, getattr(plan.farm.project, column.field))
        for column in PROJECT.columns
        if column.field in _of_design(plan) and column.field not in given
    ]
    if not told:
        return ""
    return f"Defaults: not stated for this farm, and taken as {listed(told)}."


def let_go_words(plan: Plan) -> str:
    """Return the tests in which an anchor chosen let go soon beyond the drag that is allowed."""
    told = [caution.words for caution in let_go_in_plan(plan.farm, plan.assignments)]
    return _named("Let go: ", told)


def _named(lead: str, told: Sequence[str]) -> str:
    """Return a sentence that names the first few, each once, and counts the others."""
    each = list(dict.fromkeys(told))
    if not each:
        return ""
    more = f"; and {len(each) - MOST_NAMED} more" if len(each) > MOST_NAMED else ""
    return f"{lead}{'; '.join(each[:MOST_NAMED])}{more}."


def _of_design(plan: Plan) -> Iterator[str]:
    """Yield the settings by which this plan's legs stand, whether stated or not."""
    rows, project = plan.assignments, plan.farm.project
    if not plan.farm.load_cases:
        yield from ("anchor_safety_factor", "chain_safety_factor", "rope_safety_factor")
    if any(row.evidence.tests for row in rows):
        yield "least_pull_test_scatter"
    if any(row.make_up.anchors > 1 for row in rows):
        yield "second_anchor_share"
    if any(row.make_up.rope for row in rows):
        yield from ("rope_in_each_eye_m", "rope_splice_share")
    yield from ("service_life_years", "chain_wear_mm_per_year")
    if project.setting_pull_share == 0:
        yield "setting_pull_share"
    yield "lift_factor"


def _shown(column: InputColumn, value: float) -> str:
    """Return "lift factor 1.3", "rope strength kept at splices 90 %"."""
    name = column.heading[0].lower() + column.heading[1:]
    if column.kind is CellKind.PERCENT:
        return f"{name} {100 * value:g} %"
    return f"{name} {value:g} {column.unit}".rstrip()
