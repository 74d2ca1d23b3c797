"""Papers of the sample: what is on each, what is not, and that all of them agree."""

from __future__ import annotations

import io
import re
import zipfile
from collections import Counter
from dataclasses import replace
from datetime import date

import openpyxl
import pytest
from moorledger.io.buying.purchase_order import DATE_CELL, NUMBER_CELL, sent_by, title_of
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.papers.readers import file_name, papers_of, zip_of
from moorledger.io.told.plan_text import decision, plan_summary
from moorledger.io.words.orders import order_numbers
from moorledger.models.after.changes import after_plan
from moorledger.models.after.ordered import farm_after
from moorledger.models.answer.change import SentOrder
from moorledger.models.answer.plan import Plan
from moorledger.models.goods.supplier import Offer
from moorledger.models.risk.cost_spread import spread_of
from moorledger.models.site.delivery_term import DeliveryTerm

from tests.farms.plan_fixture import INSTALLED_COST, PARTS, example_plan
from tests.papers.written_papers import (
    cell_beside,
    laid_tags,
    numbers_of,
    rows_under,
    sheets,
    text_of,
    yard_of,
)
from tests.quick_run import LONG

Papers = dict[str, bytes]


@pytest.fixture(scope="module")
def papers(sample_plan: Plan) -> Papers:
    """The sample's papers."""
    return papers_of(sample_plan)


@pytest.fixture(scope="module")
def inputs(sample_plan: Plan) -> dict[str, list[dict[str, object]]]:
    """The sample's suppliers, freight and legs, a row a record, as the CSV files say."""
    farm = sample_plan.farm
    return {
        "suppliers": [{"name": s.name, "rate": s.exchange_rate} for s in farm.suppliers],
        "services": [{"name": s.name, "rate": s.exchange_rate} for s in farm.services],
    }


def of_kind(papers: Papers, kind: str) -> Papers:
    """Return the papers of one kind by the name of their reader."""
    return {
        name.removeprefix(f"{kind} ").removesuffix(".xlsx"): content
        for name, content in papers.items()
        if name.startswith(kind)
    }


@LONG
def test_every_reader_has_a_paper(papers: Papers, sample_plan: Plan) -> None:
    """Manager, each supplier ordered from, each forwarder, yard, each vessel, engineer."""
    sellers = {line.supplier for line in sample_plan.orders}
    assert set(of_kind(papers, "purchase order")) == sellers
    carriers = {sample_plan.farm.service_by_name[b.service].forwarder for b in sample_plan.bookings}
    assert set(of_kind(papers, "booking")) == carriers
    assert set(of_kind(papers, "laying")) == {c.vessel for c in sample_plan.campaigns}
    assert {"summary.xlsx", "yard.xlsx", "engineer.xlsx"} <= set(papers)


@LONG
def test_the_money_of_the_papers_is_the_installed_cost(
    papers: Papers, inputs: dict[str, list[dict[str, object]]]
) -> None:
    """Purchase orders, bookings and laying plans, with insurance and duty, which are the buyer's
    alone, add up to the Summary; rates are those of the farm's sheets."""
    rates = {str(row["name"]): float(str(row["rate"])) for row in inputs["suppliers"]}
    summary = sheets(papers["summary.xlsx"])["Summary"]
    total = float(str(cell_beside(summary, "Installed cost")))
    money = 0.0
    for supplier, content in of_kind(papers, "purchase order").items():
        (sheet,) = sheets(content).values()
        label = next(
            str(cell.value)
            for row in sheet.iter_rows()
            for cell in row
            if str(cell.value).startswith("To pay, ")
        )
        money += float(str(cell_beside(sheet, label))) * rates[supplier]
    services = {str(row["name"]): float(str(row["rate"])) for row in inputs["services"]}
    for forwarder, content in of_kind(papers, "booking").items():
        sheet = sheets(content)[f"Booking {forwarder}"[:31]]
        for row in rows_under(sheet, "Service", "Charge as quoted"):
            money += float(str(row["Charge as quoted"])) * services[str(row["Service"])]
    for content in of_kind(papers, "laying").values():
        (sheet,) = sheets(content).values()
        money += float(str(cell_beside(sheet, "Charge, EUR")))
    for part in ("Insurance", "Duty"):
        money += float(str(cell_beside(summary, part)))
    assert money == pytest.approx(total, abs=0.01)


