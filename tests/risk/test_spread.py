"""The spread of a plan's cost against exact quantiles, and its amounts against the farm's own."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.answer.plan import Plan
from moorledger.models.farm_faults import farm_faults
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.models.risk.cost_spread import mean_beyond, spread_of, spread_of_options
from moorledger.models.risk.draws import DRAWS, CostDraws, log_normal
from moorledger.models.site.uncertainty import Uncertain, Uncertainty
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.search.ledger import cost_parts
from scipy import stats

from tests.farms.plan_fixture import INSTALLED_COST, example_plan
from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long

KINDS = {
    Uncertain.FREIGHT: RateKind.FREIGHT,
    Uncertain.SERVICE: RateKind.SERVICE,
    Uncertain.CURRENCY: RateKind.CURRENCY,
    Uncertain.SUPPLIER: RateKind.SUPPLIER,
    Uncertain.ITEM: RateKind.ITEM,
}


def plan_with(*rows: Uncertainty, workable: float = 1.0) -> Plan:
    """Return the plan of six lines with these sources of spread."""
    plan = example_plan()
    vessels = tuple(replace(v, workable_share=workable) for v in plan.farm.vessels)
    return replace(plan, farm=replace(plan.farm, uncertainties=rows, vessels=vessels))


def test_nothing_uncertain_has_no_spread() -> None:
    """With no row and every day workable each percentile is the cost as priced."""
    spread = spread_of(plan_with())
    assert not spread.uncertain
    assert spread.curve == ()
    assert spread.contingency == 0.0
    total = spread.total
    assert (total.p10, total.p50, total.p80, total.p90) == pytest.approx([INSTALLED_COST] * 4)
    assert spread.chance_within == 1.0


def test_one_price_has_the_quantiles_of_its_log_normal() -> None:
    """With freight rates alone uncertain the cost's quantiles are exact: rest + freight × theirs.

    Freight 1020 and its insurance of 1 %: 1030.20 of the cost.
    """
    spread = spread_of(plan_with(Uncertainty(Uncertain.FREIGHT, 0.8, 1.5)))
    freight = 1030.20
    deviation = math.log(1.5 / 0.8) / (2 * stats.norm.ppf(0.9))
    law = stats.lognorm(deviation, scale=math.sqrt(0.8 * 1.5))
    for share, cost in ((0.1, spread.total.p10), (0.5, spread.total.p50),
                        (0.8, spread.total.p80), (0.9, spread.total.p90)):  # fmt: skip
        exact = INSTALLED_COST - freight + freight * law.ppf(share)
        assert cost == pytest.approx(exact, abs=0.25)
    assert spread.mean == pytest.approx(INSTALLED_COST - freight + freight * law.mean(), abs=0.05)
    assert spread.contingency == pytest.approx(spread.total.p80 - INSTALLED_COST, abs=0.01)


def test_weather_alone_has_the_quantiles_of_its_days() -> None:
    """With the weather alone uncertain the cost's quantiles are those of the days, to the cent."""
    plan = plan_with(workable=0.65)
    spread = spread_of(plan)
    hours = plan.campaigns[0].hours
    working = math.ceil(hours / 10)
    for share, cost in ((0.1, spread.total.p10), (0.5, spread.total.p50),
                        (0.8, spread.total.p80), (0.9, spread.total.p90)):  # fmt: skip
        days = working + stats.nbinom.ppf(share, working, 0.65)
        assert cost == pytest.approx(INSTALLED_COST + (days - 2) * 2000.0, abs=0.01)
    assert [source.name for source in spread.sources] == ["weather: days of Work boat"]


def test_the_sum_is_wider_than_no_source_and_narrower_than_all_added() -> None:
    """Independent sources add up by less than their sum, and by no less than the widest."""
    spread = spread_of(
        plan_with(
            Uncertainty(Uncertain.FREIGHT, 0.8, 1.5),
            Uncertainty(Uncertain.CURRENCY, 0.9, 1.1, "USD"),
            workable=0.7,
        )
    )
    widths = [source.cost.width for source in spread.sources]
    assert len(widths) == 3
    assert widths == sorted(widths, reverse=True)
    assert widths[0] < spread.total.width < sum(widths)
    costs = [cost for cost, _ in spread.curve]
    assert costs == sorted(costs)
    assert spread.dearest_fifth > spread.total.p80 > spread.mean


