"""How the house is built: which room may import which, and what every module must carry."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Callable, Iterator
from functools import cache

import pytest

from tests.house.rooms import (
    BELOW,
    CHECKS,
    HALLS,
    MOST_MODULES,
    PACKAGE,
    ROOT,
    House,
    circles_of_files,
    circles_of_rooms,
    climbing_imports,
    full_folders,
    hall_of,
    hidden_imports,
    needless_lines,
    shared_by_recheck,
    strange_libraries,
    unreadable_lines,
    wrong_arrows,
)
from tests.quick_run import LONG

Check = Callable[[House], list[str]]

HOUSE = House.standing()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TESTS = House({
    path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
    for path in sorted(ROOT.glob("tests/**/*.py"))
})  # fmt: skip

LONGEST_MODULE = 400
"""Lines; a module is about one noun of the trade."""

VAGUE = ("utils", "util", "helpers", "helper", "common", "manager", "base", "misc")
"""Names that say nothing about what a module is about."""


def floors() -> dict[str, int]:
    """Return room → floor, as the table of rooms in DEVELOPERS.md has them, its last row 0."""
    section = DEVELOPERS.split("## Layout")[1].split("\n## ")[0]
    rows = [row.split("|")[1] for row in section.splitlines() if row.startswith("| `")]
    return {
        place.rstrip("/"): floor
        for floor, cell in enumerate(reversed(rows))
        for place in re.findall(r"`([\w/.]+)`", cell)
    }


@LONG
def test_the_walk_sees_every_hall() -> None:
    """Each hall has modules, and modules that import: the tests below are about something."""
    assert {hall_of(path) for path, targets in HOUSE.files.items() if targets} == set(HALLS)
    assert "optimiser/recheck" in HOUSE.rooms


def test_every_room_says_what_it_may_import() -> None:
    """A room's `__init__` is one line of at most 100 characters that a machine can read too."""
    assert unreadable_lines(HOUSE) == []


def test_imports_follow_the_lines_of_the_rooms() -> None:
    """No module imports from a room that its own room's line does not name."""
    assert wrong_arrows(HOUSE) == []


def test_no_line_allows_what_nobody_imports() -> None:
    """The lines are as narrow as the code: a permission that is not used goes."""
    assert needless_lines(HOUSE) == []


def test_no_import_goes_up() -> None:
    """Workbook → io → Farm → optimiser → Plan → io: no module imports against the arrows.

    Between halls whatever the lines say; between rooms by their floors in DEVELOPERS.md.
    """
    assert climbing_imports(HOUSE, floors()) == []


def test_every_room_stands_on_a_floor_in_developers() -> None:
    """The table of rooms in DEVELOPERS.md has every room, and none that there is not."""
    # A hall's own `__init__` is no room: it holds the line of the hall's files.
    assert set(floors()) == set(HOUSE.rooms) - set(HALLS) | {"api"}


def test_no_circle_of_modules() -> None:
    """No module comes back to itself by its imports, those for types alone included."""
    assert circles_of_files(HOUSE) == []


def test_no_circle_of_rooms() -> None:
    """No room comes back to itself by its imports."""
    assert circles_of_rooms(HOUSE) == []


def test_no_folder_holds_more_than_a_dozen_modules() -> None:
    """A room is taken in at a glance, and so is a folder of tests."""
    assert full_folders(HOUSE) == []
    assert full_folders(TESTS) == []


def test_each_hall_has_its_own_libraries_only() -> None:
    """No solver in models, no workbook in optimiser, and so on."""
    assert strange_libraries(HOUSE) == []


def test_nothing_is_imported_by_a_made_up_name() -> None:
    """No import hides from the walk behind `import_module` or `__import__`."""
    assert hidden_imports(HOUSE) == []


def test_the_recheck_shares_nothing_with_the_programme() -> None:
    """The check of a finished plan sees the models and itself: no sibling, no solver."""
    assert shared_by_recheck(HOUSE) == []


WRONG = {
    "a hall above": (
        climbing_imports,
        "models/site/leg.py",
        "from ...optimiser.price import price",
        "optimiser/price.py",
    ),
    "a whole hall above": (climbing_imports, "models/farm.py", "from .. import io", "io"),
    "the hall of files": (
        climbing_imports,
        "optimiser/price.py",
        "from ..io.reading import workbook",
        "io/reading/workbook.py",
    ),
    "the optimiser, from io": (
        climbing_imports,
        "io/reading/workbook.py",
        "import moorledger.optimiser.price",
        "optimiser/price.py",
    ),
    "the face, from within a function": (
        climbing_imports,
        "io/commands/pricing.py",
        "def f():\n    from ... import tables",
        "api/tables.py",
    ),
    "the face itself": (climbing_imports, "io/plan_json.py", "import moorledger", "api"),
    "a room beside": (
        wrong_arrows,
        "io/laying/legs.py",
        "from ..order import freight",
        "io/order/freight.py",
    ),
    "a hall's file that the line leaves out": (
        wrong_arrows,
        "models/site/leg.py",
        "from ..farm import Farm",
        "models/farm.py",
    ),
    "a room of another hall that the line leaves out": (
        wrong_arrows,
        "optimiser/solvers/matrix.py",
        "from ...models import farm",
        "models/farm.py",
    ),
    "the recheck's sibling": (
        shared_by_recheck,
        "optimiser/recheck/legs.py",
        "from ..choices import make_ups",
        "optimiser/choices/make_ups.py",
    ),
    "the recheck's solver": (shared_by_recheck, "optimiser/recheck/legs.py", "import pulp", "pulp"),
    "a library": (strange_libraries, "models/site/leg.py", "import pandas", "pandas"),
    "a library in a function": (
        strange_libraries,
        "io/order/summary.py",
        "def f():\n    import scipy.stats",
        "scipy.stats",
    ),
    "a folder as a package": (
        strange_libraries,
        "models/site/leg.py",
        "import models.farm",
        "models.farm",
    ),
    "a made-up name": (
        hidden_imports,
        "io/plan_json.py",
        "import importlib\nimportlib.import_module('x')",
        "io/plan_json.py",
    ),
    "a circle of modules": (
        circles_of_files,
        "models/site/leg.py",
        "from .vessel import Vessel\n",
        "",
    ),
    "a circle for types alone": (
        circles_of_files,
        "models/fault.py",
        "if TYPE_CHECKING:\n    from .farm import Farm",
        "models/fault.py",
    ),
    "a circle of rooms": (
        circles_of_rooms,
        "io/reading/workbook.py",
        "from ..order.order_workbook import write_plan",
        "io/reading",
    ),
    "a line that cannot be read": (
        unreadable_lines,
        "io/mooring/__init__.py",
        '"""What it is."""',
        "io/mooring",
    ),
    "a line that names what is not": (
        unreadable_lines,
        "io/mooring/__init__.py",
        '"""What it is. May import: nowhere."""',
        "nowhere",
    ),
    "code in an __init__": (
        unreadable_lines,
        "io/words/__init__.py",
        "VERSION = 1",
        "io/words/__init__.py",
    ),
    "a room without a line": (unreadable_lines, "io/mooring/buoy.py", "", "io/mooring"),
    "a line wider than the code": (
        needless_lines,
        "io/mooring/__init__.py",
        '"""What it is. May import: words."""',
        "words",
    ),
}
"""What is wrong: the check that must see it, a module, a line put into it, and what it names."""


def news(check: Check, house: House) -> list[str]:
    """Return what a check finds in a changed house and not in the house as it stands."""
    known = standing_faults(check)
    return [found for found in check(house) if found not in known]


@cache
def standing_faults(check: Check) -> list[str]:
    """Return what a check finds in the house as it stands."""
    return check(HOUSE)


def climbs_a_floor(house: House) -> list[str]:
    """Return the climbing imports, with the floors of DEVELOPERS.md."""
    return climbing_imports(house, floors())


