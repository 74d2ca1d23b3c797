"""Turning points on the Summary: what is said of another rate, against pricing the farm there."""

from __future__ import annotations

import re

from moorledger.io.words.case import case_of
from moorledger.models.option import FREE
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long

SIDES = re.compile(r"(above|below) ([\d.]+) times today's \('([^']+)'\)")
SEEDS = range(2, 10)


@mostly_long("seeds", [SEEDS, SEEDS[:2]], quick=[SEEDS[:2]], ids=len)
def test_past_a_turning_point_the_plan_is_no_longer_least(seeds: range) -> None:
    """Two hundredths past each multiplier (they are told to a hundredth) the farm priced at that
    rate costs less than today's plan held fast; the option named is one that was compared."""
    seen = 0
    for seed in seeds:
        farm = random_farm(seed)
        pricing = FarmPricer(farm, gap=1e-9)
        comparison = compare(pricing)
        if comparison.base.plan is None:
            continue
        today = pricing.price(FREE)
        assert today.settlement is not None
        names = {outcome.option.name for outcome in comparison.done}
        for line in case_of(comparison).turning_points:
            kind = RateKind.FREIGHT if "freight rates" in line else RateKind.DAY_RATES
            for side, multiplier, option in SIDES.findall(line):
                assert option in names
                past = float(multiplier) + (0.02 if side == "above" else -0.02)
                there = Rates(((Rate(kind), past),))
                held = pricing.cost_at(today.settlement, there)
                least = FarmPricer(farm, gap=1e-9).price(FREE, there)
                assert least.cost < held
                seen += 1
    assert seen >= 3
