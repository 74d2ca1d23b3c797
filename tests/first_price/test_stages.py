"""The sample taken apart: from pull tests to all of it, each stage runs and says what it lacks."""

from __future__ import annotations

import copy
from dataclasses import replace

import pytest
from moorledger.io.needs.needs import EVIDENCE
from moorledger.io.reading.workbook import farm_of
from moorledger.io.told.plan_text import decision, plan_summary
from moorledger.io.words.unpriced import not_priced, total_name
from moorledger.models.answer.plan import Part
from moorledger.models.evidence.anchor_evidence import anchor_evidence
from moorledger.models.evidence.anchor_value import anchor_values
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.optimiser.price import price

from tests.farms.sample_cells import Grid, sample, tables_of
from tests.first_price.first_farm import farm_of_grid, first_grid
from tests.quick_run import LONG, mostly_long

GAP = 1e-3
LEGS = ("MA-W1", "PG-N")
"""Of the sample's, so that each stage is priced in moments."""

GOODS = ("Project", "Legs", "Seabeds", "Load cases", "Anchors", "Uplift loss", "Holding",
         "Holding laws", "Pull tests", "Chain", "Rope", "Fittings", "Price breaks")  # fmt: skip


def small_sample() -> Grid:
    """Return the sample with a few of its legs, a line each, and whatever else it has."""
    grid = sample()
    head, *rows = grid["Legs"]
    kept = [row for row in rows if row[0] in LEGS]
    for row in kept:
        row[head.index("Count")] = 1
    grid["Legs"] = [head, *kept]
    for sheet in ("Options", "Lease", "On hand"):
        del grid[sheet]
    for case in grid["Load cases"][1:]:
        case[-1] = None
    grid["Load cases"] = grid["Load cases"][:2]
    return grid


def part(grid: Grid, *sheets: str) -> Grid:
    """Return some sheets of a grid."""
    return {title: copy.deepcopy(grid[title]) for title in sheets}


def pulls_alone(grid: Grid, *headings: str) -> Grid:
    """Return Pull tests, and of Anchors the columns named; name, family and mass at least."""
    head, *rows = grid["Anchors"]
    places = [head.index(each) for each in ("Anchor", "Family", "Mass (kg)", *headings)]
    anchors = [[row[place] for place in places] for row in (head, *rows)]
    return {"Pull tests": copy.deepcopy(grid["Pull tests"]), "Anchors": anchors}


def free(grid: Grid, *, freight: bool, vessels: bool) -> Farm:
    """Return the farm of a grid whose freight, or vessels, cost nothing and limit nothing."""
    farm = farm_of_grid(grid)
    if freight:
        services = tuple(
            replace(s, rate=0.0, minimum_charge=0.0, fixed_charge=0.0, transit_days=None,
                    available=None, volume_m3=None, payload_t=None, inside_length_mm=None)
            for s in farm.services
        )  # fmt: skip
        farm = replace(farm, services=services)
    if vessels:
        boat = replace(
            farm.vessels[0], day_rate=0.0, mobilisation=0.0, fuel_per_trip=0.0, most_days=None,
            crane_limit_t=1e4, deck_load_t=1e4, deck_area_m2=1e4, bollard_pull_kn=1e4,
            home_every_day=False,
        )  # fmt: skip
        farm = replace(farm, vessels=(boat,))
    return farm


def test_pull_tests_and_masses_show_what_the_full_sample_shows() -> None:
    """Every value of an anchor tested is the full sample's at the same drag and scatter; nothing
    is made up of a price, a freight or a boat."""
    grid = sample()
    full = farm_of_grid(grid)
    little = farm_of_grid(pulls_alone(grid), needs=EVIDENCE)
    drags = tuple(sorted({leg.allowed_drag_m for leg in full.legs}))
    project = replace(little.project, pull_test_scatter=full.project.pull_test_scatter,
                      least_pull_test_scatter=full.project.least_pull_test_scatter)  # fmt: skip
    little = replace(little, drags_m=drags, project=project)
    # What only other sheets say: laws, declared holdings, structural limits, what holds by weight.
    bare = replace(full, holding_laws=(), declared_holdings=(), anchors=tuple(
        replace(a, structural_limit_kn=None) for a in full.anchors
    ))  # fmt: skip
    known = {(row.anchor.name, row.seabed): row for row in anchor_evidence(bare)}
    rows = anchor_evidence(little)
    assert len(rows) == len({(test.anchor, test.seabed) for test in full.pull_tests})
    for row in rows:
        same = known[row.anchor.name, row.seabed]
        assert row.peak_efficiency == same.peak_efficiency
        assert [at.relied_on_kn for at in row.within] == [at.relied_on_kn for at in same.within]
        assert [at.usable_kn for at in row.within] == [at.usable_kn for at in same.within]
    values = anchor_values(little)
    assert {(v.price, v.boat_min, v.carriages) for v in values} == {(None, None, ())}


