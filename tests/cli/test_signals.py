"""Ctrl-C and SIGTERM: a search ends with the best plan it has, checked and written whole."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from planner import check, read_job, read_plan
from planner.cli import main as command_line
from planner.cli.stopping import ENDED

SAMPLE = Path(__file__).resolve().parents[2] / "sample_jobs" / "too_much_work.xlsx"

#: The command line, which says when it has the first plan.
_PROGRAM = """
import sys
from planner.cli import plan as command
seen = command._Seen.__call__
def told(self, progress):
    seen(self, progress)
    if self.plan is not None:
        print("has a plan", flush=True)
command._Seen.__call__ = told
from planner.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.parametrize(
    ("sent", "times"),
    [
        (signal.SIGINT, 1),
        pytest.param(signal.SIGTERM, 1, marks=pytest.mark.long),
        pytest.param(signal.SIGINT, 2, marks=pytest.mark.long),
    ],
)
def test_the_best_plan_so_far_is_written(tmp_path: Path, sent: signal.Signals, times: int) -> None:
    """A search of ten minutes that is asked to end once it has a plan: the pair of files is there within
    seconds, the plan passes the check, the exit status is that of a planned day. Asked twice, it does not
    even finish its stage."""
    command = [
        sys.executable,
        "-c",
        _PROGRAM,
        "plan",
        str(SAMPLE),
        "--seconds",
        "600",
        "--workers",
        "1",
        "--out",
        str(tmp_path),
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
        assert run.stdout is not None
        while "has a plan" not in run.stdout.readline():
            assert run.poll() is None
        for _ in range(times):
            run.send_signal(sent)
            time.sleep(0.5)
        told, said = run.communicate(timeout=120)
    assert run.returncode == 0, said
    assert "Stopping with the best so far" in said
    assert ("ended at once" in told) == (times == 2)
    job = read_job(SAMPLE)
    assert check(job, read_plan(tmp_path / "plan.json", job)) == ()
    assert [p.suffix for p in sorted(tmp_path.iterdir())] == [".json", ".xlsx"]


def test_ctrl_c_while_a_command_is_loaded_is_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before there is anything to keep: a sentence, and the status of one that was ended."""
    left: list[int] = []

    def ended(command: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line, "build_parser", ended)
    monkeypatch.setattr(command_line, "leave", left.append)
    command_line.main(["plan", str(SAMPLE)])
    assert left == [ENDED]
    assert "nothing more was written" in capsys.readouterr().err
