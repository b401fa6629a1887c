"""The command ``plan`` with sheets chosen."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner.cli.main import main
from planner.sheets.watchbill import DAY_SHEETS
from tests.workbook.job_files import workbook_of
from tests.world.quay import a_job


def test_the_sheets_that_are_named_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In any case of letters; ``day`` stands for what a crew needs; another name ends the command, told."""
    (tmp_path / "job.xlsx").write_bytes(workbook_of(a_job()))
    given = ["plan", str(tmp_path / "job.xlsx"), "--out", str(tmp_path), "--seconds", "0.5", "--sheets"]
    for words, sheets in (("day", list(DAY_SHEETS)), ("dives, BRIEF", ["Brief", "Dives"])):
        assert main([*given, words]) == 0
        (book,) = tmp_path.glob("watchbill_*.xlsx")
        assert load_workbook(book).sheetnames == sheets
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main([*given, "menu"])
    assert ended.value.code == 2
    assert "Dressing cards" in capsys.readouterr().err
