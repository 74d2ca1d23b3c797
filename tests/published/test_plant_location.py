"""Published plant-location and fixed-charge instances, solved as orders of moorings.

Small ones are whole farms, priced as any workbook is: `plant_location` says how metres of chain
stand for unit costs. Those of the OR-Library have costs too large for metres of chain; their
choices are made by hand, and the programme and the search solve them from there. What a plant
costs to open is each of the sums that a farm pays once, in turn.
"""

from __future__ import annotations

import pytest
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.search import search
from moorledger.optimiser.search.search import Search
from moorledger.optimiser.solvers.report import SolveOptions, Status
from moorledger.optimiser.solvers.solve import solve

from tests.published.plant_location import (
    SUN_OIL,
    WAREHOUSES,
    Instance,
    OpenedBy,
    farm_and_choices_of,
    farm_of,
)
from tests.published.warehouse_location import MONEY, capacitated, uncapacitated
from tests.quick_run import LONG, mostly_long

IN_A_WORKBOOK = [way for way in OpenedBy if way is not OpenedBy.MOBILISATION]
"""A farm's vessels lay any anchor that their crane lifts, so none is tied to a plant."""

NEVER, ALWAYS = 10**9, -1
"""Up to how many choices the whole programme is solved at once: all, or none (the tree)."""

EXACT = 1e-9

# Published: SunOil, Chopra & Meindl (answer from memory, worked again with another solver); the
# warehouses, a course's example (data seen, optimum worked again with another solver).
TEXTBOOK = [
    pytest.param(SUN_OIL, 23_751.0, id="SunOil"),
    pytest.param(WAREHOUSES, 114_250.0, id="three warehouses"),
]

# Published: OR-Library, the lists of optima "uncapopt" and "capopt"; seen in several copies.
UNCAPACITATED = {
    7_500.0: 932_615.750,
    12_500.0: 977_799.400,
    17_500.0: 1_010_641.450,
    25_000.0: 1_034_976.975,
}
"""cap71 to cap74: cost to open a site → optimum."""

CAPACITATED = {
    7_500.0: 1_040_444.375,
    12_500.0: 1_098_000.450,
    17_500.0: 1_153_000.450,
    25_000.0: 1_235_500.450,
}
"""cap41 to cap44, capacity 5000: cost to open a site → optimum."""


@pytest.mark.parametrize("instance", [SUN_OIL, WAREHOUSES], ids=["SunOil", "three warehouses"])
def test_chain_is_as_long_as_the_unit_cost(instance: Instance) -> None:
    """Tests the premise: a market has one make-up from each plant, of the unit cost in metres."""
    farm = farm_of(instance, OpenedBy.ORDER_CHARGE)
    made = moorable_choices(farm).make_ups
    metres = {
        (int(leg), int(anchor)): float(chain_m)
        for leg, anchor, chain_m in zip(made.leg, made.anchor, made.chain_m, strict=True)
    }
    assert len(made) == len(metres)
    assert metres == {
        (market, at): pytest.approx(cost)
        for at, plant in enumerate(instance.plants)
        for market, cost in enumerate(plant.unit_cost)
    }


