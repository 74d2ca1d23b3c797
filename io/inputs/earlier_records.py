"""How earlier versions wrote a plan's record, so that their orders can still be read.

A record's plain fields stand in one row, in the order of its fields: a row of other length than
today's was written before some of them were there. Which they were is said here, by their number.
What is not in the row keeps the field's own default, which must be what the earlier version meant.
A field that is no plain value has rows of its own, and none where it was not known yet.
"""

from __future__ import annotations

from collections.abc import Mapping

PLAIN_FIELDS: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "Plan": ((), ("after",)),
    "ReadFrom": (("origin_file",),),
    "HoldingEvidence": (
        ("kind", "reference", "tests", "within_m", "supported_kn", "scatter", "friction"),
    ),
}
"""By record, the plain fields that rows of earlier versions hold, in order; the newest last."""

GONE: Mapping[str, frozenset[str]] = {
    "Plan": frozenset({"connectors"}),  # rows of On hand since
}
"""By record, fields with rows of their own that are no more: their rows are passed over."""


def plain_fields(kind: str, count: int) -> tuple[str, ...] | None:
    """Return the plain fields that an earlier version wrote in a row of so many; None: none did."""
    return next((names for names in PLAIN_FIELDS.get(kind, ()) if len(names) == count), None)


def is_gone(kind: str, field: str) -> bool:
    """Tell whether earlier versions wrote rows of a field that a record no longer has."""
    return field in GONE.get(kind, ())
