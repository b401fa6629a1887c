"""The shipped data files read on their own, cell by cell, without the loader that the tests judge."""

from __future__ import annotations

import csv
from pathlib import Path

import planner.table_sets
from planner.table_sets import DEFAULT_ID

DATA = Path(planner.table_sets.__file__).parent / "shipped" / DEFAULT_ID
LETTERS = "ABCDEFGHIJKLMNOZ"


def rows(name: str) -> list[dict[str, str]]:
    """All rows of one file as written."""
    with (DATA / name).open(encoding="ascii", newline="") as file:
        return list(csv.DictReader(file))


def stops(row: dict[str, str]) -> dict[int, int]:
    """Depth in fsw and minutes of each stop of a row of table 9-9."""
    return {
        depth: int(row[f"stop_{depth}_fsw_min"])
        for depth in range(130, 10, -10)
        if row[f"stop_{depth}_fsw_min"]
    }
