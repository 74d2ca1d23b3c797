"""What a plan rests on, as Summary, terminal and page say it."""

from __future__ import annotations

from dataclasses import replace

from moorledger.io.told.rests_on import (
    default_words,
    evidence_words,
    let_go_words,
    override_words,
    rests_on,
)
from moorledger.io.words.holding_evidence import evidence_text
from moorledger.models.answer.plan import Plan
from moorledger.models.site.pull_test import Event
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence

from tests.farms.plan_fixture import example_plan
from tests.farms.small_farm import run

TESTED = HoldingEvidence(EvidenceKind.PULL_TESTS, tests=3, within_m=2.0)


def resting_on(*kinds: HoldingEvidence) -> Plan:
    """Return the example plan, its first rows resting on these and the others on tests."""
    plan = example_plan()
    first, rest = plan.assignments[: len(kinds)], plan.assignments[len(kinds) :]
    rows = [replace(row, evidence=kind) for row, kind in zip(first, kinds, strict=True)]
    rows += [replace(row, evidence=TESTED) for row in rest]
    return replace(plan, assignments=tuple(rows))


def test_a_law_beside_friction_is_not_a_test() -> None:
    """A deadweight backed by its friction and its family's law: neither tested nor declared."""
    for law in (EvidenceKind.LAW, EvidenceKind.MEAN_LAW):
        plan = resting_on(HoldingEvidence(law, "invented", friction=0.5))
        count = plan.assignments[0].count
        assert f"{count} of " in evidence_words(plan)
        assert "every anchor was tested" not in evidence_words(plan)


def test_every_kind_of_evidence_is_counted_once() -> None:
    """Tested, declared or overriding: backed. A law, or friction alone: not; nothing else is."""
    for friction in (None, 0.5):
        for kind in (None, *EvidenceKind):
            if kind is None and friction is None:
                continue
            evidence = HoldingEvidence(kind, "invented", 2, supported_kn=10.0, friction=friction)
            backed = kind in (EvidenceKind.PULL_TESTS, EvidenceKind.DECLARED, EvidenceKind.OVERRIDE)
            assert (evidence.by_law + evidence.by_weight_alone) == (0 if backed else 1)


def test_an_override_is_named_with_what_the_tests_support() -> None:
    """Anchor, seabed, number of tests, what they support and whose word it is; more are counted."""
    over = HoldingEvidence(EvidenceKind.OVERRIDE, "A. N. Other, CEng", 4, supported_kn=39.6)
    plan = resting_on(over)
    words = override_words(plan)
    assert plan.assignments[0].make_up.anchor in words
    assert "4 pull tests support 39.6 kN (A. N. Other, CEng)" in words
    one = HoldingEvidence(EvidenceKind.OVERRIDE, "a letter", 1, supported_kn=1240.0)
    assert "1 pull test supports 1240 kN (a letter)" in override_words(resting_on(one))
    assert evidence_text(one) == "declared over 1 pull test, which supports 1240 kN: a letter"
    assert override_words(resting_on()) == ""
    row = plan.assignments[0]
    several = [
        replace(row, evidence=replace(over, supported_kn=kn))
        for kn in (10.0, 20.0, 30.0, 40.0, 40.0)
    ]
    assert "; and 1 more." in override_words(replace(plan, assignments=tuple(several)))


def test_defaults_are_named_until_they_are_stated() -> None:
    """A factor that nobody stated is named with its value, and no longer once it is given."""
    plan = resting_on()
    assert "anchor safety factor 1.5" in default_words(plan)
    assert "rope strength kept at splices 90 %" in default_words(plan)
    project = replace(plan.farm.project, given=frozenset({"anchor_safety_factor"}))
    stated = replace(plan, farm=replace(plan.farm, project=project))
    assert "anchor safety factor" not in default_words(stated)
    assert "lift factor 1.3" in default_words(stated)


def test_a_test_that_let_go_soon_is_named() -> None:
    """Rolled out at one and a half times what a leg allows: said among what the plan rests on."""
    plan = resting_on()
    row = plan.assignments[0]
    leg = plan.farm.leg_by_name[row.leg]
    fell = run("t9", [(1.5 * leg.allowed_drag_m, 30.0, Event.ROLLED_OUT)], row.make_up.anchor)
    fell = tuple(replace(reading, seabed=leg.seabed) for reading in fell)
    plan = replace(plan, farm=replace(plan.farm, readings=(*plan.farm.readings, *fell)))
    assert "test t9" in let_go_words(plan)
    assert "rolled out" in let_go_words(plan)
    assert let_go_words(plan) in rests_on(plan)