@pytest.mark.parametrize("small", [NEVER, ALWAYS], ids=["whole", "tree"])
@mostly_long("opened_by", IN_A_WORKBOOK, quick=IN_A_WORKBOOK[:1], ids=lambda way: way.name.lower())
@pytest.mark.parametrize(("instance", "optimum"), TEXTBOOK)
def test_farm_costs_the_published_optimum(
    instance: Instance,
    optimum: float,
    opened_by: OpenedBy,
    small: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Tests the least order of the whole farm, proven, whichever sum opens a plant and whether
    the programme is solved at once or by the tree."""
    monkeypatch.setattr(search, "SMALL", small)
    plan = price(farm_of(instance, opened_by), gap=EXACT, solver="highs")
    assert plan.installed_cost == pytest.approx(optimum, abs=0.005)
    assert plan.proof.proven
    assert plan.proof.bound == pytest.approx(optimum, abs=0.005)


@LONG
@pytest.mark.parametrize(("instance", "optimum"), TEXTBOOK)
def test_farm_costs_the_published_optimum_by_cbc(instance: Instance, optimum: float) -> None:
    """Tests the same by the other solver, with freight that opens the plants."""
    plan = price(farm_of(instance, OpenedBy.FIXED_CHARGE), gap=1e-6, solver="cbc")
    assert plan.installed_cost == pytest.approx(optimum, abs=0.005)
    assert plan.proof.proven


@mostly_long("opened_by", IN_A_WORKBOOK, quick=IN_A_WORKBOOK[1:2], ids=lambda way: way.name.lower())
def test_sun_oil_ships_as_published(opened_by: OpenedBy) -> None:
    """Tests what each plant of SunOil serves, and that only large ones are opened: the plan that
    belongs to the published optimum (worked again with another solver)."""
    plan = price(farm_of(SUN_OIL, opened_by), gap=EXACT, solver="highs")
    served = {
        (row.make_up.anchor.removesuffix(" high"), row.leg): row.count for row in plan.assignments
    }
    assert served == {
        ("South America", "North America"): 12,
        ("South America", "South America"): 8,
        ("Asia", "Europe"): 4,
        ("Asia", "Asia"): 16,
        ("Africa", "Europe"): 10,
        ("Africa", "Africa"): 7,
    }
    opened = {row.service for row in plan.bookings} - {"chain freight"}
    assert opened == {"South America high", "Asia high", "Africa high"}


@pytest.mark.parametrize(("fixed_cost", "optimum"), UNCAPACITATED.items())
@pytest.mark.parametrize(
    "opened_by",
    [way for way in OpenedBy if way is not OpenedBy.FIRST_UNIT],  # its brackets take long here
    ids=lambda way: way.name.lower(),
)
def test_uncapacitated_sites_through_the_programme(
    opened_by: OpenedBy, fixed_cost: float, optimum: float
) -> None:
    """Tests the OR-Library's optimum of cap71 to cap74, whichever sum opens a site."""
    farm, choices = farm_and_choices_of(uncapacitated(fixed_cost), opened_by)
    report = solve(OrderProgramme(farm, choices).matrix(), SolveOptions("highs", gap=EXACT))
    assert report.status is Status.OPTIMAL
    assert report.objective == pytest.approx(optimum, abs=MONEY / 4)
    assert report.bound == pytest.approx(optimum, abs=MONEY / 4)


@pytest.mark.parametrize(("fixed_cost", "optimum"), UNCAPACITATED.items())
@mostly_long(
    "opened_by",
    [OpenedBy.ORDER_CHARGE, OpenedBy.FIXED_CHARGE, OpenedBy.MOBILISATION],
    quick=[OpenedBy.ORDER_CHARGE],
    ids=lambda way: way.name.lower(),
)
def test_uncapacitated_sites_by_the_tree(
    opened_by: OpenedBy, fixed_cost: float, optimum: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tests cap71 to cap74 by the search of large farms, to its bound."""
    monkeypatch.setattr(search, "SMALL", ALWAYS)
    farm, choices = farm_and_choices_of(uncapacitated(fixed_cost), opened_by)
    found = Search(farm, choices, SolveOptions("highs", gap=EXACT)).run()
    assert found.settlement is not None
    assert found.settlement.cost == pytest.approx(optimum, abs=MONEY / 4)
    assert found.bound == pytest.approx(optimum, abs=MONEY / 4)


@LONG
@pytest.mark.parametrize(("fixed_cost", "optimum"), CAPACITATED.items())
def test_capacitated_sites_through_the_programme(fixed_cost: float, optimum: float) -> None:
    """Tests the OR-Library's optimum of cap41 to cap44, 58 268 lines from sites of 5000."""
    farm, choices = farm_and_choices_of(capacitated(fixed_cost, 5000), OpenedBy.ORDER_CHARGE)
    report = solve(OrderProgramme(farm, choices).matrix(), SolveOptions("highs", gap=EXACT))
    assert report.status is Status.OPTIMAL
    assert report.objective == pytest.approx(optimum, abs=MONEY / 4)
    assert report.bound == pytest.approx(optimum, abs=MONEY / 4)


@LONG
@pytest.mark.parametrize("fixed_cost", [7_500.0])
def test_capacitated_sites_by_the_tree(fixed_cost: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests cap41 by the search of large farms, to its bound."""
    optimum = CAPACITATED[fixed_cost]
    monkeypatch.setattr(search, "SMALL", ALWAYS)
    farm, choices = farm_and_choices_of(capacitated(fixed_cost, 5000), OpenedBy.ORDER_CHARGE)
    found = Search(farm, choices, SolveOptions("highs", gap=EXACT)).run()
    assert found.settlement is not None
    assert found.settlement.cost == pytest.approx(optimum, abs=MONEY / 4)
    assert found.bound == pytest.approx(optimum, abs=MONEY / 4)
