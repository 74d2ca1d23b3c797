"""Quotations asked for and taken: ours and other layouts, and faults by file and cell."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.quotes.quotation import Quotation
from moorledger.io.quotes.reader import read_quotation
from moorledger.io.quotes.request import request_workbook
from moorledger.io.quotes.taken import farm_with as taken_up
from moorledger.io.quotes.taken_book import taken_workbook
from moorledger.io.reading.workbook import read_farm
from moorledger.models.answer.quantity_asked import QuantityAsked
from moorledger.models.farm import Farm
from moorledger.models.fault import Severity
from moorledger.models.goods.price import PriceBreak
from moorledger.models.site.delivery_term import DeliveryTerm
from openpyxl import load_workbook

from tests.farms.small_farm import ANCHOR, CHAIN, ROPE, SHACKLE, SUPPLIER, farm_with
from tests.offers.layouts import LAYOUTS, Layout

SELLERS = tuple(replace(SUPPLIER, name=layout.supplier) for layout in LAYOUTS)
FARM = farm_with(suppliers=(SUPPLIER, *SELLERS))
ASKED = {
    name: QuantityAsked(name, 4, 9, (4, 9))
    for name in (ANCHOR.name, CHAIN.name, ROPE.name, SHACKLE.name)
}


def errors(quotation: Quotation) -> list[str]:
    """Return the errors of a quotation as they are told."""
    return [str(f) for f in quotation.faults if f.severity is Severity.ERROR]


@pytest.mark.parametrize("layout", LAYOUTS, ids=[layout.supplier for layout in LAYOUTS])
def test_ten_layouts_are_taken_by_map_or_proposal(layout: Layout, tmp_path: Path) -> None:
    """Every price, and what stands beside it, is taken in our units; a layout without a map is
    proposed for all its words, and the map that was proposed reads the file the same."""
    path = layout.write(tmp_path)
    farm = replace(FARM, layout_words=layout.map_rows())
    found = read_quotation(path, farm)
    assert errors(found) == []
    assert found.supplier == layout.supplier
    assert {line.item: line.unit_price for line in found.lines} == pytest.approx(layout.prices)
    lines = {line.item: line for line in found.lines}
    assert {key: getattr(lines[key[0]], key[1]) for key in layout.also} == layout.also
    assert bool(found.proposed) is not bool(layout.words)
    again = read_quotation(path, replace(FARM, layout_words=found.proposed or layout.map_rows()))
    assert again.lines == found.lines
    assert not again.proposed


def filled(tmp_path: Path, **cells: Any) -> Path:
    """Return our own request as a supplier fills it in: an anchor and a chain quoted.

    cells : further cells by address.
    """
    content = request_workbook(FARM, SUPPLIER, ASKED)
    assert content is not None
    path = tmp_path / "answer.xlsx"
    path.write_bytes(content)
    book = load_workbook(path)
    page = book["Quotation"]
    usual: dict[str, Any] = {"B6": "Q-9", "B8": date(2027, 1, 31), "G13": 850.0, "G14": 17.0}
    for address, value in {**usual, "L14": 5, "M14": 16.0, "K13": 14, **cells}.items():
        page[address] = value
    book.save(path)
    return path


def test_our_own_request_is_read_as_it_was_filled_in(tmp_path: Path) -> None:
    """Terms, prices, breaks and lead time; what has no price is said to be not quoted."""
    found = read_quotation(filled(tmp_path), FARM)
    assert errors(found) == []
    assert (found.supplier, found.reference) == (SUPPLIER.name, "Q-9")
    assert found.valid_until == date(2027, 1, 31)
    anchor, chain = found.lines
    assert (anchor.item, anchor.unit_price, anchor.lead_time_days) == (ANCHOR.name, 850.0, 14)
    assert (chain.item, chain.unit_price, chain.breaks) == (CHAIN.name, 17.0, ((5, 16.0),))
    assert set(found.not_quoted) == {ROPE.name, SHACKLE.name}


def test_a_request_tells_no_price_and_no_rival() -> None:
    """No cell of a request holds a price of the farm or another supplier's name."""
    content = request_workbook(FARM, SUPPLIER, ASKED)
    assert content is not None
    page = load_workbook(io.BytesIO(content))["Quotation"]
    values = [cell.value for row in page.iter_rows() for cell in row if cell.value is not None]
    text = " ".join(map(str, values))
    assert str(ANCHOR.unit_price) not in values
    assert not any(seller.name in text for seller in SELLERS)
    assert not {ANCHOR.unit_price, CHAIN.price_per_m, ROPE.price_per_m} & set(values)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"G13": "eight hundred"}, "answer.xlsx: Quotation!G13 Unit price: found 'eight hundred'"),
        ({"B7": "USD"}, "Currency: found 'USD', but Suppliers has"),
        ({"B5": "Nobody"}, "'Nobody' is not in Suppliers"),
        ({"B5": f"{SELLERS[0].name} Ltd"}, f"; did you mean '{SELLERS[0].name}'?"),
        ({"A14": "Chain 99"}, "answer.xlsx: Quotation!A14 Item: 'Chain 99' is no item of the farm"),
        ({"M14": None}, "Break 1 price: break 1 has no price"),
        ({"H13": 1.5}, "answer.xlsx: Quotation!H13 Minimum order: found 1.5"),
        ({"A15": None, "G15": 4.0}, "answer.xlsx: Quotation!G15 Item: a price without an item"),
        (
            {"A15": ANCHOR.name, "F15": "each", "G15": 4.0},
            f"'{ANCHOR.name}' is quoted twice (first in row 13)",
        ),
        ({"F14": "kg", "G14": 2.0}, "'kg' does not measure"),
        ({"B8": "soon"}, "answer.xlsx: Quotation!B8 Valid until: found 'soon'"),
    ],
)
def test_faults_are_told_by_file_and_cell(cells: dict[str, Any], said: str, tmp_path: Path) -> None:
    """Nothing of a quotation with a fault is taken, and the fault names file, sheet and cell."""
    found = read_quotation(filled(tmp_path, **cells), FARM)
    assert any(said in told for told in errors(found)), errors(found)
    assert found.lines == ()


