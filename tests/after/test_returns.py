"""Goods of an earlier order that their supplier takes back at a share of their price."""

from __future__ import annotations

from dataclasses import replace

import pytest
from moorledger.io.buying.purchase_order import sent_by
from moorledger.io.buying.returns import write_returns
from moorledger.io.paper.book import PlanBook
from moorledger.io.papers.readers import papers_of
from moorledger.models.after.changes import after_plan
from moorledger.models.after.kept_goods import without_kept
from moorledger.models.after.ordered import farm_after, spent
from moorledger.models.answer.change import ChangeOf
from moorledger.models.answer.plan import OrderLine, Part, Plan
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.supplier import ORDERED_BEFORE, OnHand
from moorledger.optimiser.failures import NoPlanError
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.plan_fixture import example_plan
from tests.farms.random_farms import random_farm
from tests.papers.written_papers import cell_beside, rows_under, sheets, text_of
from tests.quick_run import mostly_long

CENT = 0.005


def _taking_back(farm: Farm, share: float) -> Farm:
    """Return a farm whose suppliers all take goods back at a share of their price."""
    own = tuple(row for row in farm.on_hand if not row.ordered_from)
    sellers = tuple(replace(s, returns_share=share) for s in without_kept(farm).suppliers)
    return replace(without_kept(farm), on_hand=own, suppliers=sellers)


def test_what_can_be_given_back_by_hand() -> None:
    """Tests the example's order, its plate works taking back 60 %.

    Six plates cost 4 × 400 + 2 × 380 = 2360 USD, 393.33 each; 60 % are 236 each, at 2 % insurance
    (1 + 0.02) 231.37 before it. At 0.9 EUR a USD all six pay 1274.40 EUR, by which the money spent
    is less. The chain store takes nothing back: its goods are on hand, free.
    """
    old = example_plan()
    insured = 1 + old.farm.project.insurance_share
    sellers = tuple(
        replace(s, returns_share=0.6) if s.name == "Plate works" else s for s in old.farm.suppliers
    )
    farm = farm_after(replace(old.farm, suppliers=sellers), old)
    (offer,) = (o for o in farm.offers if o.supplier == "Plate works (ordered before)")
    assert (offer.item, offer.available) == ("Plate 150", 6)
    assert offer.unit_price == pytest.approx(236.0 / insured)
    assert not any(row.item == "Plate 150" for row in farm.on_hand)
    assert OnHand("Shackle 20", 2.0) in farm.on_hand
    plain = spent(farm_after(old.farm, old), old)
    less = spent(farm, old)
    assert sum(plain.values()) - sum(less.values()) == pytest.approx(6 * 236.0 * 0.9)
    assert plain[Part.CHAIN] == less[Part.CHAIN]
    assert without_kept(farm).services == old.farm.services


def test_what_goes_back_is_on_a_paper_by_hand() -> None:
    """Tests that two of the example's six plates, given back at 60 % of 393.33 USD each, are
    credited 472 USD on a paper of their own, which names the order that they came by, and nothing
    of other suppliers or of the buyer's sums. A share that is 30 % by the next order is paid on the
    same price: 118 USD each."""
    old = example_plan()
    sellers = tuple(
        replace(s, returns_share=0.6) if s.name == "Plate works" else s for s in old.farm.suppliers
    )
    farm = farm_after(replace(old.farm, suppliers=sellers), old)
    seller = "Plate works (ordered before)"
    pay = farm.offer_by_key["Plate 150", seller].goods(4)
    kept = OrderLine("Plate 150", seller, 4, 4.0, 0.0, pay / 0.9, pay, 0.0)
    plan = replace(old, farm=farm, orders=(kept,), cuts=(), bookings=())
    new = after_plan(plan, old, "order.xlsx", sent_by(old, {}))
    book = PlanBook(new)
    write_returns(book)
    (sheet,) = sheets(book.content()).values()
    assert cell_beside(sheet, "Of your orders") == "20310301-01 of 2031-03-01"
    (line,) = rows_under(sheet, "Item", "Credit")
    assert (line["Item"], line["Of order"], line["Quantity"]) == ("Plate 150", "20310301-01", 2)
    assert line["Price paid"] == pytest.approx(2360 / 6)
    assert line["Credited"] == 0.6
    assert line["Credit"] == pytest.approx(472.0)
    told = text_of(book.content())
    assert not [name for name in ("Chain store", "Shackle", "EUR", "Box 20") if name in told]
    less = tuple(replace(s, returns_share=0.3) if s.returns_share else s for s in sellers)
    once_more = farm_after(replace(old.farm, suppliers=less), new)
    (offer,) = (o for o in once_more.offers if o.supplier == seller)
    assert offer.available == 4
    assert offer.unit_price == pytest.approx(118.0 / (1 + old.farm.project.insurance_share))


