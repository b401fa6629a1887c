"""The command ``plan`` with a tide table in place of the job's own waters."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.workbook.job_files import workbook_of
from tests.world.quay import a_job

HEADS = "Date Time,Prediction,Type\n"
WATERS = (
    "2026-05-11 21:40,3.0,H\n2026-05-12 03:50,0.3,L\n2026-05-12 10:05,3.1,H\n2026-05-12 16:20,0.3,L\n"
    "2026-05-12 22:30,3.0,H\n2026-05-13 04:30,0.3,L\n"
)


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    """The job of the quay, whose dive work follows the tide."""
    job = a_job()
    items = tuple(item.replace(depth_follows_tide=True) for item in job.dive_items)
    (tmp_path / "job.xlsx").write_bytes(workbook_of(job.replace(dive_items=items)))
    return tmp_path / "job.xlsx"


def test_dives_are_planned_at_the_depth_of_the_tide_given(job_file: Path, tmp_path: Path) -> None:
    """Levels in metres over the charted depth: every dive is planned deeper than its item's own depth."""
    (tmp_path / "tide.csv").write_text(HEADS + WATERS, encoding="utf-8")
    given = ["plan", str(job_file), "--out", str(tmp_path / "out"), "--seconds", "0.1", "--workers", "1"]
    assert main([*given, "--tide", str(tmp_path / "tide.csv"), "--tide-metres"]) == 0
    depths = {item.name: item.depth_fsw for item in a_job().dive_items}
    dives = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))["dives"]
    assert dives
    assert all(dive["depth_fsw"] > depths[dive["item"]] for dive in dives)


def test_faults_of_the_table_are_told_and_nothing_is_written(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each fault with its line, together; a table of another week does not reach over the job's day."""
    out = tmp_path / "out"
    for text, words in (
        (
            HEADS + "yesterday,3.0,H\n2026-05-12 03:50,deep,L\n",
            ("line 2", "line 3", "no date and time", "no level"),
        ),
        (HEADS + WATERS.replace("2026-05", "2026-06"), ("does not reach over the job's days",)),
        ("", ("no waters",)),
    ):
        (tmp_path / "tide.csv").write_text(text, encoding="utf-8")
        assert main(["plan", str(job_file), "--out", str(out), "--tide", str(tmp_path / "tide.csv")]) == 2
        told = capsys.readouterr().err
        assert all(word in told for word in words)
    assert main(["plan", str(job_file), "--out", str(out), "--tide", str(tmp_path / "none.csv")]) == 2
    assert not out.exists()