def test_a_price_for_another_unit_is_asked_about(tmp_path: Path) -> None:
    """A chain quoted at the price of a length, not of a metre, is doubted by cell."""
    found = read_quotation(filled(tmp_path, G14=17.0 * CHAIN.length_sold_m), FARM)
    assert any(f.cell == "G14" and "another unit" in f.message for f in found.faults)


def test_a_price_in_a_smaller_currency_is_held_against_the_farms_in_it(tmp_path: Path) -> None:
    """Twelve times the farm's price is not far off where the seller's currency is worth a
    twelfth; the farm's own figure is."""
    cheap = replace(SELLERS[0], currency="NOK", exchange_rate=1 / 12)
    farm = replace(FARM, suppliers=(SUPPLIER, cheap, *SELLERS[1:]))
    price = ANCHOR.unit_price
    assert price is not None
    for factor, doubted in ((12.0, False), (1.0, True)):
        rows: list[list[Any]] = [["Item", "Unit price"], [ANCHOR.name, price * factor]]
        path = replace(LAYOUTS[0], rows=rows).write(tmp_path)
        told = [f.message for f in read_quotation(path, farm).faults if "far off" in f.message]
        assert bool(told) is doubted, told


def taken_from(tmp_path: Path, farm: Farm) -> Farm:
    """Return the farm with the usual answer taken, written as a workbook and read again."""
    found = [read_quotation(filled(tmp_path), farm)]
    anew, taken = taken_up(farm, found)
    path = tmp_path / "farm.xlsx"
    path.write_bytes(taken_workbook(anew, taken, found))
    return read_farm(path)


def test_what_is_taken_stands_on_offers_and_is_read_again(tmp_path: Path) -> None:
    """The quoted offer takes the place of the item's own, breaks and reference with it; the others
    stay; old prices stand beside."""
    breaks = (PriceBreak(CHAIN.name, 9, 15.0), PriceBreak(SHACKLE.name, 9, 20.0))
    farm = taken_from(tmp_path, replace(FARM, price_breaks=breaks))
    anchor, chain = (farm.item_by_name[name] for name in (ANCHOR.name, CHAIN.name))
    assert farm.anchors[0].supplier is None
    assert [(o.supplier, o.goods(1), o.quotation) for o in anchor.offers] == [
        (SUPPLIER.name, 850.0, "Q-9")
    ]
    assert [b.first for b in chain.offers[0].prices.brackets] == [1, 5]
    assert [b.first for b in farm.item_by_name[SHACKLE.name].offers[0].prices.brackets] == [1, 9]
    page = load_workbook(tmp_path / "farm.xlsx")["Quotations taken"]
    (row, *_) = [r for r in page.iter_rows(min_row=5, values_only=True) if r[0] == ANCHOR.name]
    assert row[4:6] == (ANCHOR.unit_price, 850.0)