def _after(farm: Farm, old: Plan, gap: float) -> Plan:
    return after_plan(price(farm_after(farm, old), gap=gap, like=old), old, "order.xlsx")


@mostly_long("seed", [0, 2, 3, 4, 6, 8, 9, 10, 12, 14, 15, 16], quick=[3, 9])
def test_giving_back_is_least_by_brute_force(seed: int) -> None:
    """Tests, a leg group less, that what is kept and given back is the brute force's least, that
    the recheck agrees and the changes add up, and that what is given back is named."""
    try:
        old = price(random_farm(seed), gap=1e-6, time_limit_s=20.0)
    except (FarmError, NoPlanError):
        return  # the farm cannot be priced at all
    farm = _taking_back(old.farm, 0.5)
    farm = replace(farm, legs=farm.legs[:-1] or farm.legs)
    new = _after(farm, old, 1e-7)
    assert all(line.passed for line in recheck(new))
    told = sum(change.money for change in new.changes)
    assert told == pytest.approx(new.total_cost - old.total_cost, abs=CENT)
    needed = new.farm.project.required_on_site
    alone = replace(new.farm, on_hand=tuple(r for r in new.farm.on_hand if r.there_by(needed)))
    assert new.installed_cost == pytest.approx(least_cost(alone, every_make_up(alone)), rel=1e-6)
    there = {
        (o.item, o.supplier): o.available for o in new.farm.offers if _kept(new.farm, o.supplier)
    }
    kept = {(line.item, line.supplier): line.quantity for line in new.orders}
    named = {c.what for c in new.changes if c.of is ChangeOf.GOODS and "given back" in c.new}
    for (item, seller), number in there.items():
        if kept.get((item, seller), 0) < (number or 0):
            assert (
                f"{item} from {seller.removesuffix(' (ordered before)')}, ordered before" in named
            )


def _kept(farm: Farm, supplier: str) -> bool:
    return next(s.origin for s in farm.suppliers if s.name == supplier) == ORDERED_BEFORE


def test_orders_one_after_another_keep_their_accounts() -> None:
    """Tests that what was given back once is gone and what was kept can be given back later: the
    totals of three orders, one after another, differ by their changes, and nothing changed costs
    nothing."""
    first = price(random_farm(3), gap=1e-6)
    farm = _taking_back(first.farm, 0.5)
    second = _after(replace(farm, legs=farm.legs[:-1]), first, 1e-6)
    assert any("given back" in change.new for change in second.changes)
    assert any(name.startswith("return of goods ") for name in papers_of(second))
    third = _after(_taking_back(second.farm, 0.5), second, 1e-6)
    assert third.total_cost == pytest.approx(second.total_cost, abs=CENT)
    assert not [change for change in third.changes if change.money]
    fourth = _after(_taking_back(farm, 0.5), third, 1e-6)
    told = sum(change.money for change in fourth.changes)
    assert told == pytest.approx(fourth.total_cost - third.total_cost, abs=CENT)
    assert told > 0
