"""Records: a dataclass of plain values written as rows, and read back exactly.

A row is its depth, the name of the field that it stands in, then the plain fields of its record
in order. What the record holds that is no plain value follows in rows one deeper. Which fields a
record has, and of what type, is read from the dataclass itself.
"""

from __future__ import annotations

import math
import types
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

from .earlier_records import is_gone, plain_fields

Plain = str | int | float | bool | None
Row = tuple[Plain, ...]

NONE = "none"
"""How a missing value is written, where an empty text is another value."""
DIGITS = 15
"""Of a number that every spreadsheet keeps; one with more is written as a text, to stay exact."""


class RecordError(ValueError):
    """Rows that are no record of the kind that is asked for."""


def rows_of(record: Any, name: str, left_out: Sequence[str] = (), depth: int = 0) -> Iterator[Row]:
    """Yield the rows of a record; left_out : fields of the outermost that are not written."""
    held = [f.name for f in fields(record) if f.name not in left_out]
    plain = plain_fields_of(type(record), left_out)
    yield depth, name, *(_cell(getattr(record, field)) for field in plain)
    for field in held:
        if field not in plain:
            yield from _deeper(getattr(record, field), field, depth + 1)


def plain_fields_of(kind: type[Any], left_out: Collection[str] = ()) -> list[str]:
    """Return the fields of a record that stand in its own row, in order."""
    hints = get_type_hints(kind)
    held = [f.name for f in fields(kind) if f.init and f.name not in left_out]
    return [field for field in held if _is_plain(hints[field])]


def _deeper(value: Any, name: str, depth: int) -> Iterator[Row]:
    """Yield the rows of a field that is no plain value."""
    if is_dataclass(value):
        yield from rows_of(value, name, (), depth)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield depth, name, _cell(key), _cell(one)
    elif value is not None:
        for one in value:
            if is_dataclass(one):
                yield from rows_of(one, name, (), depth)
            else:
                yield depth, name, *map(_cell, one if isinstance(one, tuple) else (one,))


def record_of(kind: type[Any], rows: Sequence[Row], **given: Any) -> Any:
    """Return the record that rows were made of; given : the fields that were left out.

    Raises RecordError where they are not such rows.
    """
    try:
        record, end = _read(kind, rows, 0, given)
    except (IndexError, KeyError, TypeError, ValueError) as error:
        raise RecordError(str(error)) from error
    if end != len(rows):
        raise RecordError(f"row {end + 1} belongs to nothing")
    return record


def _read(
    kind: type[Any], rows: Sequence[Row], at: int, given: Mapping[str, Any]
) -> tuple[Any, int]:
    """Return the record that begins at a row, and the row after it."""
    hints = get_type_hints(kind)
    held = [f.name for f in fields(kind) if f.init and f.name not in given]
    plain = plain_fields_of(kind, given)
    depth = _whole(rows[at][0])
    below: dict[str, list[Any]] = {field: [] for field in held if field not in plain}
    values = dict(given)
    written = len(rows[at]) - 2
    earlier = plain_fields(kind.__name__, written) if written < len(plain) else plain
    if earlier is None:
        raise RecordError(f"row {at + 1} is short of {plain[written]}")
    for field, cell in zip(earlier, rows[at][2:], strict=False):
        values[field] = _value(hints[field], cell)
    at += 1
    while at < len(rows) and _whole(rows[at][0]) == depth + 1:
        name = str(rows[at][1])
        if is_gone(kind.__name__, name):
            at += 1
            continue
        one, at = _one(hints[name], rows, at)
        below[name].append(one)
    for field, found in below.items():
        values[field] = _gathered(hints[field], found)
    return kind(**values), at


def _one(hint: Any, rows: Sequence[Row], at: int) -> tuple[Any, int]:
    """Return what one row (and those below it) adds to a field of a type, and the row after."""
    hint = _there(hint)
    origin, args = get_origin(hint), get_args(hint)
    if is_dataclass(hint):
        assert isinstance(hint, type)
        return _read(hint, rows, at, {})
    if origin is not None and issubclass(origin, Mapping):
        return (_value(args[0], rows[at][2]), _value(args[1], rows[at][3])), at + 1
    (of, *_) = args
    if is_dataclass(of):
        assert isinstance(of, type)
        return _read(of, rows, at, {})
    if get_origin(of) is tuple:
        kinds = get_args(of)
        return tuple(_value(k, c) for k, c in zip(kinds, rows[at][2:], strict=False)), at + 1
    return _value(of, rows[at][2]), at + 1


def _gathered(hint: Any, found: list[Any]) -> Any:
    """Return the value of a field from what its rows added."""
    if not found and _there(hint) is not hint:
        return None
    hint = _there(hint)
    if is_dataclass(hint):
        (one,) = found
        return one
    origin = get_origin(hint)
    return dict(found) if origin is not None and issubclass(origin, Mapping) else tuple(found)


def _there(hint: Any) -> Any:
    """Return the type of a field that may be None, where it is not; else the type as it is."""
    if get_origin(hint) not in (Union, types.UnionType):
        return hint
    (there,) = [one for one in get_args(hint) if one is not type(None)]
    return there


def _is_plain(hint: Any) -> bool:
    """Tell whether a field of a type takes one cell."""
    if get_origin(hint) in (Union, types.UnionType):
        return all(_is_plain(one) for one in get_args(hint))
    if hint is type(None):
        return True
    return isinstance(hint, type) and issubclass(hint, str | int | float | bool | date | Enum)


def _cell(value: Any) -> Plain:
    """Return a value as a cell holds it."""
    if value is None:
        return NONE
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return value.name
    if isinstance(value, float) and len(repr(value).strip("-0.").replace(".", "")) > DIGITS:
        return repr(value)
    if isinstance(value, float) and not math.isfinite(value):
        return repr(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return f"'{value}'"
    assert isinstance(value, int | float), f"{value!r} is no plain value"
    return value


def _value(hint: Any, cell: Plain) -> Any:
    """Return what a cell stands for in a field of a type."""
    if get_origin(hint) in (Union, types.UnionType):
        kinds = [one for one in get_args(hint) if one is not type(None)]
        if cell == NONE:
            return None
        return _value(kinds[0], cell)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return hint[str(cell)]
    if hint is bool:
        return {"yes": True, "no": False}[str(cell)]
    if hint is str:
        text = str(cell)
        if len(text) < 2 or text[0] != "'" or text[-1] != "'":
            raise RecordError(f"{text} is no text in quotes")
        return text[1:-1]
    if isinstance(hint, type) and issubclass(hint, date):
        return date.fromisoformat(str(cell))
    if hint is int:
        return _whole(cell)
    assert hint is float
    return float(cell)  # type: ignore[arg-type]


def _whole(cell: Plain) -> int:
    """Return a cell that holds a whole number."""
    number = float(cell)  # type: ignore[arg-type]
    if number != int(number):
        raise RecordError(f"{cell} is no whole number")
    return int(number)
