"""A chart: native to the workbook, and told apart in black and white by shape, dash and label."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from openpyxl.chart import BarChart, Reference, ScatterChart, Series
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.label import DataLabel, DataLabelList
from openpyxl.chart.legend import LegendEntry
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties
from openpyxl.worksheet.worksheet import Worksheet

from ..words.grammar import clean
from .openpyxl_parts import Chart
from .page import Page
from .style import FONTS, Look

POINT = 12_700
"""English Metric Units in a point (ECMA-376 Part 1, 20.1.2.1)."""

DASHES = ("solid", "dash", "sysDot", "dashDot", "lgDash", "sysDashDot")
MARKERS = ("circle", "triangle", "square", "diamond")
PLACE_MARKERS = (*MARKERS, "x", "plus", "star", "dash")
SHADES = ("000000", "404040", "707070")
"""Dash, marker and shade turn over at different counts: no two of the first 12 lines are alike."""

POINT_FORMAT, BAR_FORMAT = "General", "0.0"
"""Of the numbers drawn: labels and axes follow them."""


@dataclass(frozen=True)
class Mark:
    """How points are marked: a shape and its size in points."""

    shape: str
    size: int


@dataclass(frozen=True)
class Run:
    """One series of points; with a `mark` they stand alone, each labelled with its name."""

    name: str
    points: tuple[tuple[float, float], ...]
    mark: Mark | None = None
    upright: bool = False
    """A limit drawn as a thin dashed line with its name at the last point."""


@dataclass
class ChartData:
    """The sheet that holds what the charts draw: a row a point, a block a series."""

    sheet: Worksheet
    row: int = field(default=1)

    def line(self, *values: str | float | None, numbers: str = POINT_FORMAT) -> None:
        """Write the next row; a text is always written as text, numbers in one format."""
        self.row += 1
        for column, value in enumerate(values, start=1):
            cell = self.sheet.cell(self.row, column)
            cell.value = clean(value) if isinstance(value, str) else value
            cell.font = FONTS[Look.BODY]
            if isinstance(value, str):
                cell.data_type = "s"
            else:
                cell.number_format = numbers

    def block(self, chart: str, run: Run) -> tuple[int, int]:
        """Write a series and return its first and last row."""
        first = self.row + 1
        for x, y in run.points:
            self.line(chart, run.name, x, y)
        return first, self.row


def scatter(
    data: ChartData,
    title: str,
    x_title: str,
    y_title: str,
    runs: Sequence[Run],
    *,
    legend: str = "b",
    x_least: float = 0.0,
    x_most: float | None = None,
    x_step: float | None = None,
    y_least: float = 0.0,
    heavy: str = "",
) -> Chart:
    """Return a chart of lines and marked points; lines are in the legend, the rest is labelled.

    legend : "b" below or "r" to the right. x_least, x_most, x_step : beginning, end and step of the
    axis across.
    y_least : where the axis upwards begins. heavy : the name of a line drawn thick.
    """
    chart: Any = ScatterChart()
    chart.style = 1
    chart.scatterStyle = "lineMarker"
    dress(chart, title, x_title, y_title)
    hidden = []
    lines = 0
    for index, run in enumerate(runs):
        first, last = data.block(title, run)
        across = Reference(data.sheet, min_col=3, min_row=first, max_row=last)
        upwards = Reference(data.sheet, min_col=4, min_row=first, max_row=last)
        series: Any = Series(upwards, across)
        series.tx = SeriesLabel(strRef=StrRef(f"'{data.sheet.title}'!$B${first}"))
        series.smooth = False
        if run.mark:
            _marked(series, run.mark)
            hidden.append(index)
        elif run.upright:
            _upright(series, len(run.points) - 1)
            hidden.append(index)
        else:
            _line(series, lines)
            lines += 1
            if run.name == heavy:
                series.graphicalProperties.line.w = 4 * POINT
                series.graphicalProperties.line.dashStyle = "solid"
        chart.series.append(series)
    for axis in (chart.x_axis, chart.y_axis):
        axis.scaling.min = 0
        axis.number_format = "General"
    chart.y_axis.scaling.min = y_least
    chart.x_axis.scaling.min = x_least
    chart.x_axis.scaling.max, chart.x_axis.majorUnit = x_most, x_step
    chart.legend.position = legend
    chart.legend.legendEntry = [LegendEntry(idx=index, delete=True) for index in hidden]
    chart.legend.txPr = letters(800)
    finished: Chart = chart
    return finished


def places(
    page: Page,
    title: str,
    axes: tuple[str, str],
    rows: Sequence[tuple[int, int]],
    columns: tuple[int, int, int],
    box: tuple[tuple[float, float], tuple[float, float]],
) -> Chart:
    """Return a map of points: a series a kind, each with a mark of its own.

    axes : their titles, across and upwards. rows : first and last of each kind in a table of
    `page`. columns : those of the kind, of the way across and upwards. box : least and most across,
    then upwards.
    """
    chart: Any = ScatterChart()
    chart.style = 1
    chart.scatterStyle = "lineMarker"
    dress(chart, title, *axes)
    for number, (first, last) in enumerate(rows):
        kind, across, upwards = (
            Reference(range_string=page.span(first, end, column))
            for column, end in zip(columns, (first, last, last), strict=True)
        )
        series: Any = Series(upwards, across)
        series.tx = SeriesLabel(strRef=StrRef(str(kind)))
        series.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
        series.marker = _place_marker(number)
        chart.series.append(series)
    for axis, (least, most) in zip((chart.x_axis, chart.y_axis), box, strict=True):
        axis.scaling.min, axis.scaling.max = least, most
        axis.number_format = "0"
    chart.legend.position = "r"
    chart.legend.txPr = letters(800)
    finished: Chart = chart
    return finished


def _place_marker(number: int) -> Any:
    """Return the numbered marker: no two of the first sixteen are alike in shape and shade."""
    shade = ("000000", "8C8C8C")[number // len(PLACE_MARKERS) % 2]
    fill: Any = GraphicalProperties(solidFill=shade)
    fill.line = LineProperties(solidFill=shade, w=POINT)
    shape: Any = PLACE_MARKERS[number % len(PLACE_MARKERS)]
    return Marker(symbol=shape, size=9, spPr=fill)


def bars(
    data: ChartData,
    title: str,
    x_title: str,
    names: Sequence[str],
    series: Sequence[tuple[str, Sequence[float | None]]],
) -> Chart:
    """Return a chart of bars lying down, one group a name from the top: white, then dark grey."""
    chart: Any = BarChart()
    chart.style = 1
    chart.type = "bar"
    chart.grouping = "clustered"
    dress(chart, title, "", x_title)
    top = data.row + 1
    data.line("", "", *(name for name, _ in reversed(series)))
    for index in reversed(range(len(names))):  # such charts are filled from the foot
        data.line(
            title,
            names[index],
            *(values[index] for _, values in reversed(series)),
            numbers=BAR_FORMAT,
        )
    for number in range(len(series)):
        values = Reference(data.sheet, min_col=3 + number, min_row=top, max_row=data.row)
        bar: Any = Series(values, title_from_data=True)
        fill = ("595959", "FFFFFF")[number % 2]
        bar.graphicalProperties = GraphicalProperties(solidFill=fill)
        bar.graphicalProperties.line = LineProperties(solidFill="000000", w=POINT)
        bar.invertIfNegative = False
        bar.dLbls = DataLabelList(txPr=letters(800))
        _only(bar.dLbls, value=True)
        chart.series.append(bar)
    chart.set_categories(Reference(data.sheet, min_col=2, min_row=top + 1, max_row=data.row))
    chart.gapWidth = 60
    chart.legend.position = "b"
    finished: Chart = chart
    return finished


def dress(chart: Any, title: str, x_title: str, y_title: str) -> None:
    """Set a chart's titles, its axes and its fine grid, as all charts of the house have them."""
    chart.title = clean(title)
    chart.title.overlay = False
    paragraph = chart.title.tx.rich.p[0]
    paragraph.pPr = ParagraphProperties(defRPr=CharacterProperties(sz=1000, b=True))
    for axis, words in ((chart.x_axis, x_title), (chart.y_axis, y_title)):
        axis.delete = False  # openpyxl hides axes unless told not to
        axis.title = words or None
        if axis.title is not None:
            axis.title.overlay = False
            axis.title.tx.rich.p[0].pPr = ParagraphProperties(
                defRPr=CharacterProperties(sz=800, b=False)
            )
        axis.txPr = letters(800)
        axis.tickLblPos = "low"
    light = LineProperties(solidFill="D9D9D9", w=POINT // 2)
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=light)
    if chart.x_axis.majorGridlines is not None:
        chart.x_axis.majorGridlines = None


