"""The command that writes an empty workbook."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from planner.cli.main import build_parser


def run(*words: str) -> int:
    """Parse a command line and run it."""
    arguments = build_parser("template").parse_args(["template", *words])
    status: int = arguments.run(arguments)
    return status


def test_it_writes_a_workbook_in_the_units_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Feet unless metric is asked for; it says where."""
    assert run(str(tmp_path / "feet.xlsx")) == 0
    assert run(str(tmp_path / "metric.xlsx"), "--units", "metric") == 0
    assert "feet.xlsx" in capsys.readouterr().out
    heads = [
        openpyxl.load_workbook(tmp_path / f"{n}.xlsx")["Dive work"]["C5"].value for n in ("feet", "metric")
    ]
    assert heads == ["Depth (fsw)", "Depth (m)"]


def test_it_never_replaces_a_file_unasked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A filled workbook is a day's work; --force is needed to lose it."""
    filled = tmp_path / "mine.xlsx"
    filled.write_bytes(b"mine")
    assert run(str(filled)) == 2
    assert filled.read_bytes() == b"mine"
    assert "already there" in capsys.readouterr().err
    assert run(str(filled), "--force") == 0
    assert filled.read_bytes() != b"mine"


def test_what_cannot_be_written_is_told_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A folder that is not there, and a name that no spreadsheet program would open."""
    assert run(str(tmp_path / "no" / "where.xlsx")) == 2
    assert "cannot be written: No such file or directory." in capsys.readouterr().err
    assert run(str(tmp_path / "job.csv")) == 2
    assert "does not end in .xlsx" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


TABLE = """Date Time,Prediction,Type
2026-05-11 21:40,9.8,H
2026-05-12 03:50,1.1,L
2026-05-12 10:05,10.2,H
2026-05-12 16:20,0.9,L
2026-05-13 04:30,1.0,L
"""


def tide_file(folder: Path, text: str) -> str:
    (folder / "tide.csv").write_text(text, encoding="utf-8")
    return str(folder / "tide.csv")


def test_a_tide_table_fills_its_sheet(tmp_path: Path) -> None:
    """The waters stand on the sheet Tide with their days, local times and levels; Site has the day."""
    table = tide_file(
        tmp_path, TABLE.replace("2026-05-13 04:30,1.0,L", "2026-05-12 22:30,9.9,H\n2026-05-13 04:30,1.0,L")
    )
    out = tmp_path / "job.xlsx"
    assert run(str(out), "--tide", table, "--first-day", "2026-05-12") == 0
    book = openpyxl.load_workbook(out)
    rows = [tuple(c.value for c in row[:4]) for row in book["Tide"].iter_rows(min_row=6, max_row=11)]
    assert [(r[0].date().isoformat(), *r[1:]) for r in rows] == [
        ("2026-05-11", "21:40", 9.8, "high"),
        ("2026-05-12", "03:50", 1.1, "low"),
        ("2026-05-12", "10:05", 10.2, "high"),
        ("2026-05-12", "16:20", 0.9, "low"),
        ("2026-05-12", "22:30", 9.9, "high"),
        ("2026-05-13", "04:30", 1, "low"),
    ]
    site = {row[0].value: row[1].value for row in book["Site"].iter_rows(min_row=5)}
    assert site["First day"].date().isoformat() == "2026-05-12"


def test_faults_of_a_tide_table_are_sentences(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two low waters in turn are told with their line, and nothing is written; so is what is left out."""
    out = tmp_path / "job.xlsx"
    table = tide_file(tmp_path, TABLE)
    assert run(str(out), "--tide", table, "--first-day", "2026-05-12") == 2
    assert "tide.csv, line 6: Two low waters follow each other" in capsys.readouterr().out
    assert run(str(out), "--tide", table) == 2
    assert run(str(out), "--tide", table, "--first-day", "2026-05-12", "--tide-utc") == 2
    assert "--tide-utc needs --time-zone" in capsys.readouterr().err
    assert not out.exists()
