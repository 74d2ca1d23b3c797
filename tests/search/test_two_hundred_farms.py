"""Two hundred random farms priced: whatever is bought, the independent recheck finds no fault.

`price` itself withholds a plan that fails; here the recheck is run again on what it returned,
and a farm without a plan must say why in the trade's words.
"""

from __future__ import annotations

import re

from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.standing.make_up import LimitName
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

SMALL = range(100, 280)
MIDDLING = range(20)

TENS = [SMALL[start : start + 10] for start in range(0, len(SMALL), 10)]

WHOLE_FARM = re.compile(
    r"^(Available|Home every day|Make-ups per leg group"
    r"|Most (days|anchor models|chains|ropes|suppliers)): "
    r".* is too little"
    r"|too tight jointly"
)
"""What is said where each leg by itself could be moored, and not all of them."""

LEG_ALONE = re.compile(
    rf"leg '(L\d+)' cannot be moored(; the nearest make-up is .*misses its ({'|'.join(LimitName)})"
    r": [\d.e+]+ \S+ required, [\d.e+]+ \S+ available|: \S)"
)


def assert_sound(plan: Plan) -> None:
    """Assert that no line of the recheck has failed, that it looked at every part of the plan,
    and that the proof claims no more than it may."""
    lines = recheck(plan)
    assert [line for line in lines if not line.passed] == []
    what = {line.what for line in lines}
    assert {
        "lines laid",
        LimitName.HOLDING,
        LimitName.UPLIFT,
        LimitName.CHAIN,
        LimitName.CRANE,
        "ordered and on hand cover the need",
        "price of the order",
        "lines with their chain and rope cut",
        "packs carried",
        "hours in the days charged",
        "whole cost",
    } <= what
    assert plan.proof.bound <= plan.proof.cost


def assert_says_why(farm: Farm, told: str) -> None:
    """Assert that a refusal names a leg and its limit, or a limit of the whole farm."""
    legs = {leg.name for leg in farm.legs}
    for line in told.splitlines():
        named = LEG_ALONE.search(line)
        assert named is not None or WHOLE_FARM.search(line), line
        assert named is None or named[1] in legs


@LONG
@mostly_long("seeds", TENS, quick=TENS[10:11], ids=lambda seeds: f"{seeds[0]}-{seeds[-1]}")
def test_no_fault_in_plans_of_small_farms(seeds: range) -> None:
    """Tests ten farms of two to four leg groups to a gap of 0.1 %."""
    sound = 0
    for seed in seeds:
        farm = random_farm(seed)
        try:
            plan = price(farm, gap=1e-3, time_limit_s=60.0)
        except FarmError as refused:
            assert_says_why(farm, str(refused))
            continue
        assert_sound(plan)
        sound += 1
    assert sound >= 8


@mostly_long("seed", MIDDLING, quick=MIDDLING[1:3])
def test_no_fault_in_plans_of_middling_farms(seed: int) -> None:
    """Tests a farm of six to ten leg groups and as many anchor models, to a gap of 10 %."""
    assert_sound(price(random_farm(seed, "middling"), gap=0.1, time_limit_s=120.0))
