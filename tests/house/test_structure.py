"""How the house is built: which room may import which, and what every module must carry."""

from __future__ import annotations

import ast
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "moorledger"
ROOMS = ("models", "optimiser", "io")
MODULES = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))

OUTSIDE = {
    "models": {"numpy"},
    "optimiser": {"numpy", "pulp", "highspy"},
    "io": {"pandas", "openpyxl", "click", "defusedxml", "PIL"},
}
"""Room → what it may import besides the standard library and our own rooms."""

LONGEST_MODULE = 400
"""Lines; a module is about one noun of the trade."""

VAGUE = ("utils", "util", "helpers", "helper", "common", "manager", "base", "misc")
"""Names that say nothing about what a module is about."""


def name(path: Path) -> str:
    """Return a module's path as it is shown in test ids."""
    return path.relative_to(ROOT).as_posix()


every_module = pytest.mark.parametrize("path", MODULES, ids=name)


def tree(path: Path) -> ast.Module:
    """Return the parsed module."""
    return ast.parse(path.read_text(encoding="utf-8"))


def imports(path: Path, source: ast.Module) -> Iterator[str]:
    """Yield the full dotted name of everything a module imports, relative imports resolved.

    `from a import b` yields "a.b", so that an imported module is seen whichever way it is named.
    """
    here = (PACKAGE, *path.relative_to(ROOT).with_suffix("").parts)
    for node in ast.walk(source):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = here[: len(here) - node.level] if node.level else ()
            module = ".".join((*above, *(node.module or "").split("."))).strip(".")
            yield from (f"{module}.{alias.name}" for alias in node.names)


def room_of(dotted: str) -> str | None:
    """Return the room that a dotted name of ours lies in; None for anything else."""
    parts = dotted.split(".")
    return parts[1] if parts[0] == PACKAGE and len(parts) > 1 else None


def forbidden(path: Path, source: ast.Module) -> list[str]:
    """Return the imports of a module that the table of rooms in DEVELOPERS.md does not allow."""
    room = path.relative_to(ROOT).parts[0]
    rooms = {room, "models"}
    if name(path).startswith("io/commands/"):
        rooms.add("optimiser")
    wrong = []
    for dotted in imports(path, source):
        top = dotted.split(".")[0]
        own = room_of(dotted)
        if top == PACKAGE:
            allowed = own in rooms
        else:
            allowed = top in OUTSIDE[room] or top in sys.stdlib_module_names
        if not allowed:
            wrong.append(dotted)
    return wrong


def test_every_room_has_modules() -> None:
    """The walk sees all three rooms, so that the tests below are about something."""
    assert {path.relative_to(ROOT).parts[0] for path in MODULES} == set(ROOMS)


@every_module
def test_imports_follow_the_arrows(path: Path) -> None:
    """Workbook → io → Farm → optimiser → Plan → io: no module imports against the arrows."""
    assert forbidden(path, tree(path)) == []


@pytest.mark.parametrize(
    ("module", "line", "wrong"),
    [
        (
            "models/leg.py",
            "from ..optimiser.price import price",
            "moorledger.optimiser.price.price",
        ),
        ("models/leg.py", "import pandas", "pandas"),
        ("models/leg.py", "from .. import io", "moorledger.io"),
        ("optimiser/price.py", "from ..io import workbook", "moorledger.io.workbook"),
        ("optimiser/price.py", "import scipy.stats", "scipy.stats"),
        ("io/workbook.py", "from ..optimiser import price", "moorledger.optimiser.price"),
        ("io/workbook.py", "import moorledger.optimiser", "moorledger.optimiser"),
        ("io/workbook.py", "def f():\n    import pulp", "pulp"),
        ("models/leg.py", "import models.anchor", "models.anchor"),
    ],
)
def test_the_walk_sees_a_wrong_arrow(module: str, line: str, wrong: str) -> None:
    """The check itself catches each kind of forbidden import, however it is spelled."""
    assert forbidden(ROOT / module, ast.parse(line)) == [wrong]


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("models/leg.py", "from .fault import Source\nimport numpy as np\nimport math"),
        ("optimiser/price.py", "from ..models.plan import Plan\nimport pulp, highspy"),
        ("io/workbook.py", "from ..models import farm\nimport io, zipfile"),
        ("io/commands/command_line.py", "from ...optimiser.price import price\nimport click"),
        ("io/commands/comparing.py", "from ...optimiser.pricing import Pricing\nimport click"),
    ],
)
def test_the_walk_lets_right_arrows_pass(module: str, line: str) -> None:
    """The check itself does not cry at what the table allows."""
    assert forbidden(ROOT / module, ast.parse(line)) == []


