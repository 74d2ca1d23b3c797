"""Arrangement: where the headings of a table stand, and what each row around them is."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from openpyxl.utils import get_column_letter

from ...models.fault import Fault, Severity
from ..figures.beside import EACH, beside
from ..figures.units import conversion
from ..layout.column import CellKind, InputColumn
from ..words.grammar import as_found, listed, plain
from .cells import NO_RESULT, Cell
from .headings import Match, closest_heading, in_unit, match
from .sheet_marks import runs_of
from .table import InputTable, Row

MOST_ABOVE = 60
"""Filled rows that are looked at for headings."""

_FIGURES = {CellKind.NUMBER, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE, CellKind.MONEY}
_TOTALS = frozenset(
    "total totals sum sums subtotal sub-total total: totals: sum: subtotal: σ Σ".casefold().split()
) | {"grand total", "sub total", "total sum", "in total"}
_NOTE = re.compile(r"(?:\*|note\b|notes\b|remark|nb\b|n\.b|source:|see |all prices|prices )", re.I)
_LONG = 60
"""Characters of a text that is a note and no name."""


@dataclass
class Arrangement:
    """A table's headings, and its rows sorted by what they are."""

    table: InputTable
    headings: Row | None = None
    found: dict[int, Match] = field(default_factory=dict)
    """Column number → what its heading stands for."""
    rows: list[Row] = field(default_factory=list)
    """The rows of records."""
    unread: set[str] = field(default_factory=set)
    """Fields whose whole column cannot be used."""
    faults: list[Fault] = field(default_factory=list)

    def figures(self) -> Iterator[tuple[str, str]]:
        """Yield the texts of the columns of figures: where each stands, and the text."""
        columns = {n for n, hit in self.found.items() if _holds_figures(hit.column)}
        for row in self.rows:
            for number in columns & row.cells.keys():
                cell = row.cells[number]
                if isinstance(cell.value, str):
                    yield f"{self.table.title}!{cell.address}", cell.value


def _holds_figures(column: InputColumn) -> bool:
    return column.kind in _FIGURES or column.field == "value"


def arranged(table: InputTable, columns: Sequence[InputColumn]) -> Arrangement:
    """Return a table's arrangement; what is wrong with its headings is in its faults."""
    laid = Arrangement(table)
    if not table.rows:
        return laid
    first = _heading_row(table, columns)
    if first is None:
        laid.faults.append(_no_headings(table, columns))
        laid.unread |= {column.field for column in columns if column.field}
        return laid
    laid.headings = table.rows[first]
    said: list[str] = []
    above = [row.number for row in table.rows[:first]]
    if above:
        where = f"{'rows' if len(above) > 1 else 'row'} {runs_of(above)}"
        said.append(f"headings in row {laid.headings.number}; {where} above them not read")
    _match_headings(laid, columns)
    words = [
        f"'{hit.other_word}' as '{hit.column.title}'"
        for hit in laid.found.values()
        if hit.other_word
    ]
    if words:
        said.append(f"{listed(words)}")
    _sort_rows(laid, table.rows[first + 1 :], columns, said)
    _unheaded(laid)
    if said:
        place = (table.title, laid.headings.number, "", "")
        laid.faults.append(Fault(*place, "read as: " + "; ".join(said), Severity.NOTE))
    return laid


def _heading_row(table: InputTable, columns: Sequence[InputColumn]) -> int | None:
    """Return the index of the row that holds the most headings; None where none holds any."""
    best, most = None, 0
    for index, row in enumerate(table.rows[:MOST_ABOVE]):
        hits = {
            hit.column.heading
            for cell in row.cells.values()
            if isinstance(cell.value, str) and (hit := match(cell.value, columns)) is not None
        }
        if len(hits) > most:
            best, most = index, len(hits)
        if most == len(columns):
            break  # no row can hold more
    return best


def _no_headings(table: InputTable, columns: Sequence[InputColumn]) -> Fault:
    names = [column.title for column in columns[:4]]
    more = ", ..." if len(columns) > 4 else ""
    message = (
        f"no headings were found in its first rows: one row must hold them ({', '.join(names)}"
        f"{more}), and the rows below it the figures"
    )
    return Fault(table.title, table.rows[0].number, "", "", message)


