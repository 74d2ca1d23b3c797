"""What a farm says of itself: every fault between its records at once, each with its cell."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pytest
from moorledger.models.farm import Farm
from moorledger.models.farm_faults import farm_faults
from moorledger.models.fault import FarmError, Fault, Severity, Source
from moorledger.models.goods.anchor import HoldsBy, UpliftLoss
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.supplier import OnHand
from moorledger.models.site.declared_holding import DeclaredHolding, HoldingLaw
from moorledger.models.site.pull_test import Reading
from moorledger.models.site.seabed import Seabed

from tests.farms.small_farm import (
    ANCHOR,
    CHAIN,
    FARM,
    LEG,
    ROPE,
    SEABED,
    SERVICE,
    SHACKLE,
    SUPPLIER,
    VESSEL,
    farm_with,
    run,
)


def messages(farm: Farm) -> list[str]:
    """Return the farm's faults as they are printed."""
    return [str(fault) for fault in farm_faults(farm)]


def test_a_sound_farm_has_no_faults() -> None:
    """The small farm is free of faults, so that each test below shows just its own."""
    assert farm_faults(FARM) == ()


UNKNOWN: list[tuple[dict[str, Any], str, str]] = [
    ({"anchors": (replace(ANCHOR, supplier="east work"),)}, "Supplier", "'east work'"),
    ({"chains": (replace(CHAIN, supplier="x"),)}, "Supplier", "'x'"),
    ({"ropes": (replace(ROPE, supplier="x"),)}, "Supplier", "'x'"),
    ({"fittings": (replace(SHACKLE, supplier="x"),)}, "Supplier", "'x'"),
    ({"suppliers": (replace(SUPPLIER, origin="x"),)}, "Origin", "'x'"),
    ({"legs": (replace(LEG, seabed="sandd"),)}, "Seabed", "'sandd'"),
    ({"legs": (replace(LEG, allowed_families=("hinged fluke", "x")),)}, "Allowed families", "'x'"),
    ({"legs": (replace(LEG, fixed_anchor="x"),)}, "Fixed anchor", "'x'"),
    ({"legs": (replace(LEG, fixed_chain="x"),)}, "Fixed chain", "'x'"),
    ({"declared_holdings": (DeclaredHolding("x", "sand", 9.0, ""),)}, "Anchor", "'x'"),
    ({"declared_holdings": (DeclaredHolding(ANCHOR.name, "x", 9.0, ""),)}, "Seabed", "'x'"),
    ({"holding_laws": (HoldingLaw("x", "sand", 1.0, 1.0, 0.9, ""),)}, "Family", "'x'"),
    ({"holding_laws": (HoldingLaw("hinged fluke", "x", 1.0, 1.0, 0.9, ""),)}, "Seabed", "'x'"),
    ({"readings": (Reading("t", "x", "sand", 1.0, 1.0),)}, "Anchor", "'x'"),
    ({"readings": (Reading("t", ANCHOR.name, "x", 1.0, 1.0),)}, "Seabed", "'x'"),
    ({"uplift_losses": (UpliftLoss("x", 5.0, 0.9),)}, "Anchor or family", "'x'"),
    ({"fittings": (replace(SHACKLE, for_chain="x"),)}, "For chain", "'x'"),
    ({"price_breaks": (PriceBreak("x", 5, 1.0),)}, "Item", "'x'"),
    ({"on_hand": (OnHand("x", 5),)}, "Item", "'x'"),
]


@pytest.mark.parametrize(("changes", "heading", "name"), UNKNOWN)
def test_unknown_name_is_one_fault_under_its_heading(
    changes: dict[str, Any], heading: str, name: str
) -> None:
    """Each reference from one sheet to another is checked, and just that one is faulted."""
    faults = farm_faults(farm_with(**changes))
    assert [fault.heading for fault in faults] == [heading]
    assert f"{name} is not in" in faults[0].message


