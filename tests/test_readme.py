"""The README's commands are the ones that are run."""

from __future__ import annotations

import re
import tomllib
from itertools import product
from pathlib import Path

ROOT = Path(__file__).parents[1]


def readme_commands() -> list[str]:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return [block.strip() for block in re.findall(r"```sh\n(.*?)```", text, flags=re.S)]


def test_ci_runs_the_test_command_of_the_readme() -> None:
    """Continuous integration calls the README's second command as it stands."""
    command = readme_commands()[1]
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_ci_runs_every_test_once() -> None:
    """Whatever marks a test has, one of three calls takes it, and only one: that of the README, whose choice
    stands in ``pyproject.toml``, and the two that follow in ``.ci/run``."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        settings = tomllib.load(file)["tool"]["pytest"]["ini_options"]
    calls = [settings["addopts"], *(ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()]
    chosen = [found[1] for call in calls if (found := re.search(r" -m '([^']+)'", call))]
    assert len(chosen) == 3
    marks = [mark.partition(":")[0] for mark in settings["markers"]]
    for has in product((False, True), repeat=len(marks)):
        taken = [call for call in chosen if eval(call, dict(zip(marks, has, strict=True)))]
        assert len(taken) == 1, (dict(zip(marks, has, strict=True)), taken)


def test_links_and_pictures_are_there() -> None:
    """Every file that README and DEVELOPERS point to exists."""
    for name in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#:]+)\)", text):
            assert (ROOT / target).exists(), f"{name} points to {target}"


def test_no_path_of_a_machine() -> None:
    """The pages for readers name no absolute path."""
    for path in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]:
        assert not re.search(r"(?<![\w.])/(home|root|work|Users|tmp)/", path.read_text(encoding="utf-8")), (
            path
        )


def test_files_named_in_the_docs_are_there() -> None:
    """A file of the code that a page names exists, by its name or the end of its path."""
    ours = (ROOT / "app.py", *ROOT.glob("planner/**/*.py"), *ROOT.glob("tests/**/*.py"))
    there = [f"/{f.relative_to(ROOT).as_posix()}" for f in ours]
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]
    named = {
        (page.name, name)
        for page in pages
        for name in re.findall(r"`([\w/]+\.py)`", page.read_text(encoding="utf-8"))
    }
    assert len(named) > 10
    assert not [one for one in named if not any(f.endswith(f"/{one[1]}") for f in there)]
