"""The house as its sources show it: rooms, what each may import, and which arrows go wrong.

A hall is a folder of the root that holds code. A folder inside a hall is a room; a file that lies
in a hall itself is a room of its own, but the face, api/, is one room. The line in a room's
`__init__` says what the room may import: `Anchors and chain. May import: fault, models.arrays.` A
name there is a room of the same hall, `hall.room` of another, or a hall: all of it. "its own
files" are those that lie in the hall itself.
"""

from __future__ import annotations

import ast
import re
import sys
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "moorledger"
FACE = "api"
HALLS = ("models", "optimiser", "io", FACE)
"""From the ground up."""

BELOW: Mapping[str, set[str]] = {
    "models": {"models"},
    "optimiser": {"models", "optimiser"},
    "io": {"models", "io"},
    "io/commands": {"models", "optimiser", "io"},
    FACE: set(HALLS),
}
"""Hall, or room that may do more than its hall → the halls that it may import, whatever its line
says."""

LIBRARIES: Mapping[str, set[str]] = {
    "models": {"numpy"},
    "optimiser": {"numpy", "pulp", "highspy", "joblib", "distributed"},
    "io": {"pandas", "openpyxl", "click", "defusedxml", "PIL"},
    FACE: {"pandas"},
}
"""Hall → what it may import besides the standard library and our own rooms."""

MOST_MODULES = 12
"""In one folder, besides its `__init__`."""

LONGEST_LINE = 140
"""Characters of what an `__init__` says."""

OWN_FILES = "its own files"

Graph = Mapping[str, set[str]]


@dataclass(frozen=True)
class House:
    """The modules of all halls by their paths ("models/goods/anchor.py"), as text."""

    sources: Mapping[str, str]

    @classmethod
    def standing(cls, root: Path = ROOT) -> House:
        """Return the house on disk."""
        paths = sorted(path for hall in HALLS for path in (root / hall).rglob("*.py"))
        return cls({
            path.relative_to(root).as_posix(): path.read_text(encoding="utf-8") for path in paths
        })  # fmt: skip

    def with_line(self, path: str, line: str) -> House:
        """Return the house with a line put at the end of a module, which may be a new one."""
        return replace(
            self, sources={**self.sources, path: f"{self.sources.get(path, '')}\n{line}"}
        )

    @cached_property
    def trees(self) -> dict[str, ast.Module]:
        """Every module, parsed."""
        return {path: parsed(text) for path, text in self.sources.items()}

    @cached_property
    def imports(self) -> dict[str, tuple[str, ...]]:
        """The full dotted name of everything that each module imports."""
        return {path: imported(path, text) for path, text in self.sources.items()}

    @cached_property
    def files(self) -> dict[str, set[str]]:
        """Module → modules of the house that it imports, wherever in it the import stands."""
        return {
            path: {file for name in names if (file := self.file_of(name))} - {path}
            for path, names in self.imports.items()
        }

    @cached_property
    def rooms(self) -> dict[str, set[str]]:
        """Room → other rooms that it imports."""
        found: dict[str, set[str]] = {room_of(path): set() for path in self.sources}
        for path, targets in self.files.items():
            found[room_of(path)] |= {room_of(target) for target in targets} - {room_of(path)}
        return found

    def file_of(self, dotted: str) -> str | None:
        """Return the module that a dotted name lies in; None for one that is not ours."""
        package, *parts = dotted.split(".")
        if package != PACKAGE:
            return None
        if not parts or parts[0] not in HALLS:
            parts = [FACE, *parts]
        for end in range(len(parts), 0, -1):
            stem = "/".join(parts[:end])
            for path in (f"{stem}/__init__.py", f"{stem}.py"):
                if path in self.sources:
                    return path
        return None


@cache
def parsed(text: str) -> ast.Module:
    """Return a module's tree; the same for the same text, which many made-up houses share."""
    return ast.parse(text)


