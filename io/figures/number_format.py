"""Number formats: what a cell shows of the number that it holds.

The codes are those of ECMA-376 Part 1, 18.8.31 (from memory): sections, conditions, literals,
placeholders, percent signs, and commas at the end that divide by a thousand each.
"""

from __future__ import annotations

import functools
import operator
import re
from collections.abc import Callable
from dataclasses import dataclass

_TOKEN = re.compile(
    r'"(?P<quoted>[^"]*)"?|\\(?P<escaped>.)|_.|\*.|\[(?P<bracket>[^\]]*)\]'
    r"|(?P<general>General)|(?P<power>[eE][+-])|(?P<places>[0#?][0#?,]*)|(?P<other>.)",
    re.DOTALL | re.IGNORECASE,
)
_SECTION = re.compile(r'(?:"[^"]*"?|\\.|_.|\*.|\[[^\]]*\]|[^;])*', re.DOTALL)
_CONDITION = re.compile(r"(<=|>=|<>|<|>|=)\s*(-?\d+(?:\.\d+)?)")
_CURRENCY = re.compile(r"\$(?P<sign>[^-]*)(?:-.*)?")
_HOLDS: dict[str, Callable[[float, float], bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "=": operator.eq,
    "<>": operator.ne,
}  # fmt: skip
_SIGNS = "()-+\u2212"


@dataclass(frozen=True)
class Shown:
    """What a cell shows of its number: words before and after, and by what it is divided."""

    before: str = ""
    after: str = ""
    thousands: int = 0
    """How often it is divided by a thousand before it is shown."""
    percent: bool = False
    """Whether it is shown in per cent."""
    decimals: int | None = None
    """Decimals shown; None where the format leaves them open."""
    width: int = 0
    """Digits that are shown at least, zeros before the number for want of others."""
    number: bool = True
    """Whether the number is shown at all, or only words in its place."""
    unsigned: bool = False
    """Whether a negative number is shown like a positive one."""

    @property
    def words(self) -> str:
        """All words beside the number."""
        return f"{self.before} {self.after}".strip()

    def text(self, value: float) -> str:
        """Return what the cell shows for `value`, but for the marks of thousands."""
        if not self.number:
            return self.words
        figure = (abs(value) if self.unsigned else value) / 1000**self.thousands
        figure *= 100 if self.percent else 1
        digits = f"{figure:.15g}" if self.decimals is None else f"{figure:.{self.decimals}f}"
        if self.width > 1:
            digits = digits.zfill(self.width)
        sign = "%" if self.percent else ""
        return " ".join(part for part in (self.before, digits + sign, self.after) if part)

    def coarse(self, value: float) -> bool:
        """Tell whether rounding makes another number of it: by a tenth of it, or more."""
        if self.decimals is None or not self.number or value == 0:
            return False
        figure = value / 1000**self.thousands * (100 if self.percent else 1)
        return bool(abs(round(figure, self.decimals) - figure) > 0.1 * abs(figure))


PLAIN = Shown()
"""A number shown as it is."""


def shown(value: float, code: str) -> Shown:
    """Return what a number format's code makes of a number."""
    if code in ("General", "@", ""):
        return PLAIN
    sections = _sections(code)
    texts = [text for condition, text in sections]
    if any(condition for condition, _ in sections):
        for condition, text in sections:
            if not condition or _HOLDS[condition[0]](value, float(condition[1])):
                # A section of its own for negative numbers shows no sign but its own.
                return _read(text, value < 0 and condition is not None)
        return PLAIN
    if value < 0 and len(texts) > 1:
        return _read(texts[1], True)
    if value == 0 and len(texts) > 2:
        return _read(texts[2], False)
    return _read(texts[0], False)


def _sections(code: str) -> list[tuple[tuple[str, str] | None, str]]:
    """Return the sections for numbers, each with its condition if it has one."""
    found: list[tuple[tuple[str, str] | None, str]] = []
    at = 0
    while at <= len(code) and len(found) < 3:
        section = _SECTION.match(code, at)
        assert section is not None  # the pattern matches nothing too
        condition = None
        for bracket in re.findall(r"\[([^\]]*)\]", section[0]):
            stated = _CONDITION.fullmatch(bracket.strip())
            if stated is not None:
                condition = (stated[1], stated[2])
        found.append((condition, section[0]))
        at = section.end() + 1
    return found


@functools.lru_cache(maxsize=1024)
def _read(section: str, negative: bool) -> Shown:
    """Return what one section shows; `negative` numbers have lost their own sign in it."""
    before: list[str] = []
    after: list[str] = []
    placed = percent = power = signed = point = False
    decimals = width = thousands = 0
    fraction = general = False
    for token in _TOKEN.finditer(section):
        literal = ""
        if token["quoted"] is not None:
            literal = token["quoted"]
        elif token["escaped"] is not None:
            literal = token["escaped"]
        elif token["bracket"] is not None:
            currency = _CURRENCY.fullmatch(token["bracket"])
            literal = currency["sign"] if currency else ""
        elif token["general"] is not None:
            placed = general = True
        elif token["power"] is not None and placed:
            power = True
        elif token["places"] is not None:
            digits = token["places"].rstrip(",")
            thousands += len(token["places"]) - len(digits)
            if point:
                decimals += len(digits)
            else:
                width += digits.count("0")
            placed = True
        elif token["other"] is not None:
            other = token["other"]
            if other == "." and not point:
                point = placed = True
            elif other == "%":
                percent = True
            elif other == "," and placed:
                thousands += 1
            elif other == "/" and placed:
                fraction = True
            else:
                literal = other
        if literal and literal.strip() and set(literal.strip()) <= set(_SIGNS):
            signed = signed or bool(set(literal) & set("-(\u2212"))
            literal = " "
        (after if placed else before).append(literal or " ")
    joined = [" ".join("".join(part).split()) for part in (before, after)]
    loose = power or fraction or general
    if not placed and not percent:
        return Shown(before=joined[0], number=False, unsigned=negative and not signed)
    return Shown(
        joined[0],
        joined[1],
        thousands,
        percent,
        None if loose else decimals,
        0 if loose else width,
        unsigned=negative and not signed,
    )