@LONG
def test_packs_ordered_are_packs_booked(papers: Papers) -> None:
    """Item by item, the packs, units and mass of the purchase orders are those of the bookings."""
    ordered: Counter[str] = Counter()
    mass: Counter[str] = Counter()
    units: Counter[str] = Counter()
    for content in of_kind(papers, "purchase order").values():
        (sheet,) = sheets(content).values()
        for row in rows_under(sheet, "Item", "Packs", "Quantity"):
            item = str(row["Item"])
            if row["Kind"] != "connector":
                units[item] += int(str(row["Quantity"]))
            ordered[item] += int(float(str(row["Packs"] or 0)))
            mass[item] += round(float(str(row["Gross mass (kg)"] or 0)), 3)
    booked: Counter[str] = Counter()
    booked_mass: Counter[str] = Counter()
    inside: Counter[str] = Counter()
    for forwarder, content in of_kind(papers, "booking").items():
        sheet = sheets(content)[f"Booking {forwarder}"[:31]]
        for row in rows_under(sheet, "Pack numbers", "Packs"):
            packs = int(str(row["Packs"]))
            booked[str(row["Item"])] += packs
            inside[str(row["Item"])] += packs * int(str(row["In each"]))
            booked_mass[str(row["Item"])] += float(str(row["All (kg)"]))
    assert +ordered == booked
    assert units == inside
    for item, kg in booked_mass.items():
        assert mass[item] == pytest.approx(kg, abs=0.01), item
    assert booked.total() < 600  # boxes and crates, not a thousand loose shackles


@LONG
def test_pieces_of_the_yard_are_what_the_lines_need(papers: Papers) -> None:
    """Every piece cut belongs to one line's kit, and comes to its chain and its rope."""
    yard = yard_of(papers["yard.xlsx"])
    used: Counter[str] = Counter()
    for tag, kit in yard.kits.items():
        chain = str(kit["Pieces of chain"]).split()
        rope = [mark for mark in [kit["Piece of rope"]] if mark]
        used.update([*chain, *map(str, rope)])
        assert sum(yard.pieces[mark] for mark in chain) == pytest.approx(kit["Chain (m)"]), tag
        if rope:
            assert yard.pieces[str(rope[0])] == pytest.approx(kit["Rope, cut (m)"]), tag
        assert (kit["Joins"] or 0) == len(chain) - 1
    assert set(used) == set(yard.pieces)
    assert set(used.values()) == {1}


@LONG
def test_every_line_is_laid_once_and_has_one_tag_everywhere(
    papers: Papers, sample_plan: Plan
) -> None:
    """The tags of the laying plans, of the kits and of the engineer's lines are the farm's."""
    farm = [f"{leg.name}/{n}" for leg in sample_plan.farm.legs for n in range(1, leg.count + 1)]
    laid = [tag for content in of_kind(papers, "laying").values() for tag in laid_tags(content)]
    assert sorted(laid) == sorted(farm)
    assert sorted(yard_of(papers["yard.xlsx"]).kits) == sorted(farm)
    lines = sheets(papers["engineer.xlsx"])["Lines"]
    assert sorted(str(row["Line"]) for row in rows_under(lines, "Line", "Leg")) == sorted(farm)


