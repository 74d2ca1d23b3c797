"""Names that are formulas, break sheet names, collide, or are of any script: from file to file."""

from __future__ import annotations

import io
import json
import unicodedata
from dataclasses import replace
from pathlib import Path

from moorledger.io.evidence.evidence_book import holding_workbook
from moorledger.io.inputs.template import write_template
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.plan_json import plan_json
from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm import Farm
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.optimiser.price import price
from openpyxl import Workbook, load_workbook

from tests.farms.small_farm import (
    ANCHOR,
    CHAIN,
    LEG,
    ROPE,
    SEABED,
    SERVICE,
    SHACKLE,
    SUPPLIER,
    farm_with,
)
from tests.quick_run import LONG, mostly_long

HOSTILE = [
    "=cmd|' /C calc'!A0", "+1+1", "-2-2", "@SUM(A1:A9)", '=HYPERLINK("http://x","y")', "[]:*?/\\",
    "x" * 300, "'quoted'", "History", "מעגן שלום", "⚓🦪 anchor", "\u202eevil\u202c", "{=1}",
    "a\u0301", "%s %d {0}", "<b>&amp;</b>", "CON", "_x0041_", "1", "TRUE", "#REF!", "0x1F",
]  # fmt: skip
"""As names of an anchor, a supplier and a project; common practice, no source."""


def named(anchor: str, suppliers: tuple[str, str], project: str) -> Farm:
    """Return a farm of one leg that buys from two suppliers, with these names."""
    farm = farm_with(declared_holdings=(DeclaredHolding(anchor, SEABED.name, 100.0, anchor),))
    return replace(
        farm,
        project=replace(farm.project, name=project),
        anchors=(replace(ANCHOR, name=anchor, supplier=suppliers[0]),),
        chains=(replace(CHAIN, supplier=suppliers[1]),),
        ropes=(replace(ROPE, supplier=suppliers[1]),),
        fittings=(replace(SHACKLE, supplier=suppliers[1]),),
        suppliers=tuple(replace(SUPPLIER, name=name) for name in suppliers),
        services=(SERVICE,),
        legs=(replace(LEG, name=anchor, design_tension_kn=20.0),),
    )


def texts(book: Workbook) -> list[str]:
    """Return every text of a workbook that is no formula."""
    return [
        cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.data_type == "s"
    ]


@mostly_long("name", HOSTILE, quick=HOSTILE[6:7])
def test_odd_names_go_from_file_to_file_as_text(name: str, tmp_path: Path) -> None:
    """Read back as they were written, accents composed (NFC, Unicode Standard Annex 15); in the
    order, the evidence and the JSON they are text."""
    farm = named(name, (name, "plain"), name)
    write_template(tmp_path / "farm.xlsx", farm)
    again = read_farm(tmp_path / "farm.xlsx")
    shown = unicodedata.normalize("NFC", " ".join(name.split()))
    assert again.anchors[0].name == again.suppliers[0].name == shown
    plan = price(again)
    order = load_workbook(io.BytesIO(plan_workbook(plan)))
    evidence = load_workbook(io.BytesIO(holding_workbook(again)))
    for book in (order, evidence):
        assert any(shown in text for text in texts(book))
        for sheet in book.worksheets:
            assert len(sheet.title) <= 31
            assert not set(sheet.title) & set("[]:*?/\\")
            for row in sheet.iter_rows():
                for cell in row:
                    # A live formula of ours names sheets and functions, never an input's text.
                    assert cell.data_type != "f" or not str(cell.value).startswith(
                        ("=cmd", "=HYPERLINK", "=+", "=-2-2", "=@")
                    )
    assert json.loads(plan_json(plan))["legs"][0]["anchor"] == shown


@LONG
@mostly_long(
    "pair",
    [("A/B", "A:B"), ("x" * 40 + "1", "x" * 40 + "2"), ("Ab?", "aB*"), ("'A'", "A")],
    quick=[("Ab?", "aB*")],
)
def test_names_that_collide_on_sheets_keep_apart(pair: tuple[str, str]) -> None:
    """Two suppliers whose names come to the same sheet name have two sheets."""
    plan = price(named("plate", pair, "farm"))
    titles = load_workbook(io.BytesIO(plan_workbook(plan))).sheetnames
    assert len({title.casefold() for title in titles}) == len(titles)
    assert len(plan.orders) >= 2
    book = load_workbook(io.BytesIO(plan_workbook(plan)))
    for supplier in pair:
        assert any(supplier in text for text in texts(book))
