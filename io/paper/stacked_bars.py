"""Charts that stack: options side by side, and the steps from one to another.

They draw the cells of the tables themselves, so that they follow what is changed there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.chart import BarChart, Reference, Series
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.legend import LegendEntry
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties

from .chart import POINT, dress, letters
from .openpyxl_parts import Chart

MONEY = "#,##0"


@dataclass(frozen=True)
class Fill:
    """How a bar is filled: a shade, or a pattern of black on white; or nothing at all."""

    shade: str = ""
    pattern: Any = ""


SOLID = (
    Fill("262626"),
    Fill("", "wdUpDiag"),
    Fill("BFBFBF"),
    Fill("", "pct20"),
    Fill("FFFFFF"),
)
"""Told apart in black and white, in the order of the stack."""
NOTHING = Fill()
DEARER, CHEAPER, WHOLE = Fill("595959"), Fill("FFFFFF"), Fill("", "wdUpDiag")


FOUR_FILLS = (Fill("595959"), Fill("FFFFFF"), Fill("", "wdUpDiag"), Fill("C8C8C8"))
"""As `SOLID`, for a small chart."""


@dataclass(frozen=True)
class Bars:
    """One series: its cells, such as "'Costs'!$B$4:$B$9", its fill, and its name.

    The name is a text, or the address of the cell that holds it.
    """

    name: str
    cells: str
    fill: Fill
    in_legend: bool = True
    name_in_cell: bool = False


def stacked_bars(
    title: str,
    axis: str,
    names: str,
    series: Sequence[Bars],
    *,
    from_zero: bool = True,
    small: bool = False,
) -> Chart:
    """Return bars lying down, from the top in the order of the rows, each stacked of series.

    names : the cells that name the bars. from_zero : whether the scale begins at 0; else where the
    program likes. small : for a chart among other things on a page: small letters, heavy edges.
    """
    chart: Any = BarChart()
    chart.style = 1
    chart.type = "bar"
    chart.grouping = "stacked"
    chart.overlap = 100
    chart.gapWidth = 40 if small else 45
    dress(chart, title, "", axis)
    edge = POINT if small else POINT * 3 // 4
    hidden = []
    for number, bars in enumerate(series):
        one: Any = Series(Reference(range_string=bars.cells))
        named = {"strRef": StrRef(bars.name)} if bars.name_in_cell else {"v": bars.name}
        one.tx = SeriesLabel(**named)
        one.graphicalProperties = _filled(bars.fill, edge)
        one.invertIfNegative = False
        chart.series.append(one)
        if not bars.in_legend:
            hidden.append(number)
    chart.set_categories(Reference(range_string=names))
    chart.x_axis.scaling.orientation = "maxMin"
    chart.y_axis.number_format = MONEY
    chart.y_axis.crosses = "max"  # at the foot: the axis of names runs downwards
    if from_zero:
        chart.y_axis.scaling.min = 0
    chart.x_axis.tickLblSkip = 1  # every bar is named
    if not small:
        chart.x_axis.number_format = "General"
        chart.y_axis.tickLblPos = "nextTo"
    chart.legend.position = "b"
    if small:
        chart.legend.txPr = letters(800)
    chart.legend.legendEntry = [LegendEntry(idx=number, delete=True) for number in hidden]
    finished: Chart = chart
    return finished


def _filled(fill: Fill, edge: int) -> Any:
    if fill == NOTHING:
        bare: Any = GraphicalProperties(noFill=True)
        bare.line = LineProperties(noFill=True)
        return bare
    if fill.pattern:
        look: Any = GraphicalProperties()
        black: Any = "000000"
        white: Any = "FFFFFF"
        look.pattFill = PatternFillProperties(
            prst=fill.pattern, fgClr=ColorChoice(srgbClr=black), bgClr=ColorChoice(srgbClr=white)
        )
    else:
        look = GraphicalProperties(solidFill=fill.shade)
    look.line = LineProperties(solidFill="000000", w=edge)
    return look