@every_module
def test_nothing_is_imported_by_a_made_up_name(path: Path) -> None:
    """No import hides from the walk behind `import_module` or `__import__`."""
    called = {
        node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call)
    }
    assert not called & {"import_module", "__import__"}


RECHECKS = sorted(ROOT.glob("optimiser/recheck/*.py"))


@pytest.mark.parametrize("path", RECHECKS, ids=name)
def test_the_recheck_shares_nothing_with_the_programme(path: Path) -> None:
    """The check of a finished plan sees the models and itself: no sibling, no solver."""
    for dotted in imports(path, tree(path)):
        if dotted.split(".")[0] == PACKAGE:
            own = room_of(dotted) == "models" or dotted.split(".")[2].startswith("recheck")
            assert own, dotted
        else:
            assert dotted.split(".")[0] not in ("pulp", "highspy"), dotted


def test_there_is_a_recheck() -> None:
    """The check of a finished plan is there to be looked at."""
    assert "optimiser/recheck/recheck.py" in [name(path) for path in RECHECKS]


@pytest.mark.parametrize("path", sorted(ROOT.glob("tests/**/*.py")), ids=name)
def test_tests_import_the_package_not_the_folders(path: Path) -> None:
    """`import models` would load a second copy of every class from the folder beside tests."""
    tops = {dotted.split(".")[0] for dotted in imports(path, tree(path))}
    assert not tops & {"models", "optimiser"}


def test_no_second_copy_is_loaded() -> None:
    """No module of the rooms has been imported as if the folders were packages of their own."""
    top = {module.split(".")[0] for module in sys.modules}
    assert not top & {"models", "optimiser"}
    assert not str(getattr(sys.modules["io"], "__file__", "")).startswith(str(ROOT))


@every_module
def test_module_is_short_and_named_for_a_noun(path: Path) -> None:
    """At most 400 lines, and no name that could hold anything."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE
    assert not set(path.stem.split("_")) & set(VAGUE)


def public_parts(body: list[ast.stmt], prefix: str = "") -> Iterator[tuple[str, ast.AST]]:
    """Yield the public functions and classes of a module, and the public methods of these."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            if node.name.startswith("_"):
                continue
            yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public_parts(node.body, f"{prefix}{node.name}.")


@every_module
def test_everything_public_has_a_docstring(path: Path) -> None:
    """Every module, and every public class, function and method in it."""
    source = tree(path)
    assert ast.get_docstring(source), "the module itself"
    bare = [
        part
        for part, node in public_parts(source.body)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        and not ast.get_docstring(node)
    ]
    assert bare == []


@pytest.mark.parametrize("path", sorted(ROOT.glob("models/*.py")), ids=name)
def test_dataclasses_of_the_trade_are_frozen(path: Path) -> None:
    """What the models hold cannot be changed behind a plan's back."""
    thawed = []
    for node in ast.walk(tree(path)):
        if not isinstance(node, ast.ClassDef):
            continue
        for decorator in node.decorator_list:
            call = decorator if isinstance(decorator, ast.Call) else None
            target = call.func if call else decorator
            if ast.unparse(target).split(".")[-1] != "dataclass":
                continue
            settings = {k.arg: ast.unparse(k.value) for k in call.keywords} if call else {}
            if settings.get("frozen") != "True":
                thawed.append(node.name)
    assert thawed == []


def test_packages_on_disk_are_the_packages_declared() -> None:
    """pyproject lists every folder of code, each mapped to its own folder: none is left out."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    setuptools = project["tool"]["setuptools"]
    folders = {path.parent.relative_to(ROOT).as_posix() for path in MODULES}
    declared = {f"{PACKAGE}.{folder.replace('/', '.')}": folder for folder in folders}
    declared[f"{PACKAGE}.sample_farm"] = "sample_inputs/heron_sound"  # data alone, for `template`
    assert set(setuptools["packages"]) == set(declared)
    assert setuptools["package-dir"] == declared
    assert {*ROOMS, "sample_farm"} == {name.split(".")[1] for name in setuptools["package-data"]}


def test_folders_of_the_root_are_those_of_the_design() -> None:
    """No code lies in a folder that the design does not name."""
    known = {*ROOMS, "tests", "sample_inputs", "benchmarks", "docs", ".ci"}
    with_code = {
        path.relative_to(ROOT).parts[0]
        for path in ROOT.glob("*/**/*.py")
        if path.relative_to(ROOT).parts[0] not in (".git", "build", ".venv", "venv")
    }
    assert with_code <= known
    assert list(ROOT.glob("*.py")) == []


@pytest.mark.parametrize("path", sorted(ROOT.glob("tests/**/test_*.py")), ids=name)
def test_every_test_says_what_it_is_for(path: Path) -> None:
    """Each test has a docstring."""
    silent = [
        node.name
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []
