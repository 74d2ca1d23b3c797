"""What costs seconds to make and many tests look at: made once a session (once a process)."""

from __future__ import annotations

from pathlib import Path

import pytest
from moorledger.io.reading.workbook import read_farm
from moorledger.models.answer.plan import Plan
from moorledger.models.asked.comparison import Comparison
from moorledger.models.farm import Farm
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.solvers.matrix import Matrix

from tests.farms.random_farms import random_farm
from tests.quick_run import in_share


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add `--share`, by which CI takes the long tests by turns."""
    parser.addoption("--share", metavar="N/K", help="of the cases chosen run share N (from 0) of K")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave only the cases of the share that was asked for."""
    share = config.getoption("--share")
    if share is None:
        return
    number, of = map(int, share.split("/"))
    if not 0 <= number < of:
        raise pytest.UsageError(
            f"--share {share}: of {of} shares the first is 0, the last {of - 1}"
        )
    others = [item for item in items if not in_share(item.nodeid, number, of)]
    config.hook.pytest_deselected(items=others)
    items[:] = [item for item in items if in_share(item.nodeid, number, of)]


SAMPLE = Path(__file__).resolve().parents[1] / "sample_inputs" / "heron_sound"

ROUGH = 0.3
"""A gap that lets each search of the sample end with its first plans."""


@pytest.fixture(scope="session")
def sample_farm() -> Farm:
    """The sample farm, as its folder of CSV files has it."""
    return read_farm(SAMPLE)


@pytest.fixture(scope="session")
def sample_plan(sample_farm: Farm) -> Plan:
    """Some plan of the sample farm, proven to a rough gap."""
    return price(sample_farm, gap=0.5, time_limit_s=120.0)


@pytest.fixture(scope="session")
def sample_programme(sample_farm: Farm) -> Matrix:
    """The whole programme of the sample farm: far too much for a third of a second."""
    return OrderProgramme(sample_farm, moorable_choices(sample_farm)).matrix()


@pytest.fixture(scope="session")
def sample_comparison(sample_farm: Farm) -> Comparison:
    """The sample's options side by side, roughly priced."""
    return compare(FarmPricer(sample_farm, gap=ROUGH), time_limit_s=50.0)


@pytest.fixture(scope="session")
def small_comparison() -> Comparison:
    """The options of a small farm at random side by side, each proven."""
    return compare(FarmPricer(random_farm(156), gap=1e-6))


@pytest.fixture(scope="session")
def middling_farm() -> Farm:
    """A farm at random that takes some seconds to price to a rough gap, and minutes to prove."""
    return random_farm(8, "middling")


@pytest.fixture(scope="session")
def middling_plan(middling_farm: Farm) -> Plan:
    """Some plan of the middling farm, proven to a rough gap."""
    return price(middling_farm, gap=0.2, time_limit_s=60.0)


@pytest.fixture(scope="session")
def middling_programme(middling_farm: Farm) -> Matrix:
    """The whole programme of the middling farm."""
    return OrderProgramme(middling_farm, moorable_choices(middling_farm)).matrix()
