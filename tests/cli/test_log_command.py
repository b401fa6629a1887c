"""The command `log` from issuing to tomorrow's workbook, and what it says when it cannot."""

from __future__ import annotations

import re
import shutil
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from planner import CAUTION
from planner.cli.arguments import FAULTS
from planner.cli.log import DONE, REFUSED
from planner.cli.main import build_parser
from planner.job import Job
from planner.log.before_issue import CARD_LABELS
from planner.plan import Plan, to_json
from planner.store import Store
from planner.workbook.job_reader import read_job
from tests.workbook.job_files import workbook_of
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()


def _folder(path: Path) -> Path:
    (path / "job.xlsx").write_bytes(workbook_of(JOB))
    (path / "plan.json").write_text(to_json(PLAN, JOB), encoding="utf-8")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job workbook, its plan, and no store yet."""
    return _folder(tmp_path)


def _run(folder: Path, *words: str, by: str = "Cal") -> int:
    arguments = build_parser("log").parse_args(
        ["log", "--db", str(folder / "store.sqlite"), "--by", by, *words]
    )
    return int(arguments.run(arguments))


def _filled_card(folder: Path) -> None:
    lines = [word for name in CARD_LABELS for word in (f"--{name}", f"{name}, 555 0101")]
    assert _run(folder, "--job", JOB.site.name, "card", *lines) == DONE


@pytest.fixture(scope="module")
def day_of_issue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same folder once its watchbill is issued."""
    folder = _folder(tmp_path_factory.mktemp("issued"))
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    _filled_card(folder)
    assert _run(folder, "issue", *files, "--ticked") == DONE
    return folder


@pytest.fixture
def issued(day_of_issue: Path, tmp_path: Path) -> Path:
    """A copy of it to work in."""
    return Path(shutil.copytree(day_of_issue, tmp_path / "issued"))


