"""One cell at a time: what its value is read as, and what is refused; and the units of headings.

How numbers, dates and shares may be written is the workbook's own specification; dates are those
of ISO 8601.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest
from moorledger.io.figures.decimals import DecimalMarks, EitherError, marks_in, number_of
from moorledger.io.figures.units import conversion, units_like
from moorledger.io.layout.column import Bounds, CellKind, InputColumn, between, share
from moorledger.io.reading.cells import Cell, RefusedError, value_of
from moorledger.io.reading.headings import match
from moorledger.models.site.pull_test import Event

NUMBER = InputColumn("Depth", "depth_m", "", unit="m", range=Bounds(0, 1000, above=True))
COUNT = InputColumn("Count", "count", "", CellKind.COUNT, range=Bounds(1, 100))
PERCENT = InputColumn("Duty", "duty_share", "", CellKind.PERCENT, "%", range=share())
SHARE = InputColumn("Second anchor share", "share", "", CellKind.SHARE, range=share())
PRICE = InputColumn("Unit price", "unit_price", "", CellKind.MONEY, range=Bounds(0, 1e6))
NAME = InputColumn("Anchor", "anchor", "", CellKind.NAME)
NOTE = InputColumn("Note", "note", "", CellKind.TEXT)
NAMES = InputColumn("Allowed families", "families", "", CellKind.NAMES)
NUMBERS = InputColumn("Rope lengths tried", "rope", "", CellKind.NUMBERS, range=between(1, 10))
EVENT = InputColumn("Event", "event", "", CellKind.CHOICE, choices=Event)
YES_NO = InputColumn("Joinable", "joinable", "", CellKind.YES_NO)
DATE = InputColumn("Order date", "order_date", "", CellKind.DATE)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12", 12.0),
        (" 12.5 ", 12.5),
        ("12,5", 12.5),
        ("0,125", 0.125),
        ("-0,5", -0.5),
        ("\u22123", -3.0),
        (".5", 0.5),
        ("1e3", 1000.0),
        ("1 234,5", 1234.5),
        ("1\u00a0234.5", 1234.5),
        ("1\u202f234\u202f567", 1234567.0),
        ("1'234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234.5", 1234.5),
        ("1,234,567", 1234567.0),
        ("1.234.567", 1234567.0),
        ("1234,567", 1234.567),
        ("1.2340", 1.234),
    ],
)
def test_number_written_as_text(text: str, number: float) -> None:
    """Decimal commas and thousands separators are understood where one number can be meant."""
    assert number_of(text) == number


@pytest.mark.parametrize("text", ["", "x", "1,2,3", "12,34,56", "1.2.3", "1 23", "--1", "1e999"])
def test_text_that_is_no_number(text: str) -> None:
    """Nothing is guessed of text that no country writes a number as."""
    assert number_of(text) is None


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1,234", "'1,234' may mean 1234 or 1.234; write 1234, or 1.2340"),
        ("-12.500", "'-12.500' may mean -12500 or -12.500; write -12500, or -12.5000"),
    ],
)
def test_number_that_may_be_either_is_asked_about(text: str, message: str) -> None:
    """Three digits after one comma or point may be thousands or decimals."""
    with pytest.raises(EitherError) as refused:
        number_of(text)
    assert str(refused.value) == message


def test_a_file_decides_what_its_figures_are() -> None:
    """Decimal points elsewhere say what 1.234 and 1,234 are; decimal commas leave 1.234 open."""
    points = marks_in([("Legs!D2", "9.5"), ("Legs!D3", "1.234")])
    assert number_of("1.234", points) == 1.234
    assert number_of("1,234", points) == 1234
    commas = marks_in([("Legs!D2", "2 500,75 kg"), ("Legs!D3", "12")])
    assert number_of("1,234", commas) == 1.234
    with pytest.raises(EitherError) as refused:
        number_of("1.550", commas)
    assert str(refused.value) == (
        "'1.550' may mean 1550 or 1.550: decimal commas stand elsewhere, as '2 500,75 kg' in "
        "Legs!D2; write 1550, or 1.5500"
    )
    both = marks_in([("Legs!D2", "9.5"), ("Legs!D3", "9,5")])
    for text in ("1.234", "1,234"):
        with pytest.raises(EitherError):
            number_of(text, both)
    assert marks_in([("Legs!D2", "1.234"), ("Legs!D3", "x 9,5 y 7")]) == DecimalMarks()


@pytest.mark.parametrize(
    ("cell", "column", "value"),
    [
        (Cell("A1", 30), NUMBER, 30.0),
        (Cell("A1", "30,5"), NUMBER, 30.5),
        (Cell("A1", 3.0), COUNT, 3),
        (Cell("A1", 15), PERCENT, 0.15),
        (Cell("A1", 2.7), PERCENT, 0.027),
        (Cell("A1", 0.15, percent=True), PERCENT, 0.15),
        (Cell("A1", "15 %"), PERCENT, 0.15),
        (Cell("A1", "0,5%"), PERCENT, 0.005),
        (Cell("A1", 0), PERCENT, 0.0),
        (Cell("A1", 0.8), SHARE, 0.8),
        (Cell("A1", 0.8, percent=True), SHARE, 0.8),
        (Cell("A1", "80 %"), SHARE, 0.8),
        (Cell("A1", "  plate   250 "), NAME, "plate 250"),
        (Cell("A1", 250), NAME, "250"),
        (Cell("A1", 2.5), NAME, "2.5"),
        (Cell("A1", "=SUM(A1)"), NOTE, "=SUM(A1)"),
        (Cell("A1", datetime(2027, 3, 31)), NOTE, "2027-03-31"),
        (Cell("A1", "plate; block ,fluke;"), NAMES, ("plate", "block", "fluke")),
        (Cell("A1", "1.5; 2,5 3"), NUMBERS, (1.5, 2.5, 3.0)),
        (Cell("A1", "1.5, 2, 2.5, 3"), NUMBERS, (1.5, 2.0, 2.5, 3.0)),
        (Cell("A1", 2), NUMBERS, (2.0,)),
        (Cell("A1", "ROLLED-OUT"), EVENT, Event.ROLLED_OUT),
        (Cell("A1", True), YES_NO, True),
        (Cell("A1", "No"), YES_NO, False),
        (Cell("A1", 0), YES_NO, False),
        (Cell("A1", datetime(2027, 3, 31, 12)), DATE, date(2027, 3, 31)),
        (Cell("A1", "2027-03-31"), DATE, date(2027, 3, 31)),
        (Cell("A1", "2027-03-31 00:00:00"), DATE, date(2027, 3, 31)),
        (Cell("A1", "2027-03-31 9:05"), DATE, date(2027, 3, 31)),
        (Cell("A1", "31.3.2027, 14:30"), DATE, date(2027, 3, 31)),
        (Cell("A1", "31/03/2027"), DATE, date(2027, 3, 31)),
        (Cell("A1", "3.4.2027"), DATE, date(2027, 4, 3)),
        (Cell("A1", "31 March 2027"), DATE, date(2027, 3, 31)),
        (Cell("A1", "Mar 31, 2027"), DATE, date(2027, 3, 31)),
        (Cell("A1", "30 m"), NUMBER, 30.0),
        (Cell("A1", "100 ft"), NUMBER, 30.48),
        (Cell("A1", "2 dozen"), COUNT, 24),
        (Cell("A1", "€ 30"), PRICE, 30.0),
        (Cell("A1", "1,5 k€"), PRICE, 1500.0),
        (Cell("A1", "5 ‰"), PERCENT, 0.005),
        (Cell("A1", 'plate; "block, 4 t"; fluke'), NAMES, ("plate", "block, 4 t", "fluke")),
        (Cell("A1", "  "), NUMBER, None),
    ],
)
def test_value_of_a_good_cell(cell: Cell, column: InputColumn, value: Any) -> None:
    """A cell that can be read is read without a doubt."""
    assert value_of(cell, column) == (value, "")


@pytest.mark.parametrize(
    ("cell", "column", "message"),
    [
        (Cell("A1", "€ x 30"), PRICE, "found '€ x 30'; needs an amount, at least 0: leave out the "
         "currency sign and write the number alone"),
        (Cell("A1", "30 kg"), NUMBER, "found '30 kg'; needs a number, more than 0: write the "
         "number alone; its unit belongs in the heading, such as 'Depth (m)'"),
        (Cell("A1", "15 %"), NUMBER, "found '15 %'; needs a number, more than 0"),
        (Cell("A1", False), NUMBER, "found FALSE; needs a number, more than 0"),
        (Cell("A1", float("inf")), NUMBER, "found inf; needs a number, more than 0"),
        (Cell("A1", time(1, 30)), NUMBER, "found '01:30:00'; needs a number, more than 0: the "
         "spreadsheet has made a date of it; format the cell as a number and retype it"),
        (Cell("A1", 2000), NUMBER, "found 2000; more than 1000 m is not to be believed: check the "
         "number and the unit of its heading"),
        (Cell("A1", 1.5), COUNT, "found 1.5; needs a whole number, at least 1"),
        (Cell("A1", 101), PERCENT, "found 101; needs a percentage, 0 to 100 %"),
        (Cell("A1", 15, percent=True), PERCENT, "found 15; needs a percentage, 0 to 100 %"),
        (Cell("A1", "x %"), PERCENT, "found 'x %'; needs a percentage, 0 to 100 %"),
        (Cell("A1", 80), SHARE, "found 80; needs a share, 0 to 1; for 80 % write 0.8 or '80 %'"),
        (
            Cell("A1", "a\x07b"),
            NAME,
            "found 'a\x07b', which holds a control character; retype the text",
        ),
        (
            Cell("A1", "x" * 1001),
            NOTE,
            f"found '{'x' * 57}...', 1001 characters; 1000 at most",
        ),
        (Cell("A1", "2; 11"), NUMBERS, "found '2; 11'; needs numbers 1 to 10 separated by ;"),
        (Cell("A1", "brok"), EVENT, "found 'brok'; needs rolled out, broke or stopped; did you "
         "mean 'broke'?"),
        (Cell("A1", "perhaps"), YES_NO, "found 'perhaps'; needs yes or no"),
        (Cell("A1", 46000), DATE, "found 46000; needs a date such as 2027-03-31"),
        (Cell("A1", "03/04/2027"), DATE,
         "'03/04/2027' may mean 2027-04-03 or 2027-03-04; write one of them"),
        (Cell("A1", "2027-02-30"), DATE,
         "found '2027-02-30'; needs a date such as 2027-03-31"),
        (Cell("A1", "#DIV/0!", error=True), NOTE,
         "the cell shows the error #DIV/0!; needs text"),
        (Cell("A1", no_result=True), NUMBER, "the formula has no stored result; open the workbook "
         "in a spreadsheet program, let it calculate, and save it"),
    ],
)  # fmt: skip
def test_cell_that_is_refused(cell: Cell, column: InputColumn, message: str) -> None:
    """What cannot be used is refused with what was found and what would do."""
    with pytest.raises(RefusedError) as refused:
        value_of(cell, column)
    assert str(refused.value) == message


def test_small_plain_percentage_is_read_and_asked_about() -> None:
    """0.15 under a (%) heading is 0.15 %, though 15 % may have been meant."""
    value, doubt = value_of(Cell("A1", 0.15), PERCENT)
    assert value == 0.0015
    assert doubt == ("0.15 is read as 0.15 %; if 15 % is meant write 15, and if not write '0.15 %'")


def test_converted_number_is_refused_by_what_it_became() -> None:
    """36 h are no whole number of days: the message gives both."""
    days = InputColumn("Transit", "transit_days", "", CellKind.COUNT, "days", range=Bounds(0, 100))
    with pytest.raises(RefusedError) as refused:
        value_of(Cell("A1", 36), days, 1 / 24)
    assert str(refused.value) == "found 36, which is 1.5 days; needs a whole number, at least 0"


# The yard and the pound: international agreement of 1959 (1 ft = 0.3048 m, 1 lb = 0.45359237 kg).
# The kilogram-force: standard gravity 9.80665 m/s², 3rd CGPM 1901, in the SI brochure.
@pytest.mark.parametrize(
    ("written", "wanted", "factor"),
    [
        ("ft", "m", 0.3048),
        ("in", "mm", 25.4),
        ("mm", "m", 0.001),
        ("lb", "kg", 0.45359237),
        ("t", "kg", 1000.0),
        ("kgf", "kN", 0.00980665),
        ("tf", "kN", 9.80665),
        ("lbf", "kN", 0.0044482216152605),
        ("ft³", "m³", 0.3048**3),
        ("ft^3", "m³", 0.3048**3),
        ("cu ft", "m³", 0.3048**3),
        ("ft2", "m²", 0.3048**2),
        ("h", "min", 60.0),
        ("day", "h", 24.0),
        ("lb/ft", "kg/m", 0.45359237 / 0.3048),
        ("kg per m", "kg/m", 1.0),
        ("lb/ft³", "kg/m³", 0.45359237 / 0.3048**3),
        ("per ft", "per m", 1 / 0.3048),
        ("min per 100 ft", "min per 10 m", 10 / 30.48),
        ("h per 100 m", "min per 10 m", 6.0),
        ("in/year", "mm/year", 25.4),
        ("ft³ per length", "m³ per length", 0.3048**3),
        ("m³", "m³ per length", 1.0),
        ("KN", "kN", 1.0),
    ],
)
def test_conversion_of_units(written: str, wanted: str, factor: float) -> None:
    """Each unit is worth its definition."""
    assert conversion(written, wanted) == pytest.approx(factor, rel=1e-15)


@pytest.mark.parametrize(
    ("written", "wanted"),
    [("kg", "kN"), ("m", "m²"), ("kg", "kg/m"), ("fathom", "m"), ("ton", "kg"), ("", "m"),
     ("min per 0 m", "min per 10 m"), ("/", "m"), ("kg/", "kg/m")],
)  # fmt: skip
def test_units_of_another_kind_do_not_convert(written: str, wanted: str) -> None:
    """A mass is no force, and a ton is no unit that all agree on."""
    assert conversion(written, wanted) is None


def test_units_like_names_the_usual_ones() -> None:
    """The hint of a heading names what may be written instead."""
    assert units_like("kN") == "kN, kgf, tf or lbf"
    assert units_like("min per 10 m") == "min per 10 m or min per 100 ft"


@pytest.mark.parametrize(
    ("written", "column", "problem"),
    [
        ("Duty (fraction)", PERCENT, "the unit 'fraction' will not do; use %"),
        (
            "Count (kg)",
            COUNT,
            "takes no unit, but has 'kg'; known are each, pcs, dozen and '000: write 'Count'",
        ),
        ("Depth (kN)", NUMBER, "the unit 'kN' will not do; use m, ft, mm or in"),
        ("Count (each)", COUNT, ""),
        ("Unit price (supplier's currency)", PRICE, ""),
        ("Note (yours)", NOTE, ""),
    ],
)
def test_unit_of_a_heading(written: str, column: InputColumn, problem: str) -> None:
    """A heading is known by its name; its unit must be one that its numbers can have."""
    found = match(written, [column])
    assert found is not None
    assert found.problem == problem