@LONG
def test_trips_are_listed_with_loads_that_decks_take(papers: Papers, sample_plan: Plan) -> None:
    """No trip of a laying plan is over its deck, and the lines of its trips are all of them."""
    for vessel, content in of_kind(papers, "laying").items():
        (sheet,) = sheets(content).values()
        trips = list(rows_under(sheet, "Of deck load", "Of deck area"))
        assert trips
        for trip in trips:
            assert float(str(trip["Of deck load"])) <= 1 + 1e-9
            assert float(str(trip["Of deck area"])) <= 1 + 1e-9
        lines = sum(int(str(trip["Lines"])) for trip in trips)
        campaign = next(c for c in sample_plan.campaigns if c.vessel == vessel)
        assert lines == campaign.legs


@LONG
def test_no_purchase_order_shows_what_is_not_its_suppliers(
    papers: Papers, sample_plan: Plan
) -> None:
    """No rival, no rival's price, no exchange rate, no duty, no money of the project."""
    farm = sample_plan.farm
    for supplier, content in of_kind(papers, "purchase order").items():
        said, numbers = text_of(content), numbers_of(content)
        mine = next(s for s in farm.suppliers if s.name == supplier)
        for other in farm.suppliers:
            if other.name != supplier:
                assert other.name not in said, f"{supplier}: {other.name}"
            if other.exchange_rate != 1:
                assert other.exchange_rate not in numbers
        if mine.currency != farm.project.currency:
            assert farm.project.currency not in said
        for word in ("duty", "exchange", "insurance", "contingency"):
            assert word not in said.casefold(), f"{supplier}: {word}"
        bought = {line.item for line in sample_plan.orders if line.supplier == supplier}
        for item in farm.items:
            if item.name not in bought:
                assert not re.search(rf"\b{re.escape(item.name)}\b", said), item.name
        assert "Page &P of &N" in said.replace("&amp;", "&")
        assert len(openpyxl.load_workbook(io.BytesIO(content)).sheetnames) == 1


@LONG
def test_other_papers_show_no_price_that_is_not_their_readers(
    papers: Papers, sample_plan: Plan
) -> None:
    """No exchange rate anywhere but with the buyer; no supplier's price on a booking, and no
    supplier and no money in yard, engineer or laying plan but the vessel's own charge."""
    farm = sample_plan.farm
    rates = {s.exchange_rate for s in (*farm.suppliers, *farm.services)} - {1.0}
    prices = {b.price for item in farm.items for o in item.offers for b in o.prices.brackets}
    prices = {price for price in prices if price > 1000}
    for name, content in papers.items():
        if name.startswith(("summary", "purchase order")):
            continue
        said, numbers = text_of(content), numbers_of(content)
        assert not numbers & rates, name
        if not name.startswith("booking"):
            for supplier in farm.suppliers:
                assert supplier.name not in said, f"{name}: {supplier.name}"
            for service in farm.services:
                assert service.name not in said, f"{name}: {service.name}"
        if name.startswith(("yard", "engineer")):
            assert farm.project.currency not in said, name
        if name.startswith("booking"):
            assert not numbers & prices
            others = {s.forwarder for s in farm.services} - {
                name.removeprefix("booking ").removesuffix(".xlsx")
            }
            for other in others:
                assert other not in said
        if name.startswith("laying"):
            for campaign in sample_plan.campaigns:
                if campaign.vessel not in name:
                    assert campaign.vessel not in said


@LONG
def test_a_purchase_order_says_when_and_with_what_papers(papers: Papers) -> None:
    """Parties, number, term, place and payment terms, the last day to be ready, certificates.

    Far Quay by sea: 25 May 2026 less 54 days of transit is 1 April.
    """
    (sheet,) = sheets(of_kind(papers, "purchase order")["Alder Sample Anchors"]).values()
    assert cell_beside(sheet, "Order number") == "20260202-01"
    assert "4 Far Quay Road" in str(cell_beside(sheet, "Supplier"))
    assert str(cell_beside(sheet, "Delivery term")).startswith("FCA")
    assert cell_beside(sheet, "At the named place") == "Far Quay"
    assert str(cell_beside(sheet, "All ready by")).startswith("2026-04-01")
    assert "30 % with the order" in str(cell_beside(sheet, "Payment terms"))
    said = "\n".join(str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell)
    assert "EN 10204 type 3.1" in said
    assert "proof load" in said


