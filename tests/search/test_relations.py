"""What must happen to the least cost when a farm is changed: on a hundred random farms.

Renaming, reordering, splitting, other units or currency and a worse offer change nothing; doubled
prices double it; an eased limit never makes it dearer, a tighter one never cheaper. Each farm is
put to some of the relations, in turn; `python -m tests.search.relations` puts all to all.
"""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.inputs.template import write_template
from moorledger.io.layout.sheets import INSTRUCTIONS
from moorledger.io.reading.workbook import farm_of, read_farm
from moorledger.models.farm import Farm
from openpyxl import load_workbook

from tests.farms.sample_cells import Grid, sample, tables_of
from tests.quick_run import mostly_long
from tests.search.relations import held, least_cost, relations, tiny_farm

FARMS = 100
EACH = 1
"""Relations that each farm is put to here; a long run by hand puts it to all of them."""


@mostly_long("first", range(0, FARMS, 10), quick=[40])
def test_relations_hold(first: int) -> None:
    """Ten farms, each with its least cost and that of three changed copies."""
    priced = 0
    for seed in range(first, first + 10):
        farm = tiny_farm(seed)
        before = least_cost(farm)
        every = relations(farm, seed)
        for turn in range(EACH):
            relation = every[(seed * EACH + turn) % len(every)]
            after = least_cost(relation.farm)
            assert held(relation, before, after), (seed, relation.name, before, after)
        priced += before is not None
    assert priced >= 5


def test_relations_can_fail() -> None:
    """The comparison itself: a cost that moved, moved the wrong way, or vanished is seen."""
    same, *_ = relations(tiny_farm(0), 0)
    eased = next(r for r in relations(tiny_farm(0), 0) if r.sense == "never dearer")
    tight = next(r for r in relations(tiny_farm(0), 0) if r.sense == "never cheaper")
    assert not held(same, 100.0, 100.01)
    assert not held(same, 100.0, None)
    assert not held(eased, 100.0, 101.0)
    assert not held(eased, 100.0, None)
    assert held(eased, None, 100.0)
    assert not held(tight, 100.0, 99.0)
    assert not held(tight, None, 100.0)
    assert held(tight, 100.0, None)


FOOT, POUND, KGF_KN = 0.3048, 0.45359237, 0.00980665
"""Exact by definition: yard and pound agreement, 1959; standard gravity, CGPM 1901."""

OTHER_UNITS = {
    "(m)": ("(ft)", FOOT),
    "(kg)": ("(lb)", POUND),
    "(kN)": ("(kgf)", KGF_KN),
    "(mm)": ("(in)", 25.4),
    "(kg/m)": ("(lb/ft)", POUND / FOOT),
    "(m³)": ("(ft³)", FOOT**3),
    "(min)": ("(h)", 60.0),
    "(t)": ("(kg)", 0.001),
}


def in_other_units(grid: Grid) -> Grid:
    """Return cells with headings in other units and the numbers below them converted."""
    turned = copy.deepcopy(grid)
    for title, rows in turned.items():
        if title in ("Project", INSTRUCTIONS):
            continue
        for column, heading in enumerate(rows[0]):
            unit = re.search(r"\([^)]*\)$", str(heading))
            if unit is None or unit[0] not in OTHER_UNITS:
                continue
            other, factor = OTHER_UNITS[unit[0]]
            rows[0][column] = heading.replace(unit[0], other)
            for row in rows[1:]:
                if column < len(row) and isinstance(row[column], int | float):
                    row[column] = row[column] / factor
    return turned


def numbers(farm: Farm) -> list[Any]:
    """Return every number of a farm's records, in order."""
    kept = [farm.legs, farm.anchors, farm.chains, farm.ropes, farm.fittings, farm.readings]
    kept += [farm.declared_holdings, farm.holding_laws, farm.services, farm.vessels]
    kept += [farm.load_cases, farm.lease]
    return [
        value
        for records in kept
        for record in records
        for name, value in sorted(vars(record).items())
        if isinstance(value, float) and name != "source"
    ]


def test_sample_in_other_units_is_the_same_farm() -> None:
    """Feet, pounds, kilograms-force, inches and hours are read as what they are."""
    turned = in_other_units(sample())
    assert {"Depth (ft)", "Line-lost tension (kgf)"} <= set(turned["Legs"][0])
    assert numbers(farm_of(tables_of(turned))[0]) == pytest.approx(
        numbers(farm_of(tables_of(sample()))[0]), rel=1e-12
    )


@pytest.mark.parametrize("seed", [2, 9])
def test_other_units_cost_the_same(seed: int, tmp_path: Path) -> None:
    """A random farm through a workbook in other units has the same least cost."""
    farm = tiny_farm(seed)
    path = tmp_path / "farm.xlsx"
    write_template(path, farm)
    again = read_farm(path)
    assert least_cost(again) == pytest.approx(least_cost(farm), rel=1e-6)
    turned = in_other_units(grid_of(path))
    assert least_cost(farm_of(tables_of(turned))[0]) == pytest.approx(least_cost(farm), rel=1e-6)


def grid_of(path: Path) -> Grid:
    """Return a workbook's cells as they stand; percentages as their cells show them."""
    return {
        sheet.title: [
            [
                cell.value * 100
                if isinstance(cell.value, int | float) and "%" in cell.number_format
                else cell.value
                for cell in row
            ]
            for row in sheet.iter_rows()
        ]
        for sheet in load_workbook(path).worksheets
    }