@cache
def imported(path: str, text: str) -> tuple[str, ...]:
    """Return the full dotted name of everything a module imports, relative imports resolved.

    `from a import b` gives "a.b", so that an imported module is seen whichever way it is named.
    """
    folders = Path(path).with_suffix("").parts
    here = (PACKAGE, *(folders[1:] if folders[0] == FACE else folders))
    found: list[str] = []
    for node in ast.walk(parsed(text)):
        if isinstance(node, ast.Import):
            found += (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = here[: len(here) - node.level] if node.level else ()
            module = ".".join((*above, *(node.module or "").split("."))).strip(".")
            found += (f"{module}.{alias.name}" for alias in node.names)
    return tuple(found)


def hall_of(path: str) -> str:
    """Return the hall of a module or room."""
    return path.split("/")[0]


def room_of(path: str) -> str:
    """Return the room of a module: its folder, or itself where it lies in a hall."""
    folder, _, file = path.rpartition("/")
    if folder in HALLS and folder != FACE and file != "__init__.py":
        return path
    return folder


def line_of(house: House, room: str) -> str:
    """Return the path of the `__init__` whose line tells what a room may import."""
    return f"{hall_of(room) if room.endswith('.py') else room}/__init__.py"


def said(house: House, path: str) -> list[str]:
    """Return what the line of an `__init__` allows, name by name; raises ValueError if it cannot
    be read."""
    text = ast.get_docstring(house.trees[path]) or ""
    first, *more = text.splitlines() or [""]
    if more and hall_of(path) != FACE:  # what help(moorledger) shows may be longer
        raise ValueError("more than one line")
    if len(first) > LONGEST_LINE:
        raise ValueError(f"{len(first)} characters")
    form = re.fullmatch(r"\S.*[.] May import: ([\w., ]+)[.]", first)
    if form is None:
        raise ValueError("does not end in 'May import: ... .'")
    return form[1].split(", ")


def meant(house: House, path: str, name: str) -> set[str]:
    """Return the rooms that one name in the line of an `__init__` stands for."""
    hall = hall_of(path)
    if name in HALLS:
        return {room for room in house.rooms if hall_of(room) == name}
    if name == OWN_FILES:
        return {room for room in house.rooms if hall_of(room) == hall and room.endswith(".py")}
    place = name.replace(".", "/") if "." in name else f"{hall}/{name}"
    return {place, f"{place}.py"} & set(house.rooms)


def unreadable_lines(house: House) -> list[str]:
    """Return every room whose `__init__` has no line that can be read, or has more in it."""
    wrong = []
    for folder in sorted({path.rpartition("/")[0] for path in house.sources}):
        path = f"{folder}/__init__.py"
        if path not in house.sources:
            wrong.append(f"{folder}: no __init__.py")
            continue
        try:
            names = said(house, path)
        except ValueError as error:
            wrong.append(f"{path}: {error}")
            continue
        wrong += [f"{path}: {name} is nowhere" for name in names if not meant(house, path, name)]
        if names != sorted(names, key=lambda name: (name != OWN_FILES, name)):
            wrong.append(f"{path}: names are not in order")
        if folder != FACE and len(house.trees[path].body) > 1:
            wrong.append(f"{path}: more than its line")
    return wrong


def wrong_arrows(house: House) -> list[str]:
    """Return every import that the line of its room does not allow."""
    allowed = {
        room: set().union(*(meant(house, line, name) for name in said(house, line)))
        for room in house.rooms
        if (line := line_of(house, room))
    }
    return [
        f"{path} imports {target}"
        for path, targets in house.files.items()
        for target in sorted(targets)
        if room_of(target) not in allowed[room_of(path)] | {room_of(path)}
    ]


def needless_lines(house: House) -> list[str]:
    """Return every name in a line that no module of the room imports."""
    going: dict[str, set[str]] = defaultdict(set)
    for room, targets in house.rooms.items():
        going[line_of(house, room)] |= targets
    return [
        f"{path}: {name}"
        for path, targets in going.items()
        for name in said(house, path)
        if not meant(house, path, name) & targets
    ]


def climbing_imports(house: House, floors: Mapping[str, int] | None = None) -> list[str]:
    """Return every import from a hall to one that it may not see; where `floors` are given (room →
    floor, the ground floor least), also those to a room that does not stand lower."""
    wrong = []
    for path, targets in house.files.items():
        room = room_of(path)
        halls = BELOW.get(room, BELOW[hall_of(path)])
        for target in sorted(targets):
            other = room_of(target)
            climbs = (
                other != room and floors is not None and floors.get(other, 0) >= floors.get(room, 0)
            )
            if hall_of(target) not in halls or climbs:
                wrong.append(f"{path} imports {target}")
    return wrong


def strange_libraries(house: House) -> list[str]:
    """Return every import from outside that the hall is not to have."""
    return [
        f"{path} imports {dotted}"
        for path, names in house.imports.items()
        for dotted in names
        if (top := dotted.split(".")[0]) != PACKAGE
        and top not in LIBRARIES[hall_of(path)]
        and top not in sys.stdlib_module_names
    ]


def hidden_imports(house: House) -> list[str]:
    """Return every module that imports by a made-up name, behind the back of this walk."""
    return [
        path
        for path, tree in house.trees.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and ast.unparse(node.func).split(".")[-1] in ("import_module", "__import__")
    ]


def shared_by_recheck(house: House) -> list[str]:
    """Return every import of the recheck other than models, itself and the standard library."""
    ours = {
        f"{path} imports {target}"
        for path, targets in house.files.items()
        for target in targets
        if room_of(path) == "optimiser/recheck"
        and room_of(target) != "optimiser/recheck"
        and hall_of(target) != "models"
    }
    solvers = {
        f"{path} imports {dotted}"
        for path, names in house.imports.items()
        for dotted in names
        if room_of(path) == "optimiser/recheck" and dotted.split(".")[0] in ("pulp", "highspy")
    }
    return sorted(ours | solvers)


def full_folders(house: House) -> list[str]:
    """Return every folder with more modules than fit."""
    count: dict[str, int] = defaultdict(int)
    for path in house.sources:
        count[path.rpartition("/")[0]] += not path.endswith("/__init__.py")
    return [f"{folder}: {most} modules" for folder, most in count.items() if most > MOST_MODULES]


def circles_of_files(house: House) -> list[str]:
    """Return every circle of modules, as its members."""
    return circles(house.files)


def circles_of_rooms(house: House) -> list[str]:
    """Return every circle of rooms, as its members."""
    return circles(house.rooms)


def circles(graph: Graph) -> list[str]:
    """Return the strongly connected parts of a graph that have more than one member."""
    reach = {node: _reached(graph, node) for node in graph}
    found = {
        frozenset(other for other in reach[node] if node in reach[other])
        for node in graph
        if node in reach[node]
    }
    return sorted(", ".join(sorted(members)) for members in found if len(members) > 1)


def _reached(graph: Graph, start: str) -> set[str]:
    """Return what can be reached from a node in a step or more."""
    seen: set[str] = set()
    left = [*graph[start]]
    while left:
        node = left.pop()
        if node not in seen:
            seen.add(node)
            left += graph[node]
    return seen


CHECKS: tuple[Callable[[House], list[str]], ...] = (
    unreadable_lines,
    wrong_arrows,
    needless_lines,
    climbing_imports,
    strange_libraries,
    hidden_imports,
    shared_by_recheck,
    full_folders,
    circles_of_files,
    circles_of_rooms,
)
"""What must find nothing."""