def test_all_unknown_names_are_said_at_once() -> None:
    """Everything wrong with a farm is in one answer, not one fault a run."""
    changes: dict[str, Any] = {}
    for change, _, _ in UNKNOWN:
        for field, records in change.items():
            changes[field] = (*changes.get(field, ()), *records)
    changes["anchors"] = (replace(ANCHOR, supplier="east work"),)
    faults = farm_faults(farm_with(**changes))
    said = {
        (fault.heading, name) for fault in faults for _, _, name in UNKNOWN if name in str(fault)
    }
    assert said >= {(heading, name) for _, heading, name in UNKNOWN}


def test_fault_names_sheet_cell_heading_and_the_closest_name() -> None:
    """The sentence a buyer reads: where, what was found, what was probably meant."""
    place = Source("Legs", 14, MappingProxyType({"Seabed": "F14"}))
    farm = farm_with(legs=(replace(LEG, seabed="Sandd", source=place),))
    assert messages(farm) == ["Legs!F14 Seabed: 'Sandd' is not in Seabeds; did you mean 'sand'?"]


def test_fault_without_a_cell_names_its_row() -> None:
    """A heading that the sheet does not have falls back on the row."""
    fault = Fault.at(Source("Legs", 14), "Seabed", "blank")
    assert str(fault) == "Legs row 14 Seabed: blank"
    assert str(Fault.at(None, "Seabed", "blank")) == "Seabed: blank"


def test_no_guess_is_made_at_a_name_unlike_any() -> None:
    """Nothing close by: no suggestion."""
    found = messages(farm_with(legs=(replace(LEG, seabed="boulders"),)))
    assert found == ["Seabed: 'boulders' is not in Seabeds"]


@pytest.mark.parametrize(
    ("changes", "heading"),
    [
        ({"legs": (LEG, replace(LEG))}, "Leg"),
        ({"seabeds": (SEABED, replace(SEABED))}, "Seabed"),
        ({"suppliers": (SUPPLIER, replace(SUPPLIER))}, "Supplier"),
        ({"services": (SERVICE, replace(SERVICE))}, "Service"),
        ({"vessels": (VESSEL, replace(VESSEL))}, "Vessel"),
        ({"anchors": (ANCHOR, replace(ANCHOR))}, "Anchor"),
        ({"ropes": (ROPE, replace(ROPE, name=CHAIN.name))}, "Rope"),
        ({"legs": (LEG, replace(LEG, name=LEG.name.upper()))}, "Leg"),
    ],
)
def test_doubled_names(changes: dict[str, Any], heading: str) -> None:
    """A name twice on its sheet, in any case of letters, or twice among the goods."""
    faults = farm_faults(farm_with(**changes))
    assert [fault.heading for fault in faults] == [heading]
    assert "named twice" in faults[0].message


def test_doubled_name_says_where_it_was_first() -> None:
    """The fault lies on the second and points to the first."""
    legs = (replace(LEG, source=Source("Legs", 2)), replace(LEG, source=Source("Legs", 9)))
    (fault,) = farm_faults(farm_with(legs=legs))
    assert fault.row == 9
    assert "first on Legs row 2" in fault.message


def test_price_breaks_of_one_item_agree() -> None:
    """Two schemes for one item, and two breaks from one quantity, are both faults."""
    mixed = (
        PriceBreak(ANCHOR.name, 5, 800.0, Scheme.ALL_UNITS),
        PriceBreak(ANCHOR.name, 9, 700.0, Scheme.INCREMENTAL),
    )
    (fault,) = farm_faults(farm_with(price_breaks=mixed))
    assert fault.heading == "Scheme"
    twice = (PriceBreak(ANCHOR.name, 5, 800.0), PriceBreak(ANCHOR.name, 5, 700.0))
    (fault,) = farm_faults(farm_with(price_breaks=twice))
    assert fault.heading == "From quantity"
    other = (PriceBreak(ANCHOR.name, 5, 800.0), PriceBreak(CHAIN.name, 5, 17.0))
    assert farm_faults(farm_with(price_breaks=other)) == ()


