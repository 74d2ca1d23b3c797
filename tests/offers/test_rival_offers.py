"""Offers side by side, beside a finished order: sheet, terminal and page, worked by hand."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.plan_page import plan_page
from moorledger.io.told.plan_text import plan_summary
from moorledger.models.after.kept_goods import with_named_breaks
from moorledger.models.answer.plan import Plan
from moorledger.models.asked.rival_offers import rival_offers
from moorledger.models.goods.supplier import ORDERED_BEFORE, Offer, Supplier
from openpyxl import load_workbook

from tests.farms.plan_fixture import example_plan
from tests.quick_run import LONG

SHEET = "Offers side by side"


def _with_rivals() -> Plan:
    """Return the example with a rival for its anchor and one for its chain."""
    plan = example_plan()
    offers = (
        Offer("Plate 150", "Chain store", 360.0, minimum_order=8, duty_share=0.0, quotation="Q 5"),
        Offer("Chain 20", "Plate works", 14.0, available=2, duty_share=0.05),
    )
    return replace(plan, farm=replace(with_named_breaks(plan.farm), offers=offers))


def test_rivals_landed_by_hand() -> None:
    """Tests price, duty and insurance of each, and the difference from what is paid.

    Six plates cost 2360 USD × 0.9 ÷ 6 = 354 EUR, with 5 % duty and 1 % insurance 375.24; the
    store's 360 EUR come to 363.60, 11.64 less, 69.84 on six, but eight must be ordered. Chain costs
    12 EUR, 12.12 insured; of the plate works 14 × 0.9 × 1.06 = 13.356, 1.236 more, on 150 m 185.40.
    """
    works, store, own, rival = rival_offers(_with_rivals())
    assert (works.supplier, works.bought, works.quantity, works.mind) == ("Plate works", 6, 6, "")
    assert works.landed == pytest.approx(375.24)
    assert works.than_paid == pytest.approx(0.0)
    assert (store.bought, store.quantity, store.quotation) == (0, 8, "Q 5")
    assert store.landed == pytest.approx(363.60)
    assert store.money == pytest.approx(-69.84)
    assert store.mind == "8 is the least that covers it"
    assert own.landed == pytest.approx(12.12)
    assert (rival.item, rival.quantity, rival.mind) == ("Chain 20", 2, "only 2 to be had")
    assert rival.price == pytest.approx(14.0)
    assert rival.landed == pytest.approx(13.356)
    assert rival.money == pytest.approx(185.40)


@LONG
def test_rivals_stand_on_sheet_terminal_and_page() -> None:
    """Tests that all three hold them and name the command that works out targets, that an order
    without rivals has no such sheet, and that goods kept of earlier orders are no rival."""
    plan = _with_rivals()
    sheet = load_workbook(io.BytesIO(plan_workbook(plan)), data_only=True)[SHEET]
    rows = [row[:10] for row in sheet.iter_rows(values_only=True) if row[1] == "Chain store"]
    assert rows[0][:2] == ("Plate 150", "Chain store")
    assert rows[0][9] == pytest.approx(-69.84)
    assert "moorledger offers" in str([cell for row in sheet.values for cell in row])
    assert "Plate 150: Plate works 375.24 (6 bought), Chain store 363.60 (8 is" in plan_summary(
        plan
    )
    assert f"<h2>{SHEET}</h2>" in plan_page(plan)
    alone = example_plan()
    assert SHEET not in plan_summary(alone) + plan_page(alone)
    kept = Supplier("Plate works (ordered before)", ORDERED_BEFORE, "USD", 0.9)
    farm = replace(
        alone.farm,
        suppliers=(*alone.farm.suppliers, kept),
        offers=(Offer("Plate 150", kept.name, 100.0, available=6),),
    )
    assert rival_offers(replace(alone, farm=farm)) == ()