def test_two_sources_by_convolution() -> None:
    """Two vessels' worth of sources against numbers drawn and summed by scipy: within 1 %."""
    rows = (Uncertainty(Uncertain.FREIGHT, 0.7, 1.6),)
    spread = spread_of(plan_with(*rows, workable=0.6))
    working = math.ceil(example_plan().campaigns[0].hours / 10)
    luck = np.random.default_rng(1)
    sigma = math.log(1.6 / 0.7) / (2 * stats.norm.ppf(0.9))
    freight = 1030.2 * luck.lognormal(math.log(0.7 * 1.6) / 2, sigma, 400_000)
    days = working + luck.negative_binomial(working, 0.6, 400_000)
    costs = INSTALLED_COST - 1030.2 - 4000.0 + freight + 2000.0 * days
    exact = np.quantile(costs, [0.1, 0.5, 0.8, 0.9])
    total = spread.total
    assert [total.p10, total.p50, total.p80, total.p90] == pytest.approx(exact, rel=0.01)


def test_draws_are_the_same_every_time() -> None:
    """The same source draws the same numbers; another draws others, uncorrelated."""
    one, same = log_normal("a", 0.9, 1.2), log_normal("a", 0.9, 1.2)
    other = log_normal("b", 0.9, 1.2)
    assert np.array_equal(one, same)
    assert len(one) == DRAWS
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.03
    assert np.quantile(one, [0.1, 0.9]) == pytest.approx([0.9, 1.2], rel=1e-4)


def test_the_dearest_are_averaged() -> None:
    """BASIS C6: of costs 100, 110, 120, 150, 200 the dearest two fifths are 175 on average."""
    costs = np.array([100.0, 110.0, 120.0, 150.0, 200.0])
    assert mean_beyond(costs, 0.6) == pytest.approx(175.0)
    assert mean_beyond(costs, 0.5) == pytest.approx((0.5 * 120 + 150 + 200) / 2.5)


@mostly_long("seed", range(6), quick=[0, 1])
def test_amounts_are_what_the_farm_would_pay_at_other_rates(seed: int) -> None:
    """The amounts add up to the cost; and each source moves it as the ledger at that rate does."""
    farm = random_farm(seed)
    foreign = [s.currency for s in (*farm.suppliers, *farm.services)]
    rows = [Uncertainty(Uncertain.FREIGHT, 0.9, 1.2)]
    rows += [Uncertainty(Uncertain.SERVICE, 0.9, 1.2, s.name) for s in farm.services]
    rows += [Uncertainty(Uncertain.CURRENCY, 0.9, 1.2, c)
             for c in dict.fromkeys(foreign) if c != farm.project.currency]  # fmt: skip
    rows += [Uncertainty(Uncertain.SUPPLIER, 0.9, 1.2, s.name) for s in farm.suppliers]
    rows += [Uncertainty(Uncertain.ITEM, 0.9, 1.2, i.name) for i in farm.items]
    farm = replace(farm, uncertainties=tuple(rows))
    assert not [fault for fault in farm_faults(farm) if fault.sheet == "Uncertainty"]
    pricer = FarmPricer(farm, gap=0.0)
    priced = pricer.price()
    plan = priced.plan()
    assert plan is not None
    assert priced.settlement is not None
    drawn = CostDraws(plan)
    assert sum(drawn.amounts.values()) == pytest.approx(plan.installed_cost)
    for row in rows:
        rate = Rate(KINDS[row.what], row.which)
        at = sum(cost_parts(Rates(((rate, 1.37),)).applied(farm), priced.settlement).values())
        mine = sum(
            money * (1.37 if str(row) in names else 1.0) for names, money in drawn.amounts.items()
        )
        assert mine == pytest.approx(at), row


def test_options_meet_the_same_luck() -> None:
    """Of two plans on the same draws, one a euro dearer is never cheapest; equals go to the
    first."""
    plan = plan_with(workable=0.6)
    dearer = replace(plan, campaigns=tuple(replace(c, fuel=c.fuel + 1) for c in plan.campaigns))
    both = spread_of_options({"dearer": dearer, "plan": plan, "again": plan})
    assert both.cheapest == {"dearer": 0.0, "plan": 1.0, "again": 0.0}
    assert both.ranges["dearer"].p80 == pytest.approx(both.ranges["plan"].p80 + 1)