@pytest.mark.parametrize("wrong", WRONG)
def test_each_check_fails_when_the_wrong_is_put_in(wrong: str) -> None:
    """The checks themselves see each kind of wrong import, however it is spelled."""
    check, path, line, named = WRONG[wrong]
    house = HOUSE
    if wrong == "a circle of modules":
        house = house.with_line("models/site/vessel.py", "from .leg import Leg")
    (found,) = news(check, house.with_line(path, line))
    assert path.removesuffix("/__init__.py") in found or path.rpartition("/")[0] in found
    assert named in found


def test_an_import_between_floors_is_seen() -> None:
    """A room may not import one on its own floor of DEVELOPERS.md, nor one above."""
    level = HOUSE.with_line("io/laying/legs.py", "from ..options import reasons")
    (found,) = news(climbs_a_floor, level)
    assert found == "io/laying/legs.py imports io/options/reasons.py"
    up = HOUSE.with_line("models/goods/rope.py", "from ..farm import Farm")
    (found,) = news(climbs_a_floor, up)
    assert found == "models/goods/rope.py imports models/farm.py"


def test_a_thirteenth_module_is_seen() -> None:
    """A folder is full at a dozen, and `__init__` does not count."""
    house = House({f"io/mooring/{letter}.py": "" for letter in "abcdefghijkl"})
    house = house.with_line("io/mooring/__init__.py", "")
    assert full_folders(house) == []
    assert full_folders(house.with_line("io/mooring/m.py", "")) == [
        f"io/mooring: {MOST_MODULES + 1} modules"
    ]


def test_every_check_is_shown_to_fail() -> None:
    """No check of the list is left untried above."""
    tried = {check for check, *_ in WRONG.values()} | {full_folders}
    assert set(CHECKS) == tried


def test_the_checks_let_right_imports_pass() -> None:
    """The checks do not cry at what the rooms allow."""
    house = HOUSE
    for path, line in (
        ("models/site/leg.py", "from ..fault import Source\nimport numpy as np\nimport math"),
        ("optimiser/price.py", "from ..models.answer.plan import Plan\nimport pulp, highspy"),
        ("io/reading/workbook.py", "from ...models import farm\nimport io, zipfile"),
        ("io/commands/pricing.py", "from ...optimiser.price import price\nimport click"),
        ("api/tables.py", "from .models.farm import Farm"),
    ):
        house = house.with_line(path, line)
    assert [found for check in (*CHECKS, climbs_a_floor) for found in news(check, house)] == []


def test_halls_that_see_more_are_few() -> None:
    """Only the command line, of all rooms below the face, may see io and optimiser at once."""
    both = {place for place, halls in BELOW.items() if {"io", "optimiser"} <= halls}
    assert both == {"io/commands", "api"}


def test_tests_import_the_package_not_the_folders() -> None:
    """`import models` would load a second copy of every class from the folder beside tests."""
    wrong = [
        f"{path}: {dotted}"
        for path, names in TESTS.imports.items()
        for dotted in names
        if dotted.split(".")[0] in ("models", "optimiser", "api")
    ]
    assert wrong == []


def test_no_second_copy_is_loaded() -> None:
    """No module of the halls has been imported as if the folders were packages of their own."""
    top = {module.split(".")[0] for module in sys.modules}
    assert not top & {"models", "optimiser", "api"}
    assert not str(getattr(sys.modules["io"], "__file__", "")).startswith(str(ROOT))


def test_no_module_lies_beside_a_folder_of_its_name() -> None:
    """Of `cutting.py` and `cutting/` Python would load the folder and never the file."""
    folders = {path.rpartition("/")[0] for path in HOUSE.sources}
    assert [path for path in HOUSE.sources if path.removesuffix(".py") in folders] == []


def test_modules_are_short() -> None:
    """At most 400 lines each."""
    lines = {path: len(text.splitlines()) for path, text in HOUSE.sources.items()}
    assert [f"{path}: {n}" for path, n in lines.items() if n > LONGEST_MODULE] == []


