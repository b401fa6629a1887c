"""Rough input of the command line: figures past all bounds, bytes that are no text, other encodings."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner.cli.arguments import MOST_TOLD, tell_faults
from planner.cli.main import main
from planner.errors import Fault, InputFaults
from tests.whatif.short_day import SHORT
from tests.workbook.job_files import workbook_of


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan", "job.xlsx", "--seed", "12345678901234567890"],
        ["compare", "job.xlsx", "--seed", "-1"],
        ["why", "job.xlsx", "--seconds", "nan"],
        ["log", "--by", "Ana \udcff", "list"],
    ],
)
def test_arguments_that_nothing_can_take_are_refused(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """A seed of twenty digits, a time that is no number, a name that is not UTF-8: one line, status 2."""
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "error:" in capsys.readouterr().err


def test_many_faults_are_cut_short(capsys: pytest.CaptureFixture[str]) -> None:
    """A file of 200,000 faults does not fill the terminal: the first are told, and how many more."""
    many = InputFaults([Fault(f"A{n}", "", "x", "y") for n in range(MOST_TOLD + 7)])
    tell_faults(many, "nothing was done")
    told = capsys.readouterr().out.splitlines()
    assert len(told) == MOST_TOLD + 2
    assert told[-1] == "  and 7 more: put these right first."


def test_a_file_in_the_place_of_a_folder_is_told_with_its_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the system refuses is told as a sentence with the place, not as a number of an error."""
    (tmp_path / "job.xlsx").write_bytes(workbook_of(SHORT))
    (tmp_path / "out").write_text("a letter", encoding="utf-8")
    command = [
        "plan",
        str(tmp_path / "job.xlsx"),
        "--seconds",
        "0.1",
        "--workers",
        "1",
        "--out",
        str(tmp_path / "out"),
    ]
    assert main(command) == 3
    told = capsys.readouterr().err
    assert f"{tmp_path / 'out'}: File exists." in told
    assert "Errno" not in told


def test_a_pipe_that_is_not_utf_8_gets_every_line(tmp_path: Path) -> None:
    """Letters that the pipe's encoding lacks come as their numbers; the command ends as it would have."""
    command = [sys.executable, "-m", "planner", "check", str(tmp_path / "Zoë.xlsx"), str(tmp_path / "p.json")]
    ended = subprocess.run(
        command, env={**os.environ, "PYTHONIOENCODING": "ascii"}, capture_output=True, check=False
    )
    assert ended.returncode == 2
    assert b"Traceback" not in ended.stderr
    assert b"Zo\\xeb.xlsx" in ended.stdout + ended.stderr
