"""How near is near enough when a finished plan is checked again."""

from __future__ import annotations

from ...models.answer.check_line import CheckLine

MONEY = 0.005
"""Half of a hundredth of the project's currency: what rounding a sum to its cents may hide."""

PHYSICAL = 1e-6
"""Relative: far above rounding, far below what any maker or surveyor can measure."""

ABSOLUTE = 1e-6
"""The same of figures near nothing, in the unit of each."""

ROUNDING = 1e-9
"""What rounding in floating point may do to a figure of everyday size."""


def at_most(
    what: str, where: str, required: float, available: float, unit: str, slack: float = ROUNDING
) -> CheckLine:
    """Return the line of a limit: `required` may not exceed `available`.

    slack : absolute, in `unit`, on top of the relative tolerance.
    """
    # A nan on either side compares false, and so fails.
    passed = required <= available + PHYSICAL * abs(available) + slack
    return CheckLine(what, where, required, available, unit, passed)


def same(what: str, where: str, owed: float, stated: float, unit: str) -> CheckLine:
    """Return the line of a physical figure of the plan that must be what we work out ourselves."""
    near = abs(owed - stated) <= PHYSICAL * max(abs(owed), abs(stated)) + ABSOLUTE
    return CheckLine(what, where, owed, stated, unit, near)


def same_money(what: str, where: str, owed: float, stated: float, currency: str) -> CheckLine:
    """Return the line of a sum of money of the plan that must be what we work out ourselves."""
    return CheckLine(what, where, owed, stated, currency, abs(owed - stated) <= MONEY)


def rule(what: str, where: str, kept: bool) -> CheckLine:
    """Return the line of a rule that is kept or broken: 1 required, 1 or 0 there."""
    return CheckLine(what, where, 1.0, 1.0 if kept else 0.0, "yes = 1", kept)