def test_modules_are_named_for_a_noun() -> None:
    """No name of a module or a folder could hold just anything."""
    assert [
        path
        for path in (*HOUSE.sources, *TESTS.sources)
        if set(re.split(r"[/_]", path.removesuffix(".py"))) & set(VAGUE)
    ] == []


def public_parts(body: list[ast.stmt], prefix: str = "") -> Iterator[tuple[str, str | None]]:
    """Yield the public functions and classes of a module and the public methods of these, each
    with its docstring."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            if node.name.startswith("_"):
                continue
            yield prefix + node.name, ast.get_docstring(node)
            if isinstance(node, ast.ClassDef):
                yield from public_parts(node.body, f"{prefix}{node.name}.")


def test_everything_public_has_a_docstring() -> None:
    """Every module, and every public class, function and method in it."""
    bare = [path for path, tree in HOUSE.trees.items() if not ast.get_docstring(tree)]
    bare += [
        f"{path}: {part}"
        for path, tree in HOUSE.trees.items()
        for part, docstring in public_parts(tree.body)
        if not docstring
    ]
    assert bare == []


def thawed(tree: ast.Module) -> Iterator[str]:
    """Yield the dataclasses of a module that are not frozen."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        for decorator in node.decorator_list:
            call = decorator if isinstance(decorator, ast.Call) else None
            target = call.func if call else decorator
            if ast.unparse(target).split(".")[-1] != "dataclass":
                continue
            settings = {k.arg: ast.unparse(k.value) for k in call.keywords} if call else {}
            if settings.get("frozen") != "True":
                yield node.name


def test_dataclasses_of_the_trade_are_frozen() -> None:
    """What the models hold, in all their rooms, cannot be changed behind a plan's back."""
    trade = {path: tree for path, tree in HOUSE.trees.items() if hall_of(path) == "models"}
    assert any("@dataclass(frozen=True)" in HOUSE.sources[path] for path in trade)
    assert [f"{path}: {name}" for path, tree in trade.items() for name in thawed(tree)] == []
    assert list(
        thawed(ast.parse("@dataclass\nclass A: ...\n@dataclass(order=True)\nclass B: ..."))
    ) == [
        "A",
        "B",
    ]


def test_packages_on_disk_are_the_packages_declared() -> None:
    """pyproject lists every folder of code, each mapped to its own folder: none is left out."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    setuptools = project["tool"]["setuptools"]
    folders = {path.rpartition("/")[0] for path in HOUSE.sources}
    declared = {
        PACKAGE if folder == "api" else f"{PACKAGE}.{folder.replace('/', '.')}": folder
        for folder in folders
    }
    declared[f"{PACKAGE}.sample_farm"] = "sample_inputs/heron_sound"  # data alone, for `template`
    assert sorted(setuptools["packages"]) == sorted(declared)
    assert setuptools["package-dir"] == declared
    data = {PACKAGE, *(f"{PACKAGE}.{part}" for part in (*HALLS[:-1], "sample_farm"))}
    assert set(setuptools["package-data"]) == data


def test_folders_of_the_root_are_those_of_the_design() -> None:
    """No code lies in a folder that the design does not name."""
    known = {*HALLS, "tests", "sample_inputs", "benchmarks", "docs", ".ci"}
    with_code = {
        path.relative_to(ROOT).parts[0]
        for path in ROOT.glob("*/**/*.py")
        if path.relative_to(ROOT).parts[0] not in (".git", "build", ".venv", "venv")
    }
    assert with_code <= known
    assert list(ROOT.glob("*.py")) == []


def test_every_test_says_what_it_is_for() -> None:
    """Each test has a docstring, each folder of tests and each of its modules too."""
    silent = [path for path, tree in TESTS.trees.items() if not ast.get_docstring(tree)]
    silent += [
        f"{path}: {node.name}"
        for path, tree in TESTS.trees.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []
