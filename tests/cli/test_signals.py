"""Ctrl-C and SIGTERM: a search ends with the best plan it has, checked and written whole."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from planner import check, read_job, read_plan
from planner.cli import ended
from planner.cli import main as command_line
from planner.cli.ended import ENDED
from planner.sheets.brief import NOT_ESTIMATED

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
    assert ("ended at once" in told) == (NOT_ESTIMATED in told) == (times == 2)
    job = read_job(SAMPLE)
    assert check(job, read_plan(tmp_path / "plan.json", job)) == ()
    assert [p.suffix for p in sorted(tmp_path.iterdir())] == [".json", ".xlsx"]


def test_ctrl_c_while_a_command_is_loaded_is_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Before there is anything to keep: a sentence, and the status of one that was ended."""
    left: list[int] = []

    def pressed(command: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line, "build_parser", pressed)
    monkeypatch.setattr(ended, "leave", left.append)
    command_line.main(["plan", str(SAMPLE)])
    assert left == [ENDED]
    assert "nothing more was written" in capfd.readouterr().err


#: The command line from its first line on, which it tells; what loads Python itself has passed by then.
_FROM_THE_DOOR = """
import sys
from planner import __main__ as door
ready = door.end_on_ctrl_c
def told():
    ready()
    print("at the door", flush=True)
door.end_on_ctrl_c = told
sys.exit(door.main())
"""

#: Commands that load OR-Tools, and what each writes.
_COMMANDS = {
    "plan": ["plan", str(SAMPLE), "--seconds", "600", "--out", "OUT"],
    "why": ["why", str(SAMPLE), "--seconds", "600"],
    "compare": ["compare", str(SAMPLE), "--vary", "tenders=2..3", "--seconds", "600", "--out", "OUT/c.xlsx"],
    "compare in one process": [
        *("compare", str(SAMPLE), "--vary", "tenders=2..3", "--seconds", "600", "--out", "OUT/c.xlsx"),
        *("--processes", "1"),
    ],
    "replan": ["log", "--db", "OUT/store.sqlite", "replan"],
}


@pytest.mark.parametrize(
    "command, shots", [("plan", 1), *(pytest.param(each, 4, marks=pytest.mark.long) for each in _COMMANDS)]
)
def test_a_signal_at_any_moment_of_loading(tmp_path: Path, command: str, shots: int) -> None:
    """Ctrl-C and SIGTERM at moments drawn from the first three seconds, to the process alone and to all of
    its group as a terminal sends it: it ends with one sentence and 130 or by SIGTERM, or, where a search was
    on by then, with its best; never with a traceback. On a busy machine what was asked may take longer than
    one waits, and it is pressed once more."""
    drawn = random.Random(f"{command} {shots}")
    for shot in range(shots):
        for sent in (signal.SIGINT, signal.SIGTERM):
            out = tmp_path / f"{shot} {sent.name}"
            out.mkdir()
            words = [word.replace("OUT", str(out)) for word in _COMMANDS[command]]
            moment_s, to_all = drawn.uniform(0, 3), drawn.random() < 0.5
            with subprocess.Popen(
                [sys.executable, "-c", _FROM_THE_DOOR, *words],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
                start_new_session=True,
            ) as run:
                assert run.stdout is not None
                assert run.stdout.readline() == "at the door\n"
                time.sleep(moment_s)
                pressed = 0
                for _ in range(20):
                    pressed += 1
                    if run.poll() is None:
                        (os.killpg if to_all else os.kill)(run.pid, sent)
                    try:
                        _, said = run.communicate(timeout=6)
                        break
                    except subprocess.TimeoutExpired:
                        continue
            where = f"{sent.name} at {moment_s:.3f} s, to all: {to_all}: {said}"
            assert "Traceback" not in said, where
            if run.returncode == ENDED:
                assert said.endswith("Ended; nothing more was written.\n"), where
            elif run.returncode == -signal.SIGTERM:
                assert sent == signal.SIGTERM, where
            elif run.returncode == -signal.SIGINT:
                # on a busy machine the search was still stopping when it was pressed once more
                assert pressed > 1 and "Once more ends at once" in said, where
            else:
                # the search was on, or the command had ended by itself
                assert run.returncode in (0, 1, 3), where
