"""The whole verdict and the command: rules of gear and air beside those of the check."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.air import AIR_RULES
from planner.cli.main import main
from planner.gear import GEAR_RULES
from planner.job import AirPlant, AirRole, Bank, Job
from planner.plan import Plan, Reason, check, to_json
from planner.verdict import ALL_RULES, verdict
from planner.workbook import write_job
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


@pytest.mark.parametrize("rule", sorted({**GEAR_RULES, **AIR_RULES}))
def test_a_reason_may_name_a_rule_of_gear_or_air(rule: str) -> None:
    """An item is left over because of air or gear: the verdict knows the rule, the bare check does not."""
    plan, job = left_over_for(rule), a_job()
    assert "known-names" not in {f.rule for f in verdict(plan, job)}
    assert check(plan, job, more_rules=ALL_RULES) == ()


def test_a_reason_may_not_name_any_other_rule() -> None:
    """A name that is no rule of any part is convicted; so is one of air where air is not checked."""
    assert "known-names" in {f.rule for f in verdict(left_over_for("no-such-rule"), a_job())}
    assert {b.rule for b in check(left_over_for("air-reserve"), a_job())} == {"known-names"}


def test_the_command_checks_gear_and_air(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``check`` on the command line prints what the air rules find, with the rule and its source."""
    job = with_a_bank_off_line()
    workbook, plan_file = tmp_path / "job.xlsx", tmp_path / "plan.json"
    write_job(job, workbook)
    plan_file.write_text(to_json(left_over_for("air-reserve"), job), encoding="utf-8")
    assert main(["check", str(workbook), str(plan_file)]) == 1
    out = capsys.readouterr().out
    assert "[air-primary-pressure]" in out
    assert f"air-reserve: {AIR_RULES['air-reserve'].sentence}" in out
    assert "is not the id of a rule" not in out
