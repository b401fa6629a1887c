"""Layers point one way: what a package may import, held by walking the imports."""

from __future__ import annotations

import ast
from pathlib import Path

import planner

ROOT = Path(planner.__file__).parent

#: From the bottom up. A package may import those before it (and itself).
ORDER = ("job", "tables", "rules", "plan", "words", "air", "gear", "verdict", "schedule")
ABOVE = ("hours", "log", "whatif", "workbook", "charts", "sheets", "store", "screens", "cli")
EVERYWHERE = ("errors", "files")

#: Among the upper packages: who may import whom beside everything in ORDER.
UPPER: dict[str, set[str]] = {
    "workbook": set(),
    "hours": {"log"},
    "log": set(),
    "whatif": {"hours"},
    "charts": {"hours", "log", "whatif"},
    "sheets": {"workbook", "charts", "hours", "log", "whatif"},
    "store": {"workbook", "sheets", "hours", "log"},
    "screens": {"charts", "workbook", "sheets", "store", "hours", "log", "whatif"},
    "cli": {"charts", "workbook", "sheets", "store", "hours", "log", "whatif"},
}


def imports_of(path: Path) -> set[str]:
    """Top-level modules and packages that a file imports, functions' own imports included."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
    return found


def room_of(path: Path) -> str:
    part = path.relative_to(ROOT).parts[0]
    return part.removesuffix(".py")


def rooms_imported(path: Path) -> set[str]:
    return {
        name.split(".")[1]
        for name in imports_of(path)
        if name.startswith("planner.") and name.count(".") >= 1
    }


def test_layers_point_one_way() -> None:
    """No package imports one above it, and every package has its place."""
    wrong = []
    for path in sorted(ROOT.rglob("*.py")):
        room = room_of(path)
        if room in {"__init__", "__main__", *EVERYWHERE}:
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


def test_the_solver_is_imported_in_four_folders() -> None:
    """ortools only where a model is made or solved: schedule/model, crews, search and the pins' conflicts."""
    users = {
        str(p.relative_to(ROOT).parent)
        for p in ROOT.rglob("*.py")
        if any(n.startswith("ortools") for n in imports_of(p))
    }
    assert users == {"schedule/model", "schedule/crews", "schedule/search", "schedule/explain"}


def test_the_web_framework_is_imported_in_one_package() -> None:
    """streamlit only in planner/screens (and app.py)."""
    users = {room_of(p) for p in ROOT.rglob("*.py") if any(n.startswith("streamlit") for n in imports_of(p))}
    assert users == {"screens"}


def test_the_check_stands_without_the_scheduler() -> None:
    """Nothing that the verdict reaches imports the scheduler."""
    for room in ("plan", "air", "gear", "rules", "tables", "job"):
        for path in (ROOT / room).rglob("*.py"):
            assert "schedule" not in rooms_imported(path), path