@LONG
def test_papers_where_work_can_hurt_carry_the_cautions(papers: Papers) -> None:
    """Laying plans tell how to set and what can kill; yard and engineer defer as they must."""
    for name, content in papers.items():
        said = text_of(content)
        if name.startswith(("laying", "yard", "engineer", "summary")):
            assert "can kill" in said, name
        if name.startswith("laying"):
            for word in ("MO-124", "snaps back", "local codes", "engineer", "10,000 lb"):
                assert word in said, f"{name}: {word}"
        if name.startswith("engineer"):
            assert "licensed engineer" in said


@LONG
def test_the_setting_pull_is_a_share_of_the_tension_and_deadweights_have_none(
    papers: Papers, sample_plan: Plan
) -> None:
    """60 % of 16 kN is 9.6 kN, held for 3 minutes (MO-124); what holds by weight is not pulled."""
    pulls = {}
    for content in of_kind(papers, "laying").values():
        (sheet,) = sheets(content).values()
        for row in rows_under(sheet, "Line", "Bearing (deg)", "Signed"):
            pulls[str(row["Line"])] = (row["Setting pull (kN)"], row["Hold (min)"], row["Anchor"])
    assert pulls["MA-W2/1"][:2] == (pytest.approx(9.6), 3)
    heavy = [pull for pull, _, anchor in pulls.values() if "Deadweight" in str(anchor)]
    assert all(pull is None for pull in heavy)
    assert len(pulls) == sample_plan.farm.leg_count


def test_a_small_farms_papers_are_worked_by_hand() -> None:
    """Six lines: two orders of 2460 USD and 3265 EUR, two bookings under their services' names as
    no forwarder is stated, and a campaign of 4950 EUR; with insurance and duty the whole."""
    papers = papers_of(example_plan())
    (plates,) = sheets(papers["purchase order Plate works.xlsx"]).values()
    (store,) = sheets(papers["purchase order Chain store.xlsx"]).values()
    assert cell_beside(plates, "To pay, USD") == pytest.approx(2460.0)
    assert cell_beside(store, "To pay, EUR") == pytest.approx(1800 + 1320 + 80 + 15 + 50)
    assert {"booking Box 20.xlsx", "booking Road parcel.xlsx"} <= set(papers)
    (laying,) = sheets(papers["laying Work boat.xlsx"]).values()
    assert cell_beside(laying, "Charge, EUR") == pytest.approx(4950.0)
    known = 2460 * 0.9 + 3265 + 900 + 120 + 4950 + 63.44 + 114.20
    assert known == pytest.approx(INSTALLED_COST) == pytest.approx(sum(PARTS.values()))
    rows = list(rows_under(sheets(papers["yard.xlsx"])["Cutting list"], "Code", "How often"))
    assert [(row["Code"], row["How often"], row["Pieces, in order (m)"]) for row in rows] == [
        ("C1", 2, "20 + 20 + 10"),
        ("C1", 1, "20"),
        ("R1", 2, "60 + 60 + 60"),
    ]


