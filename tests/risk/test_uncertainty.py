"""The Uncertainty sheet: read from a workbook, its faults told by cell."""

from __future__ import annotations

from pathlib import Path

import pytest
from moorledger.io.reading.workbook import read_farm
from moorledger.models.fault import FarmError
from moorledger.models.site.uncertainty import Uncertain, Uncertainty

from tests.farms.typed_workbook import TYPED, save

HEADINGS = ["What", "Which", "P10 (%)", "P90 (%)"]


def test_rows_are_read_as_shares_of_the_figure_given(tmp_path: Path) -> None:
    """Plain numbers are percentages; names match whatever their case; blank is all of a kind."""
    rows = [
        HEADINGS,
        ["Freight rates", None, 85, 130],
        ["currency", "usd", 95, 106],
        ["day rate", None, 100, 120],
        ["day rate", "WORKBOAT", 90, 110],
        ["item", "plate 250", 97, 110],
    ]
    farm = read_farm(save({**TYPED, "Uncertainty": rows}, tmp_path / "typed.xlsx"))
    assert farm.uncertainties == (
        Uncertainty(Uncertain.FREIGHT, 0.85, 1.30),
        Uncertainty(Uncertain.CURRENCY, 0.95, 1.06, "USD"),
        Uncertainty(Uncertain.DAY_RATE, 1.0, 1.2),
        Uncertainty(Uncertain.DAY_RATE, 0.9, 1.1, "workboat"),
        Uncertainty(Uncertain.ITEM, 0.97, 1.1, "plate 250"),
    )
    assert [str(row) for row in farm.uncertainties] == [
        "freight rates",
        "currency USD",
        "day rate all vessels",
        "day rate workboat",
        "item plate 250",
    ]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (["service", "bux", 90, 110], "'bux' is not in Freight; did you mean 'box'?"),
        (["service", None, 90, 110], "blank: name what is in Freight"),
        (["freight rates", "box", 90, 110], "those of every service"),
        (["currency", "EUR", 90, 110], "the project's own currency"),
        (["item", "plate 250", 110, 90], "less than P10"),
    ],
)
def test_faults_are_told_by_cell(row: list[object], told: str, tmp_path: Path) -> None:
    """Unknown names, blanks and ranges upside down are named at their cell."""
    path = save({**TYPED, "Uncertainty": [HEADINGS, row]}, tmp_path / "typed.xlsx")
    with pytest.raises(FarmError) as caught:
        read_farm(path)
    faults = [str(fault) for fault in caught.value.faults]
    assert any(fault.startswith("Uncertainty!") and told in fault for fault in faults), faults


def test_a_figure_has_one_row(tmp_path: Path) -> None:
    """Two rows of one figure would draw it twice."""
    rows = [HEADINGS, ["freight rates", None, 85, 130], ["freight rates", None, 90, 120]]
    path = save({**TYPED, "Uncertainty": rows}, tmp_path / "typed.xlsx")
    with pytest.raises(FarmError, match="has a row already"):
        read_farm(path)