def letters(hundredths_of_point: int) -> RichText:
    """Return plain letters of a size."""
    words = CharacterProperties(sz=hundredths_of_point)
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=words), endParaRPr=words)])


def _line(series: Any, number: int) -> None:
    """Give the numbered line its own dash, marker and shade."""
    shade = SHADES[number % len(SHADES)]
    line: Any = LineProperties(solidFill=shade, w=int(1.5 * POINT))
    line.dashStyle = DASHES[number % len(DASHES)]
    series.graphicalProperties = GraphicalProperties(ln=line)
    series.marker = _marker(Mark(MARKERS[number % len(MARKERS)], 6), shade)


def _marked(series: Any, mark: Mark) -> None:
    """Draw points without a line, each labelled with the series' name."""
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
    series.marker = _marker(mark, "000000")
    series.dLbls = DataLabelList(dLblPos="b", txPr=letters(800))
    _only(series.dLbls, name=True)


def _upright(series: Any, last: int) -> None:
    """Draw a limit: a thin dashed line, its name at the top."""
    line: Any = LineProperties(solidFill="000000", w=POINT * 3 // 4)
    line.dashStyle = "sysDash"
    series.graphicalProperties = GraphicalProperties(ln=line)
    series.marker = Marker(symbol="none")
    label = DataLabel(idx=last, dLblPos="t", txPr=letters(800))
    _only(label, name=True)
    series.dLbls = DataLabelList(dLbl=[label])
    _only(series.dLbls)


def _marker(mark: Mark, shade: str) -> Any:
    fill: Any = GraphicalProperties(solidFill=shade)
    fill.line = LineProperties(solidFill=shade, w=int(1.5 * POINT))
    shape: Any = mark.shape
    return Marker(symbol=shape, size=mark.size, spPr=fill)


def _only(labels: Any, *, name: bool = False, value: bool = False) -> None:
    """Show in labels only the series' name, or only the value."""
    labels.showSerName, labels.showVal = name, value
    labels.showCatName = labels.showLegendKey = labels.showPercent = False
    labels.showBubbleSize = False
