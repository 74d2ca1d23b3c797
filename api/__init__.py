"""The face: `import moorledger as ml` does the main job. May import: io, models, optimiser.

farm = ml.read_farm("farm.xlsx"); plan = ml.price(farm); ml.write_plan(plan, "order.xlsx"). Each
name is loaded when it is first asked for: importing the package alone costs some milliseconds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .io.order.order_workbook import write_plan as write_plan
    from .io.reading.workbook import read_farm as read_farm
    from .models.answer.plan import Plan as Plan
    from .models.farm import Farm as Farm
    from .models.fault import FarmError as FarmError
    from .optimiser.price import price as price
    from .questions import break_even as break_even
    from .questions import compare as compare
    from .questions import holding as holding
    from .questions import next_tests as next_tests
    from .questions import price_sure as price_sure
    from .tables import frames as frames

    __version__: str

__all__ = [
    "Farm",
    "FarmError",
    "Plan",
    "__version__",
    "break_even",
    "compare",
    "frames",
    "holding",
    "next_tests",
    "price",
    "price_sure",
    "read_farm",
    "write_plan",
]


def __getattr__(name: str) -> Any:
    """Load a name of the face the first time that it is asked for (PEP 562)."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    home: Any
    match name:
        case "__version__":
            from importlib import metadata

            return metadata.version("moorledger")
        case "read_farm":
            from .io.reading import workbook as home
        case "write_plan":
            from .io.order import order_workbook as home
        case "price":
            from .optimiser import price as home
        case "frames":
            from . import tables as home
        case "Farm":
            from .models import farm as home
        case "FarmError":
            from .models import fault as home
        case "Plan":
            from .models.answer import plan as home
        case _:
            from . import questions as home
    value = globals()[name] = getattr(home, name)
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