def test_issuing_asks_for_the_ticks_first(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --ticked the list is printed and nothing is issued."""
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    assert _run(folder, "issue", *files) == REFUSED
    said = capsys.readouterr().out
    assert "[ ] Emergency procedures" in said
    assert "The emergency card lacks: decompression chamber, hospital" in said
    with Store(str(folder / "store.sqlite")) as store:
        assert store.latest_issued() == ()


def test_a_card_with_a_line_missing_is_not_frozen(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With everything ticked and one line of the emergency card blank nothing is issued, as on the screen;
    ``log card`` says which, fills it, and then it is."""
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    _filled_card(folder)
    assert _run(folder, "--job", JOB.site.name, "card", "--rescue", "") == REFUSED
    assert "Rescue coordination centre: telephone, channel: MISSING" in capsys.readouterr().out
    assert _run(folder, "issue", *files, "--ticked") == REFUSED
    assert "The emergency card lacks: rescue coordination centre." in capsys.readouterr().out
    assert _run(folder, "--job", JOB.site.name, "card", "--rescue", "VHF 16") == DONE
    assert _run(folder, "issue", *files, "--ticked") == DONE


def test_what_is_issued_is_the_sheets_that_were_chosen(folder: Path) -> None:
    """Sheets and paper of ``log issue`` are those of ``plan``; what is kept has these alone."""
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    _filled_card(folder)
    assert _run(folder, "issue", *files, "--ticked", "--sheets", "dives,brief", "--paper", "Letter") == DONE
    with Store(str(folder / "store.sqlite")) as store:
        printed = store.open_issued(JOB.site.name, JOB.site.first_day).printed
    book = load_workbook(BytesIO(printed))
    assert book.sheetnames == ["Brief", "Dives"]
    assert {str(ws.page_setup.paperSize) for ws in book.worksheets} == {"1"}
    # the emergency card as it was filled
    assert any("hospital, 555 0101" in str(cell.value) for row in book["Brief"] for cell in row)


def test_gates_alone_of_a_job_without_any_are_refused(folder: Path) -> None:
    """Before anything is stored, told as a fault of what was typed."""
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    _filled_card(folder)
    assert _run(folder, "issue", *files, "--ticked", "--sheets", "gates") == FAULTS
    with Store(str(folder / "store.sqlite")) as store:
        assert store.latest_issued() == ()


def test_from_issue_to_tomorrow(issued: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Issue, log a dive, look, reprint the same bytes, write tomorrow's workbook: the caution on each."""
    assert _run(issued, "add", "leave-surface", "--dive", "1", "--at", "08:30") == DONE
    assert _run(issued, "add", "leave-bottom", "--dive", "1", "--at", "09:40") == DONE
    said = capsys.readouterr().out
    assert "Off the plan's row. Now applies: row 60 fsw / 70 min, table 9-9" in said
    assert _run(issued, "add", "reach-surface", "--dive", "1", "--at", "09:49") == DONE
    assert _run(issued, "show") == DONE
    said = capsys.readouterr().out
    assert "Stays near the chamber until 10:49" in said
    assert said.rstrip().splitlines()[-1].startswith(CAUTION)
    assert _run(issued, "reprint", str(issued / "again")) == DONE
    with Store(str(issued / "store.sqlite")) as store:
        whole = store.open_issued(JOB.site.name, JOB.site.first_day)
    assert (issued / "again" / "2026-05-12_revision_1_watchbill.xlsx").read_bytes() == whole.printed
    assert _run(issued, "tomorrow", str(issued / "tomorrow.xlsx")) == DONE
    ana = read_job(issued / "tomorrow.xlsx").person("Ana")
    assert [(d.group_after, d.bottom_time_min) for d in ana.past_dives] == [("L", 70)]
    assert _run(issued, "list") == DONE


def test_corrections_by_number(issued: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another time in place of entry 1; entry 2 taken back; the struck ones stay on show."""
    _run(issued, "add", "leave-surface", "--dive", "1", "--at", "08:30")
    assert _run(issued, "add", "leave-surface", "--dive", "1", "--at", "08:33", "--corrects", "1") == DONE
    assert _run(issued, "take-back", "2", by="Sam") == DONE
    capsys.readouterr()
    _run(issued, "show")
    said = capsys.readouterr().out
    assert "1. 08:30 leave surface, dive 1; Cal" in said
    assert "[does not hold: entry 2]" in said
    assert "entry 2 taken back; Sam" in said


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("add", "reach-surface", "--dive", "1", "--at", "09:13"), FAULTS, "Leave surface of dive 1"),
        (("add", "depth", "--dive", "1", "--at", "25:99", "--depth", "58"), FAULTS, "--at: "),
        (("add", "depth", "--dive", "1", "--at", "09:00", "--depth", "-4"), FAULTS, "greater than"),
        (("add", "sick", "--at", "09:00", "--person", "Nobody"), FAULTS, "no person called Nobody"),
        (("add", "note", "--text", "late"), FAULTS, "Give --at"),
        (("take-back", "77"), FAULTS, "no such entry"),
        (("reprint", "out", "--revision", "9"), REFUSED, "No revision 9"),
        (("--job", "Elsewhere", "show"), REFUSED, "No watchbill was issued"),
    ],
)
def test_what_cannot_be_done_is_said(
    issued: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], status: int, said: str
) -> None:
    """A sentence and a status of its own; the log stays empty."""
    assert _run(issued, *words) == status
    assert said in capsys.readouterr().err
    with Store(str(issued / "store.sqlite")) as store:
        assert store.log(JOB.site.name, JOB.site.first_day) == ()


def test_nobody_signs_nothing_is_stored(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A log entry and an issue both need a name."""
    files = str(folder / "job.xlsx"), str(folder / "plan.json")
    _filled_card(folder)
    assert _run(folder, "issue", *files, "--ticked", by="") == REFUSED
    assert "Say who you are" in capsys.readouterr().err


def test_a_replan_says_how_many_duties_change(issued: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Tia is sick: her duties pass on or fall away, and the number is told before the names."""
    assert _run(issued, "add", "sick", "--at", "07:05", "--person", "Tia") == DONE
    assert _run(issued, "replan", "--seconds", "4") == DONE
    told = capsys.readouterr().out
    number = re.search(r"\n  (\d+) duties of (\d+) people changed\n", told)
    assert number is not None
    # Two dives as tender are taken from her, and tended all the same.
    assert int(number[1]) >= 4
    assert "\n  Tia: no more " in told
