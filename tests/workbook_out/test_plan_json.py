"""The plan as JSON."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace

import pytest
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.plan_json import plan_json, plan_record
from moorledger.io.plan_page import plan_page
from moorledger.io.told.plan_text import plan_summary
from moorledger.models.fault import Fault, Severity
from openpyxl import load_workbook

from tests.farms.plan_fixture import INSTALLED_COST, example_plan


def test_the_parts_are_all_named_and_add_up_to_the_cost() -> None:
    """The twelve parts of the cost sum to the hand-worked installed cost."""
    record = plan_record(example_plan())
    assert set(record["parts"]) == {
        "anchors",
        "chain",
        "rope",
        "fittings",
        "order charges",
        "freight",
        "insurance",
        "duty",
        "mobilisation",
        "vessel days",
        "fuel",
        "joins",
    }
    assert math.fsum(record["parts"].values()) == pytest.approx(INSTALLED_COST, abs=1e-9)
    assert record["installed_cost"] == pytest.approx(INSTALLED_COST, abs=1e-9)


def test_the_record_survives_a_strict_json_reader() -> None:
    """The text is standard JSON and reads back as the record."""

    def refuse(word: str) -> float:
        raise AssertionError(f"{word} is no JSON")

    plan = example_plan(project_name='Réserve "ä" =1+1')
    assert json.loads(plan_json(plan), parse_constant=refuse) == plan_record(plan)


def test_the_rows_say_what_is_laid_bought_shipped_and_sailed() -> None:
    """Every list has the keys of the description and the hand-worked figures."""
    record = plan_record(example_plan())
    north = record["legs"][0]
    assert north == {
        "leg": "north",
        "anchor": "Plate 150",
        "anchors_per_leg": 1,
        "chain": "Chain 20",
        "chain_m": 20.0,
        "rope": "Rope 40",
        "rope_m": 60.0,
        "vessel": "Work boat",
        "count": 4,
        "uplift_deg": 0.0,
        "required_kn": 67.5,
        "available_kn": 72.0,
    }
    assert record["orders"][0] == {
        "item": "Plate 150",
        "supplier": "Plate works",
        "quotation": "",
        "quantity": 6,
        "money": 2124.0,
    }
    assert record["freight"][1] == {
        "origin": "West yard",
        "service": "Road parcel",
        "containers": 0,
        "revenue_tonnes": 1.79,
        "m3": 3.4,
        "t": 1.79,
        "money": 120.0,
        "packs": [
            {"item": "Chain 20", "supplier": "Chain store", "packs": 3},
            {"item": "Rope 40", "supplier": "Chain store", "packs": 2},
            {"item": "Shackle 20", "supplier": "Chain store", "packs": 10},
        ],
    }
    assert record["campaigns"] == [
        {"vessel": "Work boat", "trips": 1, "hours": 12.5, "days": 2, "money": 4950.0}
    ]


def test_the_proof_is_there_and_an_unknown_bound_is_null() -> None:
    """A gap of 6.64 in 11626.64 is proven at 0.1 %; a bound of minus infinity is null."""
    record = plan_record(example_plan())
    assert (record["proven"], record["bound"], record["currency"]) == (True, 11620.0, "EUR")
    assert record["gap"] == pytest.approx(6.64 / 11626.64)
    unknown = plan_record(example_plan(bound=-math.inf))
    assert (unknown["proven"], unknown["bound"], unknown["gap"]) == (False, None, None)
    assert "Infinity" not in plan_json(example_plan(bound=-math.inf))


def test_doubts_of_the_workbook_go_with_the_plan_everywhere() -> None:
    """What was doubted when the farm was read stands in JSON, on the page and on the terminal."""
    plan = example_plan()
    assert plan_record(plan)["doubts"] == []
    doubts = tuple(
        Fault("Legs", row, f"D{row}", "Design tension", f"doubt {row}", Severity.WARNING)
        for row in range(2, 14)
    )
    doubted = replace(plan, farm=replace(plan.farm, doubts=doubts))
    first = {"sheet": "Legs", "cell": "D2", "heading": "Design tension", "message": "doubt 2"}
    assert plan_record(doubted)["doubts"][0] == first
    assert len(plan_record(doubted)["doubts"]) == 12
    rest = "and 4 more, at Legs!D10, Legs!D11, Legs!D12, Legs!D13: see moorledger check"
    for text in (plan_summary(doubted), plan_page(doubted)):
        assert "Doubted in the workbook" in text
        assert "Legs!D9 Design tension: doubt 9" in text
        assert rest in text
    assert "Doubted" not in plan_summary(plan) + plan_page(plan)
    summary = load_workbook(io.BytesIO(plan_workbook(doubted)))["Summary"]
    told = [cell.value for row in summary.iter_rows() for cell in row if cell.value]
    assert rest in told
    assert "Doubted in the workbook" in told
