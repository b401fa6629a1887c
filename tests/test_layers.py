"""Layers point one way: what a package may import, held by walking the imports."""

from __future__ import annotations

import ast
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import planner

ROOT = Path(planner.__file__).parent

#: From the bottom up. A package may import those before it (and itself).
ORDER = ("table_sets", "job", "tables", "plan", "words", "air", "gear", "check", "day", "schedule")
ABOVE = ("hours", "log", "whatif", "workbook", "charts", "sheets", "store", "screens", "cli")
EVERYWHERE = ("cores", "errors", "file_limits", "files", "password")

#: Among the upper packages: who may import whom beside everything in ORDER.
UPPER: dict[str, set[str]] = {
    "workbook": set(),
    "hours": {"log"},
    "log": set(),
    "whatif": {"hours", "log"},
    "charts": {"hours", "log", "whatif"},
    "sheets": {"workbook", "charts", "hours", "log", "whatif"},
    "store": {"workbook", "sheets", "hours", "log"},
    "screens": {"charts", "workbook", "sheets", "store", "hours", "log", "whatif"},
    "cli": {"charts", "workbook", "sheets", "store", "hours", "log", "whatif"},
}

#: Files that stand on top of everything: the front door and the command line's start.
TOP = ("__init__", "__main__")


def module_of(path: Path) -> str:
    """``planner/job/site.py`` is ``planner.job.site``; a package goes by its folder."""
    parts = (ROOT.name, *path.relative_to(ROOT).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


FILES = {module_of(path): path for path in sorted(ROOT.rglob("*.py"))}


def for_types_only(node: ast.AST) -> bool:
    """Whether this is ``if TYPE_CHECKING:``, which no run of the program enters."""
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)


@cache
def import_nodes(path: Path, types: bool) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """Every import of a file, functions' own included; with ``types`` those for type checks too."""
    found = []
    waiting: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.Import | ast.ImportFrom):
            found.append(node)
        elif not isinstance(node, ast.expr) and (types or not for_types_only(node)):
            waiting.extend(ast.iter_child_nodes(node))
    return tuple(found)


@cache
def imports_of(path: Path, types: bool = True) -> frozenset[str]:
    """Modules that a file imports, by full name; a name taken out of a package counts as the package."""
    found = set()
    for node in import_nodes(path, types):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif node.module and node.level == 0:
            inner = {f"{node.module}.{a.name}" for a in node.names}
            found |= inner & FILES.keys()
            if not inner <= FILES.keys():
                found.add(node.module)
    return frozenset(found)


def room_of(path: Path) -> str:
    part = path.relative_to(ROOT).parts[0]
    return part.removesuffix(".py")


def rooms_imported(path: Path) -> set[str]:
    return {name.split(".")[1] for name in imports_of(path) if name.startswith("planner.")}


def circles(types: bool, aside: str = "") -> list[list[str]]:
    """Groups of files that import one another, directly or by way of others, with one file left aside.

    They are the strongly connected parts of the graph of imports: two files are in one when each can be
    reached from the other.
    """
    files = FILES.keys() - {aside}
    graph = {m: imports_of(FILES[m], types) & files - {m} for m in files}

    @cache
    def reached(start: str) -> frozenset[str]:
        seen: set[str] = set()
        waiting = list(graph[start])
        while waiting:
            module = waiting.pop()
            if module not in seen:
                seen.add(module)
                waiting.extend(graph[module])
        return frozenset(seen)

    in_one = {m: sorted(o for o in reached(m) if m in reached(o)) for m in graph if m in reached(m)}
    return sorted({tuple(group): group for group in in_one.values()}.values())


def users_of(package: str) -> set[str]:
    """Files that import a package from outside, as paths below ``planner/``."""
    return {
        path.relative_to(ROOT).as_posix()
        for path in FILES.values()
        if any(name.split(".")[0] == package for name in imports_of(path))
    }


def names_from(path: Path) -> Iterable[tuple[str, str]]:
    """(module, name) of every name that a file takes out of a module of ours."""
    for node in import_nodes(path, True):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "planner":
            for alias in node.names:
                yield node.module, alias.name


def test_layers_point_one_way() -> None:
    """No package imports one above it, and every package has its place."""
    wrong = []
    for path in FILES.values():
        room = room_of(path)
        if room in {*TOP, *EVERYWHERE}:
            continue
        if room in ORDER:
            allowed = set(ORDER[: ORDER.index(room) + 1])
        else:
            assert room in ABOVE, f"{room} has no place among the layers"
            allowed = {*ORDER, room, *UPPER[room]}
        for other in rooms_imported(path) - allowed - set(EVERYWHERE):
            if (ROOT / other).exists() or (ROOT / f"{other}.py").exists():
                wrong.append(f"{path.relative_to(ROOT)} imports {other}")
    assert wrong == []


def test_no_circles_of_files() -> None:
    """No file imports itself by way of others: each can be read, and understood, after those it stands on."""
    assert circles(types=False) == []


def test_no_circles_of_files_for_types_either() -> None:
    """Imports that only a type check follows make no circle: a file is not typed by what stands on it. The
    front door is left aside: for types it names the whole house, and any file may ask it for the caution."""
    assert circles(types=True, aside="planner") == []


def test_one_word_names_one_class() -> None:
    """No two classes have one name, private or not: a reader who looks a word up comes to one place."""
    places: dict[str, list[str]] = {}
    for module, path in FILES.items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                places.setdefault(node.name, []).append(module)
    assert {name: where for name, where in places.items() if len(where) > 1} == {}


def test_no_private_name_leaves_its_room() -> None:
    """A name with a leading underscore is not imported by a file of another package."""
    wrong = [
        f"{path.relative_to(ROOT)} takes {name} from {module}"
        for path in FILES.values()
        for module, name in names_from(path)
        if name.startswith("_") and not name.startswith("__") and module.split(".")[1:2] != [room_of(path)]
    ]
    assert wrong == []


def test_the_solver_is_imported_in_three_folders() -> None:
    """ortools only where a model is made or solved: schedule/model, schedule/crews and schedule/search."""
    folders = {name.rpartition("/")[0] for name in users_of("ortools")}
    assert folders == {"schedule/model", "schedule/crews", "schedule/search"}


def test_the_web_framework_is_imported_in_one_package() -> None:
    """streamlit only in planner/screens (and app.py)."""
    assert {name.split("/")[0] for name in users_of("streamlit")} == {"screens"}


def test_the_check_stands_without_the_scheduler() -> None:
    """Nothing that the verdict reaches imports the clock of a day or the scheduler: the check never shares
    arithmetic with what it judges."""
    for path in FILES.values():
        if room_of(path) in ("plan", "air", "gear", "check", "tables", "job"):
            assert rooms_imported(path) & {"schedule", "day"} == set(), path