def _match_headings(laid: Arrangement, columns: Sequence[InputColumn]) -> None:
    """Find what each column number stands for; the table's own headings before other words."""
    table, first = laid.table, laid.headings
    assert first is not None
    addresses: dict[str, str] = {}
    hits: list[tuple[int, Cell, Match | None]] = []
    for number, cell in first.cells.items():
        if cell.no_result or cell.error:
            message = NO_RESULT if cell.no_result else f"the heading shows the error {cell.value}"
            laid.faults.append(Fault(table.title, first.number, cell.address, "", message))
            continue
        hits.append((number, cell, match(str(cell.value), columns)))
    own = {hit.column.heading for _, _, hit in hits if hit is not None and not hit.other_word}
    for number, cell, hit in hits:
        if hit is None or (hit.other_word and hit.column.heading in own):
            written = plain(str(cell.value))
            message = f"no column is called {as_found(written)}; it is not read"
            message += closest_heading(written, columns)
            laid.faults.append(_warning(table.title, first.number, cell.address, message))
            continue
        heading = hit.column.heading
        place = (table.title, first.number, cell.address, heading)
        if heading in addresses:
            message = f"the column is there twice (first at {addresses[heading]}); keep one"
            laid.faults.append(Fault(*place, message))
            continue
        addresses[heading] = cell.address
        if hit.problem:
            laid.faults.append(Fault(*place, hit.problem))
            laid.unread.add(hit.column.field)
        laid.found[number] = hit


def _unheaded(laid: Arrangement) -> None:
    """Warn of cells below no heading; of those beside the table that are only text, once."""
    table, first = laid.table, laid.headings
    assert first is not None
    bare = sorted({n for row in laid.rows for n in row.cells} - set(first.cells))
    across = [m for m in table.merged if m.first_row <= first.number <= m.last_row][:100]
    for number in bare:
        address = f"{get_column_letter(number)}{first.number}"
        message = "the column has no heading; it is not read"
        merged = next((m for m in across if m.covers(first.number, number)), None)
        if merged is not None:
            message += f" (it is merged into {merged}: unmerge, and give each column a heading)"
        laid.faults.append(_warning(table.title, first.number, address, message))


def _warning(title: str, row: int, address: str, message: str) -> Fault:
    return Fault(title, row, address, "", message, Severity.WARNING)


def _sort_rows(
    laid: Arrangement, rows: Sequence[Row], columns: Sequence[InputColumn], said: list[str]
) -> None:
    """Put each row where it belongs: records in `laid`, the others told in `said`."""
    repeated: list[int] = []
    totals: list[int] = []
    examples: list[int] = []
    kept: list[Row] = []
    notes = _notes_below(laid, rows)
    for index, row in enumerate(rows):
        filled = {n: c for n, c in row.cells.items() if n in laid.found and not c.is_blank}
        if index == 0 and _is_units(filled, laid.found):
            _take_units(laid, row, filled)
            said.append(f"row {row.number} as units")
        elif _repeats(filled, laid.found):
            repeated.append(row.number)
        elif _second_table(filled, laid, columns):
            message = "a second row of headings, in other columns: one table a sheet; move it"
            laid.faults.append(Fault(laid.table.title, row.number, "", "", message))
            break
        elif row.number in notes or not filled:
            continue
        elif _first_word(row).startswith("example:"):
            if not _is_own_example(filled, laid.found):
                examples.append(row.number)
        elif _first_word(row) in _TOTALS or _sums(filled, kept, laid.found):
            totals.append(row.number)
            _doubt_total(laid, row, filled)
        else:
            kept.append(row)
    laid.rows = kept
    if repeated:
        said.append(f"headings again in {_rows(repeated)}, not read")
    if totals:
        said.append(f"totals in {_rows(totals)}, not read")
    if notes:
        said.append(f"notes in {_rows(sorted(notes))}, not read")
    below = [number for number in examples if any(row.number > number for row in kept)]
    if below:
        said.append(f"examples in {_rows(below)}, not read, as they begin with 'Example:'")


def _rows(numbers: list[int]) -> str:
    return f"{'row' if len(numbers) == 1 else 'rows'} {runs_of(numbers)}"


def _first_word(row: Row) -> str:
    leftmost = row.cells[min(row.cells)].value
    return plain(leftmost).casefold() if isinstance(leftmost, str) else ""


def _is_own_example(filled: dict[int, Cell], found: dict[int, Match]) -> bool:
    """Tell whether a row of examples is the template's own, figure by figure."""
    return all(
        found[number].column.example == cell.value
        for number, cell in filled.items()
        if _is_number(cell.value)
    )


def _is_units(filled: dict[int, Cell], found: dict[int, Match]) -> bool:
    """Tell whether the row under the headings holds units: some, and no figure."""
    some = False
    for number, cell in filled.items():
        column = found[number].column
        word = plain(cell.value).strip("()[] ") if isinstance(cell.value, str) else ""
        if column.kind not in _FIGURES:
            if not isinstance(cell.value, str):
                return False
            continue
        if not word:
            return False
        known = beside(word, column) is not None or conversion(word, word) is not None
        if re.fullmatch(r"[\d.,'’ ]+%?", word) or not known:
            return False
        some = some or word not in EACH or word in ("each", "pcs")
    return some


def _take_units(laid: Arrangement, row: Row, filled: dict[int, Cell]) -> None:
    """Give the columns the units that stand in a row under their headings."""
    for number, cell in filled.items():
        hit = laid.found[number]
        if hit.column.kind not in _FIGURES or hit.problem:
            continue
        word = plain(str(cell.value)).strip("()[] ")
        below = in_unit(hit.column, word)
        problem = below.problem
        if not problem and hit.unit and below.unit and below.scale != hit.scale:
            problem = f"the heading says '{hit.unit}' and the row of units '{word}'; keep one"
        if problem:
            place = (laid.table.title, row.number, cell.address, hit.column.heading)
            laid.faults.append(Fault(*place, problem))
            laid.unread.add(hit.column.field)
        elif below.unit:
            laid.found[number] = replace(below, other_word=hit.other_word)


def _repeats(filled: dict[int, Cell], found: dict[int, Match]) -> bool:
    """Tell whether a row holds the headings once more."""
    if len(filled) < 2 or not all(isinstance(cell.value, str) for cell in filled.values()):
        return False
    return all(
        (hit := match(str(cell.value), [found[number].column])) is not None
        and hit.column.heading == found[number].column.heading
        for number, cell in filled.items()
    )


def _second_table(
    filled: dict[int, Cell], laid: Arrangement, columns: Sequence[InputColumn]
) -> bool:
    """Tell whether a row holds this sheet's headings in other columns than before."""
    if len(filled) < 3 or len(laid.found) < 2 or min(laid.found) not in filled:
        return False
    # Lazily: of most rows the first cell is no heading.
    return all(
        isinstance(cell.value, str)
        and (hit := match(cell.value, columns)) is not None
        and not hit.other_word
        for cell in filled.values()
    )


def _sums(filled: dict[int, Cell], above: list[Row], found: dict[int, Match]) -> bool:
    """Tell whether a row without a name only adds up what stands above it."""
    named = [n for n, hit in found.items() if hit.column.kind is CellKind.NAME]
    if not named or min(named) in filled or len(above) < 2:
        return False
    for number, cell in filled.items():
        if found[number].column.kind not in _FIGURES or not _is_number(cell.value):
            return False
        values = [row.cells[number].value for row in above if number in row.cells]
        if not all(_is_number(value) for value in values):
            return False
        if abs(sum(values) - cell.value) > 1e-9 * max(1.0, abs(cell.value)):
            return False
    return True


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _doubt_total(laid: Arrangement, row: Row, filled: dict[int, Cell]) -> None:
    """Doubt a row of totals that holds as much text as a record does."""
    texts = [n for n, cell in filled.items() if isinstance(cell.value, str)]
    if len(texts) >= 3:
        cell = row.cells[min(row.cells)]
        message = f"{as_found(cell.value)} is taken for a row of totals and not read, but it is "
        message += "filled like the others; give it another name if it counts"
        laid.faults.append(_warning(laid.table.title, row.number, cell.address, message))


def _notes_below(laid: Arrangement, rows: Sequence[Row]) -> set[int]:
    """Return the numbers of rows under the table that hold a line of text and nothing else."""
    notes: set[int] = set()
    for index in range(len(rows) - 1, -1, -1):
        row = rows[index]
        cells = [cell for cell in row.cells.values() if not cell.is_blank]
        if len(cells) != 1 or not isinstance(cells[0].value, str) or len(laid.found) < 3:
            break
        text = plain(cells[0].value)
        gap = index > 0 and row.number > rows[index - 1].number + 1
        follows = index + 1 < len(rows) and rows[index + 1].number in notes
        speaks = _NOTE.match(text) is not None or len(text) > _LONG
        if text.casefold() in _TOTALS or not (
            speaks or (len(text.split()) > 2 and (gap or follows or _prose_above(rows, index)))
        ):
            break
        notes.add(row.number)
    return notes


def _prose_above(rows: Sequence[Row], index: int) -> bool:
    """Tell whether the lines of text above a row begin below a gap."""
    for at in range(index, 0, -1):
        if len(rows[at].cells) != 1:
            return False
        if rows[at].number > rows[at - 1].number + 1:
            return True
    return False


def first_filled(laid: Arrangement, number: int) -> Cell | None:
    """Return the first filled cell of a column; None where all are blank."""
    cells = (row.cells[number] for row in laid.rows if number in row.cells)
    return next((cell for cell in cells if not cell.is_blank), None)