def test_with_prices_a_kilonewton_has_its_price_and_no_more() -> None:
    """Unit price alone adds the price of a kilonewton, in the project's currency."""
    little = farm_of_grid(pulls_alone(sample(), "Unit price"), needs=EVIDENCE)
    values = [value for value in anchor_values(little) if value.relied_on_kn > 0]
    assert values
    for value in values:
        assert value.price == little.anchor_by_name[value.anchor.name].unit_price
        assert value.price_per_kn == pytest.approx(value.price / value.relied_on_kn)
        assert value.freight_per_kn is None


def test_pull_tests_alone_are_not_enough_to_price() -> None:
    """A price asks for exactly the sheets and columns that it cannot do without."""
    with pytest.raises(FarmError) as refused:
        farm_of(tables_of(pulls_alone(sample())))
    assert [str(fault) for fault in refused.value.faults] == [
        "Legs: the sheet is missing",
        "Seabeds: the sheet is missing",
        "Anchors Unit price: the column 'Unit price' is missing",
        "Chain: the sheet is missing",
    ]


STAGES = (
    ((), "Cost of goods"),
    (("Suppliers",), "Cost of goods"),
    (("Suppliers", "Freight"), "Landed cost"),
    (("Suppliers", "Vessels"), "Cost of goods and laying"),
    (("Suppliers", "Freight", "Vessels"), "Installed cost"),
)


@LONG
@mostly_long(
    "more, called",
    STAGES,
    quick=STAGES[:1],
    ids=lambda value: "+".join(value) or "goods" if isinstance(value, tuple) else "",
)
def test_each_stage_costs_as_the_whole_where_what_it_lacks_is_free(
    more: tuple[str, ...], called: str
) -> None:
    """Without Freight or Vessels the plan costs what it would if these cost nothing and limited
    nothing; what is not priced is said first, and the total is called by its right name."""
    grid = small_sample()
    farm = farm_of_grid(part(grid, *GOODS, *more))
    plan = price(farm, gap=GAP, time_limit_s=60, workers=1)
    lacks = {"Freight", "Vessels"} - set(more)
    whole = part(grid, *GOODS, "Suppliers", "Freight", "Vessels")
    like = free(whole, freight="Freight" in lacks, vessels="Vessels" in lacks)
    if "Suppliers" not in more:
        like = replace(like, suppliers=tuple(
            replace(s, currency="EUR", exchange_rate=1.0, order_charge=0.0, duty_share=0.0,
                    lead_time_days=None)
            for s in like.suppliers
        ))  # fmt: skip
    if lacks or like != farm:
        other = price(like, gap=GAP, time_limit_s=60, workers=1)
        assert plan.installed_cost == pytest.approx(other.installed_cost, rel=2 * GAP)
    assert total_name(farm) == called
    first = plan_summary(plan).splitlines()[0]
    for sheet in ("Freight", "Vessels"):
        assert (f"no {sheet} sheet" in not_priced(farm)) == (sheet in lacks)
    if lacks:
        assert first.startswith("NOT PRICED: ")
        assert "not a design that may be laid" in first
        assert decision(plan).startswith("NOT PRICED: ")
    else:
        assert decision(plan).startswith("To approve: ")
    if "Vessels" in lacks:
        names = {str(check.what) for check in plan.checks}
        vessel = ("crane", "one anchor on deck", "deck load", "bollard", "setting pull")
        assert not {name for name in names if any(word in name for word in vessel)}
        assert plan.parts[Part.VESSEL_DAYS] == plan.parts[Part.MOBILISATION] == 0.0


def test_offers_say_what_goods_leave_blank_without_a_sheet_of_suppliers() -> None:
    """With Offers a blank supplier and price are no stand-ins: the offers' are taken, their sellers
    being whoever they name; the evidence has their least price too."""
    grid = first_grid()
    head, *rows = grid["Anchors"]
    price_at = head.index("Unit price")
    prices = {row[0]: row[price_at] for row in rows}
    for row in rows:
        row[price_at] = None
    grid["Offers"] = [["Item", "Supplier", "Unit price"]]
    for name, money in prices.items():
        grid["Offers"] += [[name, "north", money], [name, "south", money + 50]]
    farm = farm_of_grid(grid)
    assert {supplier.name for supplier in farm.suppliers} == {"north", "south", "the supplier"}
    assert all("unit_price" not in anchor.stood_in for anchor in farm.anchors)
    plan = price(farm, gap=GAP, workers=1)
    usual = price(farm_of_grid(first_grid()), gap=GAP, workers=1)
    assert plan.installed_cost == pytest.approx(usual.installed_cost, rel=2 * GAP)
    assert "south" not in {line.supplier for line in plan.orders if line.quantity}
    values = anchor_values(farm_of_grid(grid, needs=EVIDENCE))
    assert {value.anchor.name: value.price for value in values} == prices
