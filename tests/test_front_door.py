"""The front door: its names, what each loads, how its objects show themselves, the notebook that uses it."""

from __future__ import annotations

import inspect
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import planner
from planner import check, plan
from tests.world.quay import a_job, a_plan

DOCS = Path(__file__).parents[1] / "docs"


def test_every_name_is_there_and_says_what_it_is() -> None:
    """About a dozen names to call, each with its docstring; no other name is promised."""
    assert len(set(planner.__all__)) == len(planner.__all__)
    for name in planner.__all__:
        assert inspect.getdoc(getattr(planner, name)), name
        assert name in dir(planner)
    with pytest.raises(AttributeError, match="no attribute 'plans'"):
        planner.plans  # noqa: B018


def test_rooms_are_called_by_what_is_done_in_them() -> None:
    """`check` is a package and may be called, whichever of its modules was loaded first; so is `plan`."""
    import planner.check.verdict
    import planner.plan.model

    assert check(a_job(), a_plan()) == ()
    assert planner.check.verdict.check(a_job(), a_plan()) == ()
    assert callable(plan)
    assert plan.Plan is planner.Plan  # type: ignore[attr-defined]


def test_a_name_loads_only_what_it_needs() -> None:
    """Opening the door loads neither pydantic nor the solver; reading and checking load no solver, and the
    spreadsheet library is loaded by the process that parses a file."""
    program = (
        "import sys, planner\n"
        "assert not {'pydantic', 'openpyxl', 'ortools'} & set(sys.modules)\n"
        "from planner import check, read_job, write_plan\n"
        "assert 'pydantic' in sys.modules and not {'openpyxl', 'ortools'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_a_command_loads_no_solver_before_it_runs() -> None:
    """The help of the whole command line comes without OR-Tools."""
    program = (
        "import sys\n"
        "from planner.cli.main import build_parser\n"
        "build_parser('check')\n"
        "assert 'ortools' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_the_command_that_plans_loads_no_pandas() -> None:
    """OR-Tools is there and pandas, of which it only names classes, is not; whoever wants it then has it."""
    program = (
        "import sys\n"
        "from planner.cli.main import build_parser\n"
        "build_parser('plan')\n"
        "assert 'ortools' in sys.modules and 'pandas' not in sys.modules\n"
        "import pandas\n"
        "assert pandas.Series([1, 2]).sum() == 3\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_objects_show_themselves_in_a_line() -> None:
    """A job or a plan at a prompt is a line for a reader, not its whole content."""
    job, made = a_job(), a_plan()
    for shown, words in (
        (repr(job), ("people", "dive item")),
        (str(made), ("dive(s)", made.status.value)),
        (repr(made.dives[0]), (made.dives[0].item, "fsw")),
        (repr(planner.Outcome(made, "Done.", {}, 0.1, 1.0)), ("Plan(", "Done.")),
    ):
        assert len(shown) < 400
        assert "\n" not in shown
        assert all(word in shown for word in words), shown


def test_the_notebook_runs_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every cell of the notebook in the documents runs, in order, and it holds no output."""
    book = json.loads((DOCS / "front-door.ipynb").read_text(encoding="utf-8"))
    monkeypatch.chdir(DOCS)
    names: dict[str, Any] = {}
    for cell in book["cells"]:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == []
            exec(compile("".join(cell["source"]), f"front-door.ipynb, {cell['id']}", "exec"), names)
    assert names["written"] == ["hours.xlsx", "plan.json", "watchbill.xlsx"]
    assert len(names["table"]) == 2
    assert names["figure"].data
