"""Three ways to a design holding: the models', the recheck's and that of the brute force."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from moorledger.models.farm_faults import farm_faults
from moorledger.models.fault import Severity
from moorledger.models.goods.anchor import HoldsBy
from moorledger.models.site.pull_test import Event
from moorledger.models.standing.holding import design_holding
from moorledger.models.standing.holding_evidence import EvidenceKind
from moorledger.models.standing.holding_spread import counted_pull_kn
from moorledger.optimiser.recheck.holding import pull_that_counts_kn, reliance

from tests.brute.brute_holding import design_holding_kn, structural_limit_kn
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, farm_with, run
from tests.quick_run import LONG, mostly_long


@LONG
@mostly_long("farms, of_each", [(60, 10), (15, 2)], quick=[(15, 2)])
def test_three_ways_to_a_design_holding_agree(farms: int, of_each: int) -> None:
    """Farms at random, all kinds of evidence among them; no farm contradicts itself."""
    kinds: Counter[EvidenceKind | None] = Counter()
    lowered = refused = raised = 0
    for seed in range(farms):
        farm = random_farm(seed, "middling")
        # Every other farm counts its setting pull.
        if seed % 2:
            counting = replace(farm.project, setting_pull_counts=True, setting_pull_share=0.9)
            farm = replace(farm, project=counting)
        assert not [f for f in farm_faults(farm) if f.severity is Severity.ERROR]
        for leg in farm.legs:
            for anchor in farm.anchors:
                place = (farm, anchor, leg.seabed, leg.allowed_drag_m)
                pull = 0.9 * leg.design_tension_kn if seed % 2 else 0.0
                assert counted_pull_kn(farm, leg, 1) == pytest.approx(pull)
                assert pull_that_counts_kn(farm, leg, 1, None) == pytest.approx(pull)
                model = design_holding(*place, counted_pull_kn(farm, leg, 1))
                check = reliance(farm, anchor, leg, pull_that_counts_kn(farm, leg, 1, None))
                brute = design_holding_kn(*place, pull)
                assert structural_limit_kn(farm, anchor) == model.structural_limit_kn
                assert check.structure_kn == model.structural_limit_kn
                kinds[model.evidence.kind] += 1
                alone = brute is None and anchor.holds_by is HoldsBy.WEIGHT
                if not brute and not alone:
                    refused += 1
                    assert model.refusal
                    assert not check.usable or check.embedding_kn == 0.0
                    continue
                assert not model.refusal
                owed = math.inf if brute is None else brute
                assert model.holding_kn == pytest.approx(owed, rel=1e-9)
                checked = math.inf if check.embedding_kn is None else check.embedding_kn
                assert checked == pytest.approx(owed, rel=1e-9)
                raised += model.evidence.raised_by_pull_kn is not None
                used = model.own_tests.characteristic if model.own_tests else None
                lowered += used is not None and used.most_counted_kn is not None
    assert refused >= 2 * of_each
    assert lowered >= 2 * of_each
    assert raised >= of_each
    for kind in EvidenceKind:
        assert kinds[kind] >= of_each, kind


@pytest.mark.parametrize(
    ("loads", "owed"), [((50, 50, 50), 35.73), ((49, 50, 51), 35.72), ((60, 60, 60), 42.87)]
)
@pytest.mark.parametrize("event", [Event.NONE, Event.STOPPED])
def test_tests_that_agree_too_well(loads: tuple[float, ...], owed: float, event: Event) -> None:
    """Least scatter 0.10 and k_3 = 3.37 (EN 1990:2002 Table D1; D.7.1 from memory), by hand."""
    readings = sum((run(f"t{n}", [(1.0, load, event)]) for n, load in enumerate(loads)), ())
    farm = farm_with(readings=readings)
    found = design_holding_kn(farm, ANCHOR, "sand", 3.0)
    assert found == pytest.approx(owed, abs=0.005)
    bare = replace(farm, readings=readings[:2])
    assert design_holding_kn(bare, ANCHOR, "sand", 3.0) == 0.0
    assert design_holding_kn(replace(farm, readings=()), ANCHOR, "sand", 3.0) is None
