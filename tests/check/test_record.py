"""The record of a plan: what is written is read back and judged before anything is handed on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner import write_plan
from planner.check import check
from planner.check.record import checked_record, read_back
from planner.cli.main import main
from planner.errors import PlanRefused
from planner.job import Job
from planner.plan import Plan, from_json, plan_json, to_json
from planner.store.store import Store
from tests.whatif.short_day import SHORT
from tests.workbook.job_files import workbook_of
from tests.world.quay import a_plan, with_air
from tests.world.sample_plans import SAMPLES, planned

JOB, PLAN = with_air(), a_plan()


def forgetful(plan: Plan, job: Job) -> str:
    """A writer with a fault: the last diver is undressed as he surfaces."""
    content = json.loads(to_json(plan, job))
    content["dives"][-1]["undressed"] = content["dives"][-1]["reach_surface"]
    return json.dumps(content)


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_what_is_written_is_the_plan_and_holds(name: str) -> None:
    """The text of a sample's plan, read again, is the plan and is clear of every breach."""
    job, plan = planned(name)
    text = checked_record(plan, job)
    assert from_json(text, job) == plan
    assert check(job, from_json(text, job)) == ()


def test_a_file_that_is_not_the_plan_is_our_bug_and_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A writer that changes a time is found out by reading back: a sentence, no file, nothing issued."""
    monkeypatch.setattr("planner.check.record.to_json", forgetful)
    with pytest.raises(PlanRefused, match=r"not the plan that was written: dives\..*bug of the program"):
        read_back(PLAN, JOB)
    out = tmp_path / "plan.json"
    with pytest.raises(PlanRefused):
        write_plan(PLAN, JOB, out)
    assert not out.exists()
    with Store(f"sqlite:///{tmp_path / 'store.db'}") as store:
        with pytest.raises(PlanRefused):
            store.issue(JOB, PLAN, "Ana")
        assert store.issued(JOB.site.name) == ()


def test_the_command_writes_nothing_where_its_own_file_is_wrong(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """``plan``: exit status 3, the sentence, and neither watchbill nor plan.json."""
    job = tmp_path / "job.xlsx"
    job.write_bytes(workbook_of(SHORT))
    monkeypatch.setattr("planner.check.record.to_json", forgetful)
    out = tmp_path / "out"
    assert main(["plan", str(job), "--seconds", "0.1", "--workers", "1", "--out", str(out)]) == 3
    assert "not the plan that was written" in capsys.readouterr().err
    assert not out.exists()


def test_a_plan_that_breaks_a_rule_is_not_written(tmp_path: Path) -> None:
    """The front door writes no plan that does not hold: the breach is named."""
    out = tmp_path / "plan.json"
    with pytest.raises(PlanRefused, match="leftovers-told"):
        write_plan(PLAN.replace(leftovers=()), JOB, out)
    assert not out.exists()


def test_a_plan_of_another_job_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``check``, ``hours`` and ``log issue`` say once which job the plan was made for; so does the check."""
    other = JOB.replace(site=JOB.site.replace(name="Other Quay"))
    book, file = tmp_path / "job.xlsx", tmp_path / "plan.json"
    book.write_bytes(workbook_of(other))
    file.write_text(plan_json.to_json(PLAN, JOB), encoding="utf-8")
    sentence = (
        "This plan was made for the job 'Test Quay', first day '2026-05-12'; the job given is 'Other Quay', "
        "first day '2026-05-12'."
    )
    store = f"sqlite:///{tmp_path / 'store.db'}"
    for command in (
        ["check", str(book), str(file)],
        ["hours", str(book), str(file), "--out", str(tmp_path / "hours")],
        ["log", "--db", store, "--by", "Ana", "issue", str(book), str(file), "--ticked"],
    ):
        assert main(command) == 2
        said = capsys.readouterr()
        lines = (said.out + said.err).strip().splitlines()
        assert sum(sentence in line for line in lines) == 1
        assert len(lines) <= 3
    (finding,) = check(other, PLAN)
    assert "'Test Quay'" in finding.sentence and "'Other Quay'" in finding.sentence


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_a_plan_under_the_name_of_another_job_is_judged_without_a_traceback(name: str) -> None:
    """Nothing but the name agrees: people, items, stations and outfits are unknown, and each is told."""
    _, plan = planned(name)
    for other in SAMPLES:
        job = SAMPLES[other]()
        found = check(job, plan.replace(job_name=job.site.name))
        assert (found == ()) == (other == name)
        if other != name:
            assert any(f.rule == "known-names" for f in found)
