"""Units of a heading: which of them measure the same thing, and how one turns into another.

Exact by definition: 1 ft = 0.3048 m, 1 in = 25.4 mm and 1 lb = 0.45359237 kg (international yard
and pound agreement, 1959); 1 kgf = 9.80665 N (standard gravity, 3rd General Conference on Weights
and Measures, 1901), and with it 1 lbf = 4.4482216152605 N.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_STANDARD_GRAVITY = 9.80665
_POUND_KG = 0.45359237
_FOOT_M = 0.3048

_KINDS: dict[str, dict[float, str]] = {
    "length": {
        1.0: "m metre metres meter meters",
        0.001: "mm millimetre millimetres millimeter millimeters",
        0.01: "cm centimetre centimetres centimeter centimeters",
        0.0254: "in inch inches",
        _FOOT_M: "ft foot feet",
    },
    "mass": {
        1.0: "kg kgs kilogram kilograms",
        1000.0: "t mt tonne tonnes",
        _POUND_KG: "lb lbs pound pounds",
    },
    "force": {
        1000.0: "kn kilonewton kilonewtons",
        1.0: "n newton newtons",
        _STANDARD_GRAVITY: "kgf",
        1000 * _STANDARD_GRAVITY: "tf",
        _POUND_KG * _STANDARD_GRAVITY: "lbf",
    },
    "area": {1.0: "m2 sqm", _FOOT_M**2: "ft2 sqft"},
    "volume": {1.0: "m3 cbm", _FOOT_M**3: "ft3 cuft"},
    "time": {
        1.0: "min mins minute minutes",
        60.0: "h hr hrs hour hours",
        1440.0: "d day days",
        10080.0: "week weeks",
    },
    "year": {1.0: "y yr year years"},
    "angle": {1.0: "deg degs degree degrees °"},
    # A piece as sold is a count: "m³ per length" and "m³" measure the same thing.
    "": {1.0: "length lengths container containers piece pieces each"},
}
"""Kind → factor to the kind's base unit (m, kg, N, m², m³, min, year, deg) → spellings."""

_SPELLINGS: dict[str, tuple[str, float]] = {
    spelling: (kind, factor)
    for kind, factors in _KINDS.items()
    for factor, spellings in factors.items()
    for spelling in spellings.split()
}

_LIKE = {
    "length": "m, ft, mm or in",
    "mass": "kg, lb or t",
    "force": "kN, kgf, tf or lbf",
    "area": "m² or ft²",
    "volume": "m³ or ft³",
    "time": "min, h or days",
    "year": "years",
    "angle": "deg",
    "mass/length": "kg/m or lb/ft",
    "mass/volume": "kg/m³ or lb/ft³",
    "time/length": "min per 10 m or min per 100 ft",
    "length/year": "mm/year or in/year",
    "/length": "per m or per ft",
    "": "each",
}

_RATIO = re.compile(
    r"(?P<above>.*?)\s*(?:/|\bper\b)\s*(?P<number>\d+(?:\.\d+)?)?\s*(?P<below>\D.*)"
)


@dataclass(frozen=True)
class Measure:
    """What a unit measures (such as "mass/length") and its size in base units."""

    kind: str
    factor: float


def _measure(unit: str) -> Measure | None:
    """Return what a unit measures, or None where it is not known."""
    plain = " ".join(unit.casefold().translate({0xB3: "3", 0xB2: "2", 0x5E: None}).split())
    plain = plain.replace("sq ", "sq").replace("cu ", "cu").removesuffix(".")
    if plain in _SPELLINGS:
        return Measure(*_SPELLINGS[plain])
    ratio = _RATIO.fullmatch(plain)
    if ratio is None:
        return None
    above, below = ratio["above"], _SPELLINGS.get(ratio["below"])
    top = _SPELLINGS.get(above) if above else ("", 1.0)
    number = float(ratio["number"] or 1)
    if top is None or below is None or number == 0:
        return None
    kind = f"{top[0]}/{below[0]}" if below[0] else top[0]
    return Measure(kind, top[1] / (below[1] * number))


def conversion(written: str, wanted: str) -> float | None:
    """Return what a number in the unit `written` is multiplied by to be in the unit `wanted`.

    None where `written` is not known or measures something else. Exactly 1 where both are one.
    """
    have, want = _measure(written), _measure(wanted)
    if have is None or want is None or have.kind != want.kind:
        return None
    return 1.0 if have.factor == want.factor else have.factor / want.factor


def units_like(unit: str) -> str:
    """Return the usual units of the same kind, in words: "m, ft, mm or in"."""
    measure = _measure(unit)
    return _LIKE.get(measure.kind, unit) if measure is not None else unit
