"""Charts that stack: options side by side, and the steps from one to another.

They draw the cells of the tables themselves, so that they follow what is changed there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.chart import BarChart, Reference, Series
from openpyxl.chart._chart import ChartBase
from openpyxl.chart.legend import LegendEntry
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.worksheet.worksheet import Worksheet

from .chart import POINT, dress_titles

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


@dataclass(frozen=True)
class Bars:
    """One series: a column of cells on a sheet, its name, and its fill."""

    name: str
    column: int
    fill: Fill
    in_legend: bool = True


def stacked_bars(
    sheet: Worksheet,
    title: str,
    axis: str,
    names_column: int,
    rows: tuple[int, int],
    series: Sequence[Bars],
    *,
    from_zero: bool = True,
) -> ChartBase:
    """Return bars lying down, from the top in the order of the rows, each stacked of series."""
    chart: Any = BarChart()
    chart.style = 1
    chart.type = "bar"
    chart.grouping = "stacked"
    chart.overlap = 100
    chart.gapWidth = 45
    dress_titles(chart, title, "", axis)
    first, last = rows
    hidden = []
    for number, bars in enumerate(series):
        values = Reference(sheet, min_col=bars.column, min_row=first, max_row=last)
        one: Any = Series(values)
        one.tx = SeriesLabel(v=bars.name)
        one.graphicalProperties = _filled(bars.fill)
        one.invertIfNegative = False
        chart.series.append(one)
        if not bars.in_legend:
            hidden.append(number)
    chart.set_categories(Reference(sheet, min_col=names_column, min_row=first, max_row=last))
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.number_format = "General"
    chart.x_axis.tickLblSkip = 1  # every bar is named
    chart.y_axis.number_format = MONEY
    chart.y_axis.crosses = "max"  # at the foot: the axis of names runs downwards
    chart.y_axis.tickLblPos = "nextTo"
    if from_zero:
        chart.y_axis.scaling.min = 0
    chart.legend.position = "b"
    chart.legend.legendEntry = [LegendEntry(idx=number, delete=True) for number in hidden]
    finished: ChartBase = chart
    return finished


def _filled(fill: Fill) -> Any:
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
    look.line = LineProperties(solidFill="000000", w=POINT * 3 // 4)
    return look
