"""The command ``plan`` with sheets chosen."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner.cli.main import main
from planner.sheets.watchbill import DAY_SHEETS
from tests.whatif.short_day import SHORT
from tests.workbook.job_files import workbook_of


def test_the_sheets_that_are_named_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In any case of letters; ``day`` stands for what a crew needs; another name ends the command, told."""
    book = tmp_path / "job.xlsx"
    book.write_bytes(workbook_of(SHORT))
    quick = ["--seconds", "0.1", "--workers", "1"]
    given = ["plan", str(book), "--out", str(tmp_path), *quick, "--sheets"]
    for words, sheets in (("day", list(DAY_SHEETS)), ("dives, BRIEF", ["Brief", "Dives"])):
        assert main([*given, words]) == 0
        (bill,) = tmp_path.glob("watchbill_*.xlsx")
        assert load_workbook(bill).sheetnames == sheets
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main([*given, "menu"])
    assert ended.value.code == 2
    assert "Dressing cards" in capsys.readouterr().err
