"""The invented farms of the benchmarks: the same every time, of the sizes stated, moorable."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm import Farm
from moorledger.models.farm_faults import farm_faults
from moorledger.models.fault import Severity
from moorledger.optimiser.price import moorable_choices

from benchmarks.farms import farm_of

NAMES = ("cove", "sound", "coast")


def size(farm: Farm) -> tuple[int, ...]:
    """Return groups, legs, anchors, chains, ropes, rope lengths tried, vessels and origins."""
    return (
        len(farm.legs),
        farm.leg_count,
        len(farm.anchors),
        len(farm.chains),
        len(farm.ropes),
        len(farm.project.rope_lengths_tried),
        len(farm.vessels),
        len({supplier.origin for supplier in farm.suppliers}),
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_same_farm_at_every_call(name: str) -> None:
    """Tests that nothing but the seed decides a farm."""
    assert farm_of(name) == farm_of(name)


@pytest.mark.parametrize(
    ("name", "stated"),
    [
        ("cove", (6, 40, 8, 3, 2, 4, 2, 2)),
        ("sound", (20, 128, 20, 5, 3, 4, 3, 3)),
        ("coast", (60, 1000, 40, 6, 4, 4, 3, 4)),
    ],
)
def test_sizes_are_those_stated(name: str, stated: tuple[int, ...]) -> None:
    """Tests the sizes against those that benchmarks/README.md states, three services an origin."""
    farm = farm_of(name)
    assert size(farm) == stated
    assert set(Counter(service.origin for service in farm.services).values()) == {3}
    assert farm.price_breaks


@pytest.mark.parametrize("name", NAMES)
def test_records_agree(name: str) -> None:
    """Tests that a farm has no error between its records."""
    assert [fault for fault in farm_faults(farm_of(name)) if fault.severity is Severity.ERROR] == []


@pytest.mark.parametrize(("name", "least", "most"), [("cove", 500, 5000), ("sound", 2e4, 3.5e4)])
def test_every_leg_can_be_moored(name: str, least: float, most: float) -> None:
    """Tests that every leg has a choice, and that there are about as many as stated."""
    farm = farm_of(name)
    choices = moorable_choices(farm)
    assert set(choices.make_ups.leg.tolist()) == set(range(len(farm.legs)))
    assert least <= len(choices) <= most


def test_a_workbook_gives_the_farm_back(tmp_path: Path) -> None:
    """Tests that cove, written as a workbook and read again, is the same farm."""
    farm = farm_of("cove")
    path = tmp_path / "cove.xlsx"
    write_template(path, farm)
    again = read_farm(path)
    assert again.origin_file == "cove.xlsx"
    project = replace(again.project, given=farm.project.given)
    assert replace(again, project=project, origin_file="") == farm
