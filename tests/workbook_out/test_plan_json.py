"""The plan as JSON."""

from __future__ import annotations

import json
import math

import pytest
from moorledger.io.plan_json import plan_json, plan_record

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