def test_a_quotation_that_is_out_of_date_is_told_once_by_its_cell(tmp_path: Path) -> None:
    """Two lines at prices that end before the order goes out: one fault, of file and cell."""
    farm = replace(FARM, project=replace(FARM.project, order_date=date(2027, 2, 15)))
    assert errors(read_quotation(filled(tmp_path), farm)) == [
        "answer.xlsx: Quotation!B8 Valid until: 2027-01-31 is before the order date, 2027-02-15: "
        "ask for the quotation again"
    ]


def test_a_lead_time_that_is_not_quoted_stays(tmp_path: Path) -> None:
    """The chain takes 45 days, longer than its supplier's 10, and the answer leaves its lead time
    blank: it still takes 45; the anchor's, quoted, is the one quoted."""
    chain = replace(FARM.chains[0], lead_time_days=45)
    seller = replace(FARM.suppliers[0], lead_time_days=10)
    assert (chain.name, seller.name) == (CHAIN.name, SUPPLIER.name)
    before = replace(
        FARM, chains=(chain, *FARM.chains[1:]), suppliers=(seller, *FARM.suppliers[1:])
    )
    farm = taken_from(tmp_path, before)
    lead = {
        name: farm.item_by_name[name].offers[0].lead_time_days for name in (CHAIN.name, ANCHOR.name)
    }
    assert lead == {CHAIN.name: 45, ANCHOR.name: 14}


def test_a_second_supplier_becomes_a_rival(tmp_path: Path) -> None:
    """A quotation by another supplier stands beside the item's own offer, whose breaks then name
    whose they are; the map that was proposed is kept."""
    layout = LAYOUTS[0]
    breaks = (PriceBreak(ANCHOR.name, 9, 700.0),)
    farm = replace(FARM, price_breaks=breaks)
    anew, taken = taken_up(farm, [read_quotation(layout.write(tmp_path), farm)])
    sellers = [offer.supplier for offer in anew.item_by_name[ANCHOR.name].offers]
    assert sellers == [SUPPLIER.name, layout.supplier]
    assert {b.supplier for b in anew.price_breaks} == {SUPPLIER.name}
    assert {word.supplier for word in anew.layout_words} == {layout.supplier}
    assert [one.old_price for one in taken] == [None, None]


def test_terms_quoted_become_the_suppliers_own(tmp_path: Path) -> None:
    """Tests delivery and payment terms of an answer: they stand on Suppliers and on the purchase
    order, what they change is told once; those of Project, quoted alike, change nothing."""
    project = replace(FARM.project, delivery_term=DeliveryTerm.FCA, payment_terms="30 days net")
    farm = replace(FARM, project=project)
    alike = read_quotation(filled(tmp_path, B9="FCA", B10="30 days net"), farm)
    anew, taken = taken_up(farm, [alike])
    assert anew.suppliers == farm.suppliers
    assert not any("term" in change for one in taken for change in one.changes)
    other = read_quotation(filled(tmp_path, B9="DAP", B10="half with the order"), farm)
    anew, taken = taken_up(farm, [other])
    seller = next(s for s in anew.suppliers if s.name == SUPPLIER.name)
    assert (seller.delivery_term, seller.payment_terms) == (DeliveryTerm.DAP, "half with the order")
    told = [change for one in taken for change in one.changes if "term" in change]
    assert len(told) == 2
    assert told[0].startswith("delivery term FCA → DAP (mind: it pays the carriage")
    assert told[1] == "payment terms 30 days net → half with the order"
    path = tmp_path / "terms.xlsx"
    path.write_bytes(taken_workbook(anew, taken, [other]))
    assert read_farm(path).suppliers == anew.suppliers
