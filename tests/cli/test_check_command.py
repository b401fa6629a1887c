"""The command ``check``: exit status 0 clear, 1 breaches, 2 faults; every line in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner import CAUTION
from planner.cli.main import main
from planner.plan import Plan, to_json
from tests.workbook.job_files import of_before_the_standbys_way_up, workbook_of
from tests.world.quay import a_job, a_plan


def run(job_path: Path, plan_path: Path) -> int:
    """Run the command line; ``job.xlsx`` is written on the way, any other workbook is one with a fault."""
    job = a_job()
    if job_path.name != "job.xlsx":
        job = job.replace(people=job.people[:1] * 2)
    job_path.write_bytes(workbook_of(job))
    return main(["check", str(job_path), str(plan_path)])


def written(folder: Path, plan: Plan) -> Path:
    path = folder / "plan.json"
    path.write_text(to_json(plan, a_job()), encoding="utf-8")
    return path


def test_a_sound_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No breach: status 0, the caution and what a person must tick are printed."""
    assert run(tmp_path / "job.xlsx", written(tmp_path, a_plan())) == 0
    out = capsys.readouterr().out
    assert "No breach" in out
    assert "[ ] Weather" in out
    assert CAUTION in out


def test_what_is_opened_otherwise_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An older workbook that asks for no minute of a standby: opened with 1, and the error stream says so."""
    job = tmp_path / "old.xlsx"
    job.write_bytes(of_before_the_standbys_way_up(a_job()))
    assert main(["check", str(job), str(written(tmp_path, a_plan()))]) == 0
    assert "opened with 1" in capsys.readouterr().err


def test_a_plan_with_breaches(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Breaches: status 1, each with its id, and the rule with its source."""
    plan = a_plan().replace(leftovers=())
    assert run(tmp_path / "job.xlsx", written(tmp_path, plan)) == 1
    out = capsys.readouterr().out
    assert "1 breach" in out
    assert "[leftovers-told] left over: Seal the gate" in out
    assert "arithmetic: the plan's own definitions" in out


@pytest.mark.parametrize("text", [b"nonsense", b"\xff\xfe\x00", b""])
def test_a_plan_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: bytes) -> None:
    """No JSON, no UTF-8: status 2 and a sentence."""
    path = tmp_path / "plan.json"
    path.write_bytes(text)
    assert run(tmp_path / "job.xlsx", path) == 2
    assert "nothing was checked" in capsys.readouterr().out


def test_a_plan_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A missing file is a fault, not a traceback."""
    assert run(tmp_path / "job.xlsx", tmp_path / "none.json") == 2
    assert "cannot be read" in capsys.readouterr().out


def test_a_job_with_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The workbook's faults are printed with sheet and cell."""
    assert run(tmp_path / "other.xlsx", written(tmp_path, a_plan())) == 2
    assert "People!A" in capsys.readouterr().out


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """An editor may put a byte order mark before the text."""
    path = tmp_path / "plan.json"
    path.write_text(to_json(a_plan(), a_job()), encoding="utf-8-sig")
    assert run(tmp_path / "job.xlsx", path) == 0
