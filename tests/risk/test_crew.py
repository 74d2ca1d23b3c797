"""Prices shared by processes or a cluster: the same answers as one, and nothing lost with a
worker."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from moorledger.models.asked.comparison import Comparison
from moorledger.models.asked.offer_worth import OfferWorths
from moorledger.models.farm import Farm
from moorledger.models.option import FREE
from moorledger.models.rate import Rate, RateKind
from moorledger.optimiser.bargaining.offer_worth import offer_worths
from moorledger.optimiser.bargaining.offers_apart import offer_worths_apart
from moorledger.optimiser.crew import ONE, Alone, Cluster, Crew, Processes, crew_of
from moorledger.optimiser.failures import SolverFailedError
from moorledger.optimiser.repricing.break_even import break_even
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.repricing.next_tests import next_tests
from moorledger.optimiser.repricing.options_apart import compare_apart

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long
from tests.risk.test_next_tests import farm_of

SEEDS = (1, 3, 4)


def once_killed(task: tuple[str, int]) -> int:
    """Return ten times a number; the first who meets number 3 is killed with the work in hand."""
    flag, number = task
    if number == 3 and not Path(flag).exists():
        Path(flag).write_text("killed", encoding="utf-8")
        os.kill(os.getpid(), signal.SIGKILL)
    return 10 * number


def always_killed(_task: int) -> int:
    """Be killed."""
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


@pytest.fixture(scope="module")
def cluster() -> Iterator[Crew]:
    """A scheduler and two workers on this machine."""
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as local,
        distributed.Client(local, set_as_default=False) as client,
    ):
        yield Cluster(client)


def told(found: Comparison) -> list[tuple[str, float, float, dict[str, float]]]:
    """Return what a comparison says, to the bit."""
    return [
        (
            outcome.option.name,
            outcome.plan.installed_cost if outcome.plan else 0.0,
            outcome.bound,
            dict(outcome.plan.parts) if outcome.plan else {},
        )
        for outcome in found.outcomes
    ]


def compared(seed: int, crew: Crew) -> Comparison:
    """Return the options of a random small farm, priced apart at a gap of zero."""
    return compare_apart(FarmPricer(random_farm(seed), gap=0.0, workers=1), crew)


def check_same(crew: Crew) -> None:
    """Hold a crew's answers to those of one process: options, rates and tests."""
    for seed in SEEDS:
        assert told(compared(seed, crew)) == told(compared(seed, ONE))
    farm = random_farm(SEEDS[0])
    rate = Rate(RateKind.FREIGHT)
    both = [
        break_even(FarmPricer(farm, gap=0.0, workers=1), rate, 0.5, 2.0,
                   options=(FREE,), crew=who)
        for who in (crew, ONE)
    ]  # fmt: skip
    lines = [[(s.low, s.high, s.line) for s in one.options[0].stretches] for one in both]
    assert lines[0] == lines[1]
    tests = [next_tests(FarmPricer(farm_of(2)[0], gap=0.0, workers=1), crew=who).rows
             for who in (crew, ONE)]  # fmt: skip
    assert tests[0] == tests[1]


@LONG
def test_two_processes_answer_as_one() -> None:
    """With two processes the answers are the same to the bit."""
    check_same(Processes(2))


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")  # of the cluster's own making
def test_a_cluster_answers_as_one(cluster: Crew) -> None:
    """With a scheduler and two workers the answers are the same to the bit."""
    assert cluster.size == 2
    check_same(cluster)


@LONG
@mostly_long("seed", SEEDS, quick=SEEDS[:1])
def test_options_apart_cost_what_they_cost_together(seed: int) -> None:
    """Priced apart, at a gap of zero, each option costs what it does where each learns from the
    others."""
    together = compare(FarmPricer(random_farm(seed), gap=0.0, workers=1))
    apart = compared(seed, ONE)
    assert [o.option.name for o in apart.outcomes] == [o.option.name for o in together.outcomes]
    for one, other in zip(apart.outcomes, together.outcomes, strict=True):
        assert (one.plan is None) == (other.plan is None)
        if one.plan is not None and other.plan is not None:
            cost = other.plan.installed_cost
            assert one.plan.installed_cost == pytest.approx(cost, rel=1e-6)


