"""Duty on the price, or on price, freight and insurance: worked by hand.

Customs value goods on price alone, or landed: with carriage and insurance (Agreement on
Implementation of Article VII of GATT 1994, article 8.2, from memory: each member includes or
excludes them). What rate a charge for goods of unlike rates bears is our own rule, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from moorledger.models.answer.plan import Part, Plan
from moorledger.models.farm import Farm
from moorledger.models.goods.duty import freight_duty, freight_rate, goods_duty, landed_freight
from moorledger.models.rate import Rates, rates_of
from moorledger.models.site.project import DutyOn, Project
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.brute.brute_force import least_cost
from tests.brute.test_brute_force import three_lines
from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long
from tests.recheck.test_recheck import sound_plan

LANDED = Project(duty_on=DutyOn.LANDED, insurance_share=0.01)


def landed_plan() -> Plan:
    """Return the worked plan of six lines with duty on price, freight and insurance at 1 %.

    Anchors 5 % of 2124 × 1.01: 107.262. Shackles 10 % of 80 × 1.01: 8.08. East port, where only
    the anchors come from: 5 % of 900 × 1.01: 45.45. West yard, shackles 10 %, chain and rope none:
    10 % of 120 × 1.01: 12.12. In all 172.912, 58.712 more than on the price alone.
    """
    plan = sound_plan()
    project = replace(plan.farm.project, duty_on=DutyOn.LANDED)
    duty = (107.262, 0.0, 0.0, 8.08)
    cost = plan.proof.cost + 58.712
    return replace(
        plan,
        farm=replace(plan.farm, project=project),
        orders=tuple(replace(o, duty=d) for o, d in zip(plan.orders, duty, strict=True)),
        bookings=tuple(
            replace(b, duty=d) for b, d in zip(plan.bookings, (45.45, 12.12), strict=True)
        ),
        parts={**plan.parts, Part.DUTY: 172.912},
        proof=replace(plan.proof, cost=cost),
    )


def test_duty_of_goods_and_freight_by_hand() -> None:
    """At 5 % with 1 % insurance: 0.05 of the price, or 0.0505 of it and of the freight."""
    items = sound_plan().farm.items
    assert goods_duty(Project(insurance_share=0.01), 0.05) == 0.05
    assert goods_duty(LANDED, 0.05) == pytest.approx(0.0505)
    assert freight_duty(Project(), items, "East port") == 0.0
    assert freight_rate(LANDED, items, "West yard") == 0.1
    assert freight_duty(LANDED, items, "East port") == pytest.approx(0.0505)
    assert landed_freight(LANDED, items, "East port") == pytest.approx(1.01 * 1.05)
    assert freight_rate(LANDED, items, "nowhere") == 0.0


def test_landed_plan_by_hand_is_sound() -> None:
    """The recheck finds every sum of the plan worked by hand as it is."""
    assert [line for line in recheck(landed_plan()) if not line.passed] == []


def test_brute_force_with_duty_on_all_by_hand() -> None:
    """Three lines: goods 700, 5 % of 707 is 35.35; freight 280, 5 % of 282.80 is 14.14; instead of
    35 on the price alone: 14.49 more."""
    farm, choices = three_lines()
    landed = replace(farm, project=replace(farm.project, duty_on=DutyOn.LANDED))
    assert least_cost(landed, choices) == pytest.approx(2474.80 + 14.49, abs=1e-6)


def _with_duty_on_all(seed: int) -> Farm:
    farm = random_farm(seed)
    project = replace(farm.project, duty_on=DutyOn.LANDED, insurance_share=0.02)
    sellers = tuple(replace(s, duty_share=0.06) for s in farm.suppliers)
    return replace(farm, project=project, suppliers=sellers)


@mostly_long("seed", [2, 5], quick=[5])
def test_parts_add_up_at_any_rate(seed: int) -> None:
    """A plan at other rates costs a fixed sum and one in proportion: twice the step is twice the
    change, its freight's duty in it; and at today's rates what its parts add up to."""
    farm = _with_duty_on_all(seed)
    pricer = FarmPricer(farm, gap=1e-3)
    settlement = pricer.price(time_limit_s=30.0).settlement
    assert settlement is not None
    plan = price(farm, gap=1e-3, time_limit_s=30.0)
    assert plan.parts[Part.DUTY] == pytest.approx(
        sum(line.duty for line in plan.orders) + sum(b.duty for b in plan.bookings)
    )
    assert sum(b.duty for b in plan.bookings) > 0
    for rate in rates_of(farm).values():
        at = [pricer.cost_at(settlement, Rates(((rate, f),))) for f in (1.0, 1.5, 2.0)]
        assert at[2] - at[0] == pytest.approx(2 * (at[1] - at[0]), rel=1e-9, abs=1e-6)
    freight = rates_of(farm)["freight rates"]
    more = pricer.cost_at(settlement, Rates(((freight, 2.0),))) - settlement.cost
    assert plan.installed_cost == pytest.approx(settlement.cost)
    of_freight = plan.parts[Part.FREIGHT] * 1.02 + sum(b.duty for b in plan.bookings)
    assert more == pytest.approx(of_freight, rel=1e-6)
