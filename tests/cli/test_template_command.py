"""The command that writes an empty workbook."""

from __future__ import annotations

import argparse
from pathlib import Path

import openpyxl
import pytest

from planner.cli.template import add_template_command


def run(*words: str) -> int:
    """Parse a command line and run it."""
    parser = argparse.ArgumentParser()
    add_template_command(parser.add_subparsers(required=True))
    arguments = parser.parse_args(["template", *words])
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