@LONG
def test_a_killed_process_loses_nothing(tmp_path: Path) -> None:
    """A process killed midway: every result is there, in its place."""
    flag = tmp_path / "killed"
    tasks = [(str(flag), number) for number in range(8)]
    assert Processes(2).results(once_killed, tasks) == [10 * number for number in range(8)]
    assert flag.exists()


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")  # of the cluster's own making
def test_a_killed_worker_of_a_cluster_loses_nothing(cluster: Crew, tmp_path: Path) -> None:
    """A worker killed midway: its scheduler hands the work to another."""
    flag = tmp_path / "killed"
    tasks = [(str(flag), number) for number in range(8)]
    assert cluster.results(once_killed, tasks) == [10 * number for number in range(8)]
    assert flag.exists()


@LONG
def test_processes_lost_again_and_again_are_told() -> None:
    """Work that kills whoever does it ends with what happened, not with half an answer."""
    with pytest.raises(SolverFailedError, match="lost"):
        Processes(2).results(always_killed, [1, 2])


def test_crews_are_what_is_asked_for() -> None:
    """One job is this process; an address where nobody listens is told."""
    assert crew_of(1, "") is ONE
    assert crew_of(3, "") == Processes(3)
    assert Alone().results(str, [1, 2]) == ["1", "2"]
    pytest.importorskip("distributed")
    with pytest.raises(SolverFailedError, match=r"tcp://127\.0\.0\.1:9"):
        crew_of(1, "tcp://127.0.0.1:9")


def offered(farm: Farm, crew: Crew) -> OfferWorths:
    """Return what the offers of a small farm are worth, asked apart at a gap of zero."""
    return offer_worths_apart(FarmPricer(farm, gap=0.0, workers=1), crew)


SMALL_FARMS = [farm_of(2)[0], *map(random_farm, SEEDS)]


@mostly_long("farm", SMALL_FARMS, quick=SMALL_FARMS[:1])
def test_offers_apart_have_the_targets_that_they_have_together(farm: Farm) -> None:
    """Asked apart each offer has the target that it has where all plans count for all."""
    together = offer_worths(FarmPricer(farm, gap=0.0, workers=1))
    apart = offered(farm, ONE)
    assert apart.plan.installed_cost == pytest.approx(together.plan.installed_cost, rel=1e-9)
    by_key = {(one.item, one.supplier): one for one in (*together.lost, *together.won)}
    assert len(by_key) == len(apart.lost) + len(apart.won) > 0
    for one in (*apart.lost, *apart.won):
        other = by_key[one.item, one.supplier]
        assert one.bought == other.bought
        assert one.why == other.why
        assert one.target == (None if other.target is None else pytest.approx(other.target))


@LONG
def test_two_processes_find_the_same_targets() -> None:
    """With two processes the offers' targets are the same to the bit."""
    for farm in SMALL_FARMS[:2]:
        one, two = offered(farm, ONE), offered(farm, Processes(2))
        assert (one.lost, one.won) == (two.lost, two.won)
        assert one.plan.parts == two.plan.parts


@LONG
def test_what_is_done_is_told() -> None:
    """Whoever works them, each task that is done is told, of how many."""
    for crew in (ONE, Processes(2)):
        heard: list[tuple[int, int]] = []
        crew.results(str, [1, 2, 3], lambda done, of, heard=heard: heard.append((done, of)))
        assert heard == [(1, 3), (2, 3), (3, 3)]
    heard = []
    compare_apart(
        FarmPricer(random_farm(SEEDS[0]), gap=0.0, workers=1), ONE,
        done=lambda done, of: heard.append((done, of)),
    )  # fmt: skip
    assert [done for done, _ in heard] == list(range(1, heard[0][1] + 1))
