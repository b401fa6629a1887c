"""The comparison out: workbook, chart, the command, and every case as a job and a plan of its own."""

from __future__ import annotations

import os
import signal
import time
from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from planner import CAUTION
from planner.charts import compare_chart
from planner.charts.labels import LEFT, sides_that_fit
from planner.charts.look import FigureLook
from planner.check import check
from planner.cli.main import main
from planner.files import write_whole
from planner.job import Job
from planner.plan import Plan, from_json
from planner.sheets.compare_book import compare_book
from planner.whatif.best import finish_words, knee_of, point_words
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.results import Sweep
from planner.whatif.spread import Spread
from planner.whatif.sure import Sure, how_sure
from planner.whatif.sweep import Solved, sweep
from planner.workbook.job_reader import read_job
from planner.workbook.job_writer import write_job
from tests.workbook.job_files import workbook_of
from tests.world.changed import with_site
from tests.world.office import printed
from tests.world.sample_plans import planned

JOB, PLAN = planned("small heavy dress")
SWEEP = import_module("planner.whatif.sweep")


def _given(number: int, job: Job, seconds: float, seed: int, start: Plan | None) -> Solved:
    """A solver that knows one plan, good for five divers and more."""
    enough = sum(1 for p in job.people if "diver" in p.duties) >= 5
    return Solved(number, PLAN.replace(job_name=job.site.name) if enough else None, "made up", 0.0)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The made-up solver in the place of the real one, on threads."""
    monkeypatch.setattr(SWEEP, "solve_case", _given)
    whole = SWEEP.sweep

    def on_threads(*lanes: object, **more: object) -> Sweep:
        found: Sweep = whole(*lanes, **{**more, "backend": "threading"})
        return found

    monkeypatch.setattr(import_module("planner.cli.compare"), "sweep", on_threads)


@pytest.fixture
def swept(quick: None) -> Sweep:
    return sweep(cases_of(JOB, parse_variations(JOB, ["divers=4..6"])), backend="threading", processes=1)


@pytest.fixture(scope="module")
def sure() -> Sure:
    return how_sure(PLAN, JOB, Spread(), draws=60)


def test_the_workbook_holds_every_case_and_no_formula(swept: Sweep, sure: Sure) -> None:
    """A row a case; values only; the caution on each sheet; what was assumed, with sources."""
    book = compare_book(swept, JOB, sure)
    assert book.sheetnames == ["Cases", "Chance and cost", "Drawn days", "Assumed"]
    for ws in book:
        cells = [c for row in ws.iter_rows() for c in row if c.value is not None]
        assert any(c.value == CAUTION for c in cells)
        assert not any(c.data_type == "f" for c in cells)
    words = [str(c.value) for row in book["Cases"].iter_rows() for c in row if c.value is not None]
    assert "divers 4" in words and "divers 5 (as given)" in words
    assert sum(w == "★" for w in words) == len(knee_of(swept.results).best)
    assumed = [str(c.value) for row in book["Assumed"].iter_rows() for c in row if c.value is not None]
    assert any("invented example" in w for w in assumed) and any("29 USC 207" in w for w in assumed)
    assert len(book["Chance and cost"]._charts) == 1


@pytest.mark.paper
def test_the_workbook_prints(swept: Sweep, sure: Sure, tmp_path: Path) -> None:
    """LibreOffice turns it into one page a sheet, each with the caution and its number."""
    write_whole(compare_book(swept, JOB, sure), tmp_path / "compare.xlsx")
    pages = [" ".join(p.extract_text().split()) for p in printed(tmp_path / "compare.xlsx").pages]
    assert len(pages) == 4
    assert all(page.count(CAUTION) >= 2 for page in pages)
    assert "divers 6" in pages[0] and "Burn off the plate seam" in pages[2]


def test_the_chart_has_a_point_a_case(swept: Sweep) -> None:
    """Every case with a plan is drawn once, the best ones in their own series; words say the same."""
    knee = knee_of(swept.results)
    figure = compare_chart.gain_against_cost(swept.results, knee, FigureLook())
    drawn = [len(trace.x) for trace in figure.data[:2]]
    assert sum(drawn) == sum(1 for r in swept.results if r.figures) == 2
    assert drawn[1] == len(knee.best)
    assert knee.sentence in compare_chart.alt_gain_against_cost(swept.results, knee)


def _luminance(colour: str) -> float:
    """Relative luminance of a colour, 0 to 1 (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_inks_are_told_apart_in_grey_and_points_are_labelled(swept: Sweep) -> None:
    """The three kinds of case lie a fifth of all grey apart; a point says its case and its finish."""
    look = FigureLook()
    inks = sorted(map(_luminance, (look.first_ink, compare_chart.EARLIER_FILL, compare_chart.OTHER_INK)))
    assert min(b - a for a, b in pairwise(inks)) > 0.2
    knee = knee_of(swept.results)
    figure = compare_chart.gain_against_cost(swept.results, knee, look)
    best = knee.best[0]
    assert f"{best.case.number} · {finish_words(best)}" in [a.text for a in figure.layout.annotations]


def test_of_many_cases_the_best_have_the_words(swept: Sweep, sure: Sure) -> None:
    """Where a crowd of others lies around them the words are those of the best cases."""
    one = next(r for r in swept.results if r.figures is not None)
    assert one.figures is not None
    cost, many = one.figures.cost, []
    for number in range(1, compare_chart.MANY + 2):
        # the first three are likelier the more they cost; the others cost more and are less likely
        dear, chance = (number * 400, number * 30) if number <= 3 else (1300 + 7 * number, 5 + number)
        many.append(
            replace(
                one,
                case=replace(one.case, number=number),
                figures=replace(one.figures, cost=replace(cost, gear=cost.gear + dear)),
                sure=replace(sure, draws=100, reached=(100 - chance, *(0,) * 99, chance)),
            )
        )
    knee = knee_of(many)
    assert [r.case.number for r in knee.best] == [1, 2, 3]
    figure = compare_chart.gain_against_cost(many, knee, FigureLook())
    assert {point_words(r) for r in knee.best} == {a.text for a in figure.layout.annotations}
    assert sum(len(trace.x) for trace in figure.data[:2]) == len(many)


def test_the_chances_are_drawn(sure: Sure) -> None:
    """A bar an item and one for the whole day, each between 0 and 100."""
    figure = compare_chart.chances(sure, FigureLook(contrast=True))
    assert len(figure.data[0].x) == len(sure.items) + 1
    assert all(0 <= x <= 100 for x in figure.data[0].x)
    assert "Whole day" in compare_chart.alt_chances(sure)


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "job.xlsx"
    path.write_bytes(workbook_of(JOB))
    return path


def test_the_command_prints_and_writes(
    quick: None, job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table, the bend, the odds; a workbook; each case as a job and a plan that the check clears."""
    out, plans = tmp_path / "out.xlsx", tmp_path / "plans"
    arguments = ["compare", str(job_file), "--vary", "divers=4..6", "--processes", "1", "--draws", "40"]
    arguments += ["--likely", "1", "--at-least-work", "80", "--budget", "9000", "--days", "unfit-chance=3"]
    assert main([*arguments, "--out", str(out), "--plans", str(plans)]) == 0
    said = capsys.readouterr().out
    assert "3 case(s)" in said and "divers 5" in said and CAUTION in said
    assert "Everything planned is done in" in said and "unfit on 3 % of his days" in said
    assert "Least crew for at least 80 % of the work in at least 1 % of drawn days" in said
    assert "Best within 9,000.00: case 2" in said
    assert load_workbook(out).sheetnames[0] == "Cases"
    books = sorted(plans.glob("*.xlsx"))
    assert len(books) == 2
    for book in books:
        job = read_job(book)
        plan = from_json(book.with_suffix(".plan.json").read_text(encoding="utf-8"), job)
        assert check(job, plan) == ()


def test_an_end_that_is_asked_for_keeps_what_is_done(
    quick: None, job_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SIGTERM at the second case: the workbook is there, and the process leaves with its status, without
    waiting for a search that is still at it in a thread of its own (torn down, the solver aborts)."""
    left: list[int] = []
    begun: list[int] = []

    def ended(number: int, *asked: Any) -> Solved:
        begun.append(number)
        if len(begun) == 2:
            os.kill(os.getpid(), signal.SIGTERM)
            time.sleep(0.5)
        return _given(number, *asked)

    monkeypatch.setattr(SWEEP, "solve_case", ended)
    monkeypatch.setattr(import_module("planner.cli.compare"), "leave", left.append)
    arguments = ["compare", str(job_file), "--vary", "divers=5..7", "--processes", "1", "--draws", "0"]
    assert main([*arguments, "--out", str(tmp_path / "c.xlsx")]) == 0
    assert left == [0]
    assert (tmp_path / "c.xlsx").exists()


def test_one_line_asks_for_the_least_crew(
    quick: None, job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without --vary divers and tenders are varied; no crew is sure of all: status 1, and the likeliest."""
    asked = ["--likely", "100", "--at-least-work", "100", "--draws", "5", "--processes", "1"]
    assert main(["compare", str(job_file), *asked, "--out", str(tmp_path / "c.xlsx")]) == 1
    said = capsys.readouterr().out
    assert "16 case(s)" in said and "divers 4, tenders" in said
    assert "No case does all the work in at least 100 % of drawn days; the likeliest is case" in said


def test_several_jobs_are_compared_in_one_call(
    quick: None, job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two days of one crew: a row a case over both, a sheet of the parts, each job with its plan in files;
    the same day twice is refused with names."""
    next_day, out, plans = tmp_path / "next.xlsx", tmp_path / "week.xlsx", tmp_path / "plans"
    later = JOB.site.first_day + timedelta(days=1)
    write_job(with_site(JOB, first_day=later, name="The day after"), next_day)
    asked = ["--vary", "divers=5..6", "--processes", "1", "--draws", "20", "--likely", "0"]
    files = ["--out", str(out), "--plans", str(plans)]
    assert main(["compare", str(next_day), str(job_file), *asked, *files]) == 0
    said = capsys.readouterr().out
    assert f"2 case(s) of 2 jobs, {JOB.site.name} the first" in said and "2 jobs together" in said
    assert f"{later:%d %b}" in said and "Least crew for" in said
    book = load_workbook(out)
    assert book.sheetnames == ["Cases", "Jobs", "Chance and cost", "Drawn days", "Assumed"]
    words = [str(c.value) for row in book["Jobs"].iter_rows() for c in row if c.value is not None]
    assert words.count("The day after") == 2 and words.count(JOB.site.name) >= 2
    assert len(list(plans.glob("*.xlsx"))) == len(list(plans.glob("*_job-0[12]_*.json"))) == 4
    assert main(["compare", str(job_file), str(job_file), *asked]) == 2
    assert "at the same time" in capsys.readouterr().out


def test_every_point_with_room_is_labelled_and_no_label_covers_another() -> None:
    """Twenty points of a made-up chart: the words of two on one spot stand on two sides; what is crowded in
    goes without, and what is drawn meets nothing (boxes worked out anew)."""
    points = [(60.0, 60.0), (60.0, 60.0), *((300.0 + k, 150.0) for k in range(12)), (755.0, 280.0)]
    words = ["12 · 15:51"] * len(points)
    sides = sides_that_fit(points, words, 760, 290)
    assert {0, 1, len(points) - 1} <= set(sides) and sides[0] != sides[1]
    assert sides[len(points) - 1] == LEFT
    assert 0 < len(set(sides) & set(range(2, 14))) < 12
    long = 60
    at = {
        "r": lambda x, y: (x + 8, y - 7, x + 8 + long, y + 7),
        "l": lambda x, y: (x - 8 - long, y - 7, x - 8, y + 7),
        "t": lambda x, y: (x - long / 2, y + 8, x + long / 2, y + 22),
        "b": lambda x, y: (x - long / 2, y - 22, x + long / 2, y - 8),
    }
    boxes = [at[side](*points[k]) for k, side in sides.items()]
    for one, other in combinations(boxes, 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart


def test_the_points_of_the_workbooks_chart_are_labelled(swept: Sweep) -> None:
    """Beside a point of the drawn chart stand its case and its finish, as on the page."""
    (chart,) = compare_book(swept, JOB)["Chance and cost"]._charts
    named = [s for s in chart.series if s.dLbls is not None]
    told = {s.tx.v for s in named}
    assert {point_words(r) for r in knee_of(swept.results).best} <= told
    assert all(s.dLbls.showSerName and not s.dLbls.showVal for s in named)
    assert len(chart.legend.legendEntry) == len(named)


@pytest.mark.parametrize(
    ("vary", "words"),
    [
        (["tenders=6..2"], "is empty"),
        (["tenders=1..40", "divers=1..30"], "1200 cases"),
        ([], "Nothing is varied"),
        (["moon=1..2"], "cannot be varied"),
    ],
)
def test_the_command_refuses_in_sentences(
    vary: list[str], words: str, job_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bad ranges end with status 2 and a sentence; nothing is planned."""
    arguments = ["compare", str(job_file)]
    for text in vary:
        arguments += ["--vary", text]
    assert main(arguments) == 2
    assert words in capsys.readouterr().out


def test_the_command_refuses_a_place_it_cannot_write(
    quick: None, job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A workbook that cannot be written is told, with status 2."""
    out = tmp_path / "no such folder" / "out.xlsx"
    asked = ["--vary", "divers=5", "--processes", "1", "--draws", "0"]
    assert main(["compare", str(job_file), *asked, "--out", str(out)]) == 2
    assert "cannot be written" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("--seconds", "0", "seconds must be more than 0 and at most 3600"),
        ("--processes", "999", "processes must be 1 to 256"),
        ("--draws", "-1", "draws must be 0 to"),
    ],
)
def test_numbers_of_the_command_have_limits(
    option: str, value: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Seconds, processes and draws out of range are refused by name."""
    with pytest.raises(SystemExit):
        main(["compare", "job.xlsx", f"{option}={value}"])
    assert words in capsys.readouterr().err
