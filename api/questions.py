"""Questions to one farm: options, break-even rates, what anchors hold, tests, certainty."""

from __future__ import annotations

from collections.abc import Sequence

from .models.answer.plan import Plan
from .models.asked.break_even import BreakEven
from .models.asked.comparison import Comparison
from .models.asked.next_tests import NextTests
from .models.evidence.anchor_evidence import AnchorEvidence, anchor_evidence
from .models.farm import Farm
from .models.fault import closest
from .models.option import FREE, Option
from .models.rate import rate_named
from .optimiser.crew import crew_of
from .optimiser.price import DEFAULT_GAP
from .optimiser.repricing.break_even import break_even as break_even_of
from .optimiser.repricing.compare import compare as compare_options
from .optimiser.repricing.compare import option_named, option_names
from .optimiser.repricing.farm_pricer import FarmPricer
from .optimiser.repricing.next_tests import next_tests as worth_of_tests
from .optimiser.repricing.sure import price_sure as sure_price


def holding(farm: Farm) -> tuple[AnchorEvidence, ...]:
    """Return what each anchor is relied on to hold on each seabed, kN, and the evidence."""
    return anchor_evidence(farm)


def compare(
    farm: Farm, *, gap: float = DEFAULT_GAP, time_limit_s: float = 600.0, solver: str = ""
) -> Comparison:
    """Return the free choice beside every option that the farm can be asked, in `time_limit_s`.

    Raises FarmError where the farm contradicts itself or some leg cannot be moored.
    """
    return compare_options(FarmPricer(farm, gap=gap, solver=solver), time_limit_s=time_limit_s)


def break_even(
    farm: Farm,
    vary: str,
    low: float = 0.2,
    high: float = 3.0,
    *,
    options: Sequence[str] = (FREE.name,),
    gap: float = DEFAULT_GAP,
    time_limit_s: float = 600.0,
    solver: str = "",
) -> BreakEven:
    """Return the least plan at every multiplier, from `low` to `high`, of a rate by its name.

    vary : as `moorledger breakeven --vary` names it ("freight rates", "currency USD", ...).
    options : names as `compare` has them; two or more also say where they cost the same.
    Raises FarmError, UnknownRateError (a ValueError), ValueError for an unknown option or an
    empty range.
    """
    pricer = FarmPricer(farm, gap=gap, solver=solver)
    return break_even_of(
        pricer,
        rate_named(farm, vary),
        low,
        high,
        options=[_option(pricer, name) for name in options],
        time_limit_s=time_limit_s,
    )


def next_tests(
    farm: Farm,
    *,
    gap: float = DEFAULT_GAP,
    time_limit_s: float = 180.0,
    solver: str = "",
    jobs: int = 1,
) -> NextTests:
    """Return what one, two, three more pull tests would save, and what they cost.

    jobs : processes that share the prices. Raises FarmError, NoPlanError.
    """
    pricer = FarmPricer(farm, gap=gap, solver=solver)
    return worth_of_tests(pricer, time_limit_s=time_limit_s, crew=crew_of(jobs, ""))


def price_sure(
    farm: Farm,
    sure: float,
    *,
    gap: float = DEFAULT_GAP,
    time_limit_s: float = 600.0,
    solver: str = "",
) -> Plan:
    """Return the plan whose cost is enough with the chance `sure` (0.8) for the least money, of
    those found; every vessel's days are charged so. Raises as `price` does."""
    return sure_price(farm, sure, gap=gap, time_limit_s=time_limit_s, solver=solver)


def _option(pricer: FarmPricer, name: str) -> Option:
    option = option_named(pricer, name)
    if option is None:
        raise ValueError(f"'{name}' is not an option{closest(name, option_names(pricer))}")
    return option
