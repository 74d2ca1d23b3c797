"""The sheet Offers: what a farm makes of it, and what is wrong with it, by cell."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm_faults import farm_faults
from moorledger.models.fault import FarmError
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.supplier import Offer
from moorledger.models.rate import Rate, RateKind
from moorledger.models.site.project import Project

from tests.farms.small_farm import ANCHOR, CHAIN, SUPPLIER, farm_with
from tests.farms.typed_workbook import TYPED, save

OTHER = replace(SUPPLIER, name="west works", lead_time_days=9, duty_share=0.04, price_factor=1.1)
RIVAL = Offer(ANCHOR.name, OTHER.name, 800.0, minimum_order=3, order_multiple=2, quotation="Q1")
BOTH = (SUPPLIER, OTHER)


def test_an_offer_leaves_to_its_supplier_what_it_does_not_say() -> None:
    """Lead time, duty and price factor are the supplier's; minimum, multiple and reference its
    own; the catalogue's own offer stands first."""
    farm = farm_with(suppliers=BOTH, offers=(RIVAL,))
    own, rival = farm.item_by_name[ANCHOR.name].offers
    assert (own.supplier, own.goods(1)) == (SUPPLIER.name, ANCHOR.unit_price)
    assert (rival.lead_time_days, rival.duty_share, rival.smallest_order) == (9, 0.04, 4)
    assert rival.goods(2) == pytest.approx(2 * 800.0 * 1.1)
    assert farm.offer_by_key[ANCHOR.name, OTHER.name].quotation == "Q1"


def test_price_factor_acts_on_breaks_and_not_on_joins_or_charges() -> None:
    """Chain at 18 a metre, 16 from two lengths, all by 1.1; a connector stays at 10."""
    farm = farm_with(
        chains=(replace(CHAIN, join_cost=10.0),),
        suppliers=(replace(SUPPLIER, price_factor=1.1, order_charge=50.0),),
        price_breaks=(PriceBreak(CHAIN.name, 2, 16.0),),
    )
    chain = farm.item_by_name[CHAIN.name]
    (offer,) = chain.offers
    assert offer.goods(1) == pytest.approx(27.5 * 18.0 * 1.1)
    assert offer.goods(2) == pytest.approx(55.0 * 16.0 * 1.1)
    assert chain.join_cost == 10.0


def test_breaks_belong_to_the_supplier_they_name() -> None:
    """A break that names the rival leaves the item's own price alone."""
    breaks = (PriceBreak(ANCHOR.name, 5, 700.0, Scheme.ALL_UNITS, OTHER.name),)
    farm = farm_with(suppliers=BOTH, offers=(RIVAL,), price_breaks=breaks)
    own, rival = farm.item_by_name[ANCHOR.name].offers
    assert len(own.prices.brackets) == 1
    assert [b.first for b in rival.prices.brackets] == [1, 5]


def test_the_price_of_one_offer_is_a_rate() -> None:
    """Half of the rival's price is half of its own, its breaks' too, and nobody else's."""
    breaks = (PriceBreak(ANCHOR.name, 5, 700.0, Scheme.ALL_UNITS, OTHER.name),)
    farm = farm_with(suppliers=BOTH, offers=(RIVAL,), price_breaks=breaks)
    half = Rate(RateKind.OFFER, ANCHOR.name, OTHER.name).scaled(farm, 0.5)
    own, rival = half.item_by_name[ANCHOR.name].offers
    assert own.goods(1) == ANCHOR.unit_price
    assert rival.goods(1) == pytest.approx(800.0 * 1.1 / 2)
    assert rival.goods(5) == pytest.approx(5 * 700.0 * 1.1 / 2)


@pytest.mark.parametrize(
    ("changes", "heading", "said"),
    [
        ({"offers": (RIVAL, replace(RIVAL))}, "Supplier", "offers 'hinged 300' twice"),
        ({"offers": (replace(RIVAL, supplier=SUPPLIER.name),)}, "Supplier", "twice"),
        ({"offers": (replace(RIVAL, item="no such"),)}, "Item", "'no such' is not in"),
        ({"offers": (replace(RIVAL, supplier="nobody"),)}, "Supplier", "'nobody' is not in"),
        (
            {
                "offers": (replace(RIVAL, valid_until=date(2027, 1, 1)),),
                "project": Project(order_date=date(2027, 1, 2)),
            },
            "Valid until",
            "2027-01-01 is before the order date, 2027-01-02",
        ),
        (
            {"offers": (RIVAL,), "price_breaks": (PriceBreak(ANCHOR.name, 5, 700.0),)},
            "Supplier",
            "has several offers: needs 'east works' or 'west works'",
        ),
        (
            {"price_breaks": (PriceBreak(ANCHOR.name, 5, 700.0, supplier=OTHER.name),)},
            "Supplier",
            "makes no offer of 'hinged 300'",
        ),
        (
            {"anchors": (replace(ANCHOR, supplier=None, unit_price=None),)},
            "Supplier",
            "has no row on Offers: nobody sells it",
        ),
        ({"anchors": (replace(ANCHOR, unit_price=None),)}, "Unit price", "is its supplier"),
        ({"chains": (replace(CHAIN, supplier=None),)}, "Supplier", "the price is filled"),
    ],
)
def test_faults_of_offers(changes: dict[str, Any], heading: str, said: str) -> None:
    """Each contradiction is one fault at its heading, and says what would do."""
    (fault,) = farm_faults(farm_with(**{"suppliers": BOTH, **changes}))
    assert fault.heading == heading
    assert said in fault.message


def test_an_item_may_have_no_offer_but_those_of_the_sheet() -> None:
    """Supplier and price blank, with a row on Offers: that is its only offer."""
    anchors = (replace(ANCHOR, supplier=None, unit_price=None),)
    farm = farm_with(suppliers=BOTH, anchors=anchors, offers=(RIVAL,))
    assert farm_faults(farm) == ()
    assert [offer.supplier for offer in farm.item_by_name[ANCHOR.name].offers] == [OTHER.name]


def test_a_supplier_column_may_be_missing_where_offers_has_rows(tmp_path: Path) -> None:
    """With rows on Offers a chain without supplier and price columns is read, its one offer the
    sheet's; without them the missing columns are named."""
    cells = {title: [list(row) for row in rows] for title, rows in TYPED.items()}
    heading = cells["Fittings"][0]
    at = [heading.index("Supplier"), heading.index("Unit price")]
    cells["Fittings"] = [
        [cell for number, cell in enumerate(row) if number not in at]
        for row in cells["Fittings"]
        if row[0] in ("Fitting", "shackle 32")
    ]
    farm = read_farm(save(cells, tmp_path / "offered.xlsx"))
    assert [o.supplier for o in farm.item_by_name["shackle 32"].offers] == ["Supplier B"]
    del cells["Offers"]
    with pytest.raises(FarmError) as refused:
        read_farm(save(cells, tmp_path / "not.xlsx"))
    assert "Fittings Supplier: the column 'Supplier' is missing" in str(refused.value)