def test_the_managers_page_keeps_its_contingency_when_calculated_anew() -> None:
    """The page has no sheet Risk to point at: what its formula holds is P80, not a typed share."""
    plan = example_plan()
    vessels = tuple(replace(vessel, workable_share=0.5) for vessel in plan.farm.vessels)
    given = plan.farm.project.given - {"contingency_share"}
    project = replace(plan.farm.project, given=given)
    plan = replace(plan, farm=replace(plan.farm, vessels=vessels, project=project))
    plan = replace(plan, spread=spread_of(plan))
    book = openpyxl.load_workbook(io.BytesIO(papers_of(plan)["summary.xlsx"]))
    formula = str(cell_beside(book["Summary"], "Contingency up to P80"))
    held = re.fullmatch(r"=MAX\(([\d.]+)-\$C\$20,0\)", formula)
    assert held is not None, formula
    assert book["Summary"]["C20"].value == "=SUM($C$8:$C$19)"  # the cost as priced
    assert plan.contingency > 0.0
    assert float(held[1]) == pytest.approx(plan.installed_cost + plan.contingency)


def test_a_place_to_collect_is_named_once() -> None:
    """An address that names the origin is not followed by it; another is."""
    plan = example_plan()
    seller = next(s for s in plan.farm.suppliers if s.name == "Plate works")
    for address in (f"2 Dock St, {seller.origin}", "2 Dock St"):
        sellers = tuple(
            replace(s, address=address, contact="") if s is seller else s
            for s in plan.farm.suppliers
        )
        papers = papers_of(replace(plan, farm=replace(plan.farm, suppliers=sellers)))
        text = text_of(papers["booking Box 20.xlsx"])
        assert f"2 Dock St, {seller.origin}" in text
        assert f"{seller.origin}, {seller.origin}" not in text


def test_a_plan_that_buys_nothing_says_so() -> None:
    """Where all is there already a manager approves no order from 0 suppliers in 0 bookings."""
    plan = example_plan()
    assert "bought from 2 suppliers, shipped in 2 bookings" in decision(plan)
    plan = replace(plan, orders=(), bookings=(), order_charges={}, cuts=())
    assert "; nothing bought, nothing shipped, installed with" in decision(plan)
    assert "\n\n\n" not in plan_summary(plan)


def test_a_purchase_order_names_the_quotations_it_buys_by() -> None:
    """Two items by one quotation, one by another without a last day: named once each, on the order
    of their supplier alone; a rival's quotation and price for the chain are on no paper at all."""
    plan = example_plan()
    until = date(2031, 4, 30)
    quoted = (
        Offer("Chain 20", "Chain store", 15.0, quotation="Q-17", valid_until=until),
        Offer("Rope 40", "Chain store", 5.5, quotation="R 4/31"),
        Offer("Shackle 20", "Chain store", 8.0, quotation="Q-17", valid_until=until),
        Offer("Chain 20", "Plate works", 98.77, quotation="not bought"),
    )
    priced = {"unit_price": None, "price_per_m": None, "supplier": ""}
    goods = {
        name: tuple(
            replace(one, **{f: v for f, v in priced.items() if hasattr(one, f)})
            for one in getattr(plan.farm, name)
        )
        for name in ("chains", "ropes", "fittings")
    }
    plan = replace(plan, farm=replace(plan.farm, offers=quoted, **goods))
    papers = papers_of(plan)
    (store,) = sheets(papers["purchase order Chain store.xlsx"]).values()
    assert cell_beside(store, "Your quotation") == "Q-17, valid until 2031-04-30; R 4/31"
    assert "Q-17" not in text_of(papers["purchase order Plate works.xlsx"])
    assert "Plate works" not in text_of(papers["purchase order Chain store.xlsx"])
    per_length = plan.farm.item_by_name["Chain 20"].length_sold_m
    assert per_length
    for content in papers.values():
        assert "not bought" not in text_of(content)
        assert not numbers_of(content) & {98.77, 98.77 * per_length}


@LONG
def test_a_zip_holds_every_paper(papers: Papers) -> None:
    """The zip's files are the papers, byte for byte."""
    with zipfile.ZipFile(io.BytesIO(zip_of(papers))) as package:
        assert {name: package.read(name) for name in package.namelist()} == papers


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("purchase order O'Plate / sons: a*b?", "purchase order O'Plate sons a b"),
        ("...", "paper"),
        ("laying CON\x07", "laying CON"),
    ],
)
def test_names_of_files_are_lawful(name: str, file: str) -> None:
    """What no file system takes is left away (Windows' rules, from memory)."""
    assert file_name(name) == file


