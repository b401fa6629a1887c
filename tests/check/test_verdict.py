"""The whole verdict and the command: rules of gear and air beside those of the check."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.check import RULES, check
from planner.cli.main import main
from planner.job import AirPlant, AirRole, Bank, Job
from planner.plan import Plan, Reason, to_json
from tests.workbook.job_files import workbook_of
from tests.world.quay import a_job, a_plan


def left_over_for(rule: str) -> Plan:
    """The sound plan with the item that is left over left for that rule."""
    plan = a_plan()
    left = plan.leftovers[0].replace(reasons=(Reason(rule=rule, sentence="Said in the test."),))
    return plan.replace(leftovers=(left,))


def with_a_bank_off_line() -> Job:
    """The sound job with a plant that cannot bring anybody up: one bank, and that off line."""
    bank = Bank(
        name="B1",
        role=AirRole.PRIMARY,
        bottles=1,
        floodable_cuft_each=1.5,
        pressure_psi=2000,
        working_pressure_psi=2400,
        on_line=False,
    )
    return a_job().replace(air=AirPlant(banks=(bank,)))


@pytest.mark.parametrize("rule", sorted(RULES))
def test_a_reason_may_name_any_rule(rule: str) -> None:
    """An item is left over because of any rule, those of air and gear too: the check knows it."""
    plan, job = left_over_for(rule), a_job()
    assert check(job, plan) == ()


def test_a_reason_may_not_name_any_other_rule() -> None:
    """A name that is no rule is convicted."""
    assert "known-names" in {f.rule for f in check(a_job(), left_over_for("no-such-rule"))}


def test_the_command_checks_gear_and_air(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``check`` on the command line prints what the air rules find, with the rule and its source."""
    job = with_a_bank_off_line()
    workbook, plan_file = tmp_path / "job.xlsx", tmp_path / "plan.json"
    workbook.write_bytes(workbook_of(job))
    plan_file.write_text(to_json(left_over_for("air-reserve"), job), encoding="utf-8")
    assert main(["check", str(workbook), str(plan_file)]) == 1
    out = capsys.readouterr().out
    assert "[air-primary-pressure]" in out
    assert f"air-reserve: {RULES['air-reserve'].sentence}" in out
    assert "is not the id of a rule" not in out