def test_drag_may_not_run_backwards() -> None:
    """Within one test each row lies at the same drag or further; two tests may interleave."""
    (fault,) = farm_faults(
        farm_with(readings=run("t", [(1.0, 5.0), (3.0, 9.0), (3.0, 8.5), (2.9, 8.0)]))
    )
    assert fault.heading == "Drag"
    assert "3 m, then 2.9 m" in fault.message
    one, two = run("one", [(1.0, 5.0), (3.0, 9.0)]), run("two", [(0.5, 5.0), (2.0, 9.0)])
    assert farm_faults(farm_with(readings=(one[0], two[0], one[1], two[1]))) == ()


def test_one_test_is_of_one_anchor_on_one_seabed() -> None:
    """The same test name on another anchor or seabed is a fault."""
    mud = Seabed("mud", 0.6, 0.3)
    readings = (*run("t", [(1.0, 5.0)]), *run("t", [(2.0, 6.0)], seabed="mud"))
    (fault,) = farm_faults(farm_with(readings=readings, seabeds=(SEABED, mud)))
    assert fault.heading == "Test"


def test_deadweights_without_friction_are_a_warning() -> None:
    """A seabed in use with no deadweight friction is said where deadweights are offered."""
    block = replace(ANCHOR, name="block", holds_by=HoldsBy.WEIGHT, stated_density_kg_m3=2400.0)
    bare = (Seabed("sand", 0.7), Seabed("unused", 0.7))
    (fault,) = farm_faults(farm_with(anchors=(ANCHOR, block), seabeds=bare))
    assert fault.severity is Severity.WARNING
    assert "'sand'" in fault.message
    assert farm_faults(farm_with(seabeds=bare)) == ()


def test_a_currency_has_one_rate() -> None:
    """Two rates for one currency, or any but 1 for the project's own, are faults."""
    dear = replace(SUPPLIER, name="west works", currency="USD", exchange_rate=0.9)
    cheap = replace(SERVICE, name="west sea", currency="usd", exchange_rate=0.8)
    farm = farm_with(suppliers=(SUPPLIER, dear), services=(SERVICE, cheap))
    (fault,) = farm_faults(farm)
    assert fault.heading == "Project currency per unit"
    own = farm_with(
        suppliers=(replace(SUPPLIER, exchange_rate=1.1),),
        services=(replace(SERVICE, exchange_rate=1.1),),
    )
    assert [f.heading for f in farm_faults(own)] == ["Project currency per unit"] * 2


def test_faults_come_in_the_order_of_the_sheets_and_rows() -> None:
    """Sorted by sheet, row and cell, whatever order the checks run in."""
    legs = tuple(
        replace(LEG, name=f"leg {row}", seabed="x", source=Source("Legs", row)) for row in (9, 2, 5)
    )
    anchors = (replace(ANCHOR, supplier="x", source=Source("Anchors", 30)),)
    faults = farm_faults(farm_with(legs=legs, anchors=anchors))
    assert [(f.sheet, f.row) for f in faults] == [
        ("Anchors", 30),
        ("Legs", 2),
        ("Legs", 5),
        ("Legs", 9),
    ]


def test_the_error_carries_and_prints_every_fault() -> None:
    """What a caller catches holds the faults themselves, and reads as their sentences."""
    faults = farm_faults(farm_with(legs=(replace(LEG, seabed="x", fixed_anchor="y"),)))
    error = FarmError(faults)
    assert error.faults == faults
    assert len(str(error).splitlines()) == 2


def test_counts_and_families() -> None:
    """A group of 12 lines and one of 1 are 13; families come once, in catalogue order."""
    farm = farm_with(
        legs=(replace(LEG, count=12), replace(LEG, name="corner")),
        anchors=(
            replace(ANCHOR, name="s", family="stockless"),
            ANCHOR,
            replace(ANCHOR, name="t", family="stockless"),
        ),
    )
    assert farm.leg_count == 13
    assert farm.families == ("stockless", "hinged fluke")