def test_two_suppliers_whose_names_make_one_file_have_two_papers() -> None:
    """A slash and a colon are both left away: the second paper is numbered, none is lost."""
    plan = example_plan(plate_supplier="Chain: store")
    names = [name for name in papers_of(plan) if name.startswith("purchase order")]
    assert sorted(names) == ["purchase order Chain store 2.xlsx", "purchase order Chain store.xlsx"]


def test_an_order_after_another_says_what_it_is_in_addition_to() -> None:
    """Tests that a second order to a supplier names the first as a hand numbered it, has a number
    of its own, and that a supplier that was sent none is told of none."""
    first = example_plan()
    plates = title_of("Plate works")
    sent = sent_by(first, {plates: {NUMBER_CELL: "PO-77", DATE_CELL: date(2026, 3, 2)}})
    numbers = order_numbers(first)
    assert SentOrder("Plate works", "PO-77", date(2026, 3, 2), ("Plate 150",)) in sent
    bought = ("Chain 20", "Rope 40", "Shackle 20")
    assert SentOrder("Chain store", numbers["Chain store"], date(2031, 3, 1), bought) in sent
    second = replace(first, sent=(*sent, SentOrder("Plate works", "PO-80", None)))
    assert not set(order_numbers(second).values()) & {order.number for order in sent}
    papers = papers_of(second)
    told = text_of(papers["purchase order Plate works.xlsx"])
    assert "In addition to order PO-77 of 2026-03-02 and PO-80, which stands" in told
    store = text_of(papers["purchase order Chain store.xlsx"])
    assert f"In addition to order {numbers['Chain store']} of 2031-03-01, which stands" in store
    assert "In addition" not in text_of(papers_of(first)["purchase order Plate works.xlsx"])


@LONG
def test_connectors_of_orders_before_are_not_asked_for_again() -> None:
    """Tests by hand: the example's one join, in line 3 of north, was ordered with it; an order
    after it neither asks for one nor pays for one, and its sheets say that it is there."""
    first = example_plan()
    chain = "Chain 20"
    assert first.joins == {chain: 1}
    paper = "purchase order Chain store.xlsx"
    assert "Connector for" in text_of(papers_of(first)[paper])
    again = after_plan(replace(first, farm=farm_after(first.farm, first)), first, "order.xlsx")
    assert again.connectors_bought == {}
    assert "Connector for" not in text_of(papers_of(again)[paper])
    told = "1 join of Chain 20: 1 connector on hand, 0 bought"
    assert told in text_of(plan_workbook(again))
    joins_alone = replace(again, orders=())
    assert paper not in papers_of(joins_alone)
    assert "Chain store" not in {sent.supplier for sent in sent_by(joins_alone, {})}


def test_a_suppliers_own_delivery_term_stands_on_its_order() -> None:
    """Tests that a supplier's term comes before the project's, on its own order only, with the
    place that it names."""
    plan = example_plan()
    own = tuple(
        replace(s, delivery_term=DeliveryTerm.DAP) if s.name == "Chain store" else s
        for s in plan.farm.suppliers
    )
    project = replace(plan.farm.project, delivery_term=DeliveryTerm.FCA, delivery_place="The quay")
    farm = replace(plan.farm, suppliers=own, project=project)
    papers = papers_of(replace(plan, farm=farm))
    for supplier, term, place in (
        ("Chain store", "DAP Delivered at Place", "The quay"),
        ("Plate works", "FCA Free Carrier", "East port"),
    ):
        (sheet,) = sheets(papers[f"purchase order {supplier}.xlsx"]).values()
        assert cell_beside(sheet, "Delivery term") == term
        assert cell_beside(sheet, "At the named place") == place
