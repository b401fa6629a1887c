"""Duties: one record each, and what the rest of the program takes from it."""

from __future__ import annotations

from planner.charts.palette import duty_style
from planner.check import RULES, Basis
from planner.job import CrewNeed, SurfaceItem
from planner.job.duties import (
    BRIEFING,
    BUILT_IN_DUTIES,
    CHAMBER_OPERATOR,
    DEFAULT_MINIMA,
    DEFAULT_PAIRS,
    DIVER,
    DRESSED_DUTIES,
    DUTIES,
    DUTY_OF,
    ENTRY_DIVER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
    HeldOver,
    crew_rule_of,
    duty_qualifies,
    duty_rank,
    held_over,
)
from planner.schedule.explain.reasons import reasons_for
from planner.schedule.problem.prepare import prepare
from tests.schedule.day import PEOPLE, item, job


def test_no_two_records_share_a_name_letters_colour_or_rank() -> None:
    """Name, print letters, colour and rank each tell a duty from every other."""
    for field in ("name", "letters", "fill_hex", "rank"):
        values = [getattr(duty, field) for duty in DUTIES]
        assert len(set(values)) == len(values), field


def test_every_duty_but_the_divers_has_a_rule_of_its_own_in_the_catalogue() -> None:
    """The rule that asks for a duty stands in the catalogue with the record's words, source and ground."""
    for duty in DUTIES:
        if duty.name in (DIVER, BRIEFING):
            assert duty.rule is None
            continue
        assert duty.rule is not None
        rule = RULES[duty.rule.id]
        assert rule.sentence == duty.rule.sentence
        assert rule.source.startswith(duty.rule.source)
        assert (rule.basis is Basis.REGULATION) == duty.rule.regulation
        assert crew_rule_of(duty.name) == rule.id
    assert crew_rule_of("crane") == "crew-other"


def test_the_crew_rules_and_pairs_of_a_job_without_any_are_those_of_the_records() -> None:
    """A job that says nothing asks for the records' rows, and lets console and log keeper be one person."""
    assert [row.duty for row in DEFAULT_MINIMA] == [d.name for d in DUTIES for _ in d.minima]
    assert (
        {SUPERVISOR, TENDER, STANDBY}
        <= {row.duty for row in DEFAULT_MINIMA}
        <= set(BUILT_IN_DUTIES) - {DIVER}
    )
    assert [(pair.duty, pair.with_duty) for pair in DEFAULT_PAIRS] == [("air console", "log keeper")]


def test_lists_of_duties_go_by_rank_and_a_jobs_own_come_last() -> None:
    """The supervisor leads every list, divers follow, a duty of the job's own stands at the end."""
    mixed = ["rigger", "log keeper", "crane", *BUILT_IN_DUTIES[::-1]]
    assert sorted(set(mixed), key=duty_rank) == [*BUILT_IN_DUTIES, "crane", "rigger"]
    assert BUILT_IN_DUTIES[:2] == ("supervisor", DIVER)


def test_a_diver_may_stand_by_and_a_tender_may_tend_the_standby_but_not_the_other_way() -> None:
    """Who holds a duty may hold the ones it qualifies for; a job's own duty must be listed by name."""
    assert duty_qualifies({DIVER}, STANDBY) and duty_qualifies({DIVER}, ENTRY_DIVER)
    assert duty_qualifies({TENDER}, STANDBY_TENDER)
    assert not duty_qualifies({STANDBY}, DIVER)
    assert not duty_qualifies({STANDBY_TENDER}, TENDER)
    assert not duty_qualifies({DIVER}, "crane")


def test_those_in_dress_and_those_by_the_chamber_keep_times_of_their_own() -> None:
    """Divers and tenders are held from dressing to undressed, the operator to the end of the watch, others
    with the station."""
    for duty in (DIVER, ENTRY_DIVER, TENDER):
        assert held_over(duty) is HeldOver.DRESSING
    assert held_over(CHAMBER_OPERATOR) is HeldOver.CHAMBER
    for duty in (SUPERVISOR, STANDBY, STANDBY_TENDER):
        assert held_over(duty) is HeldOver.STATION
    assert held_over("crane") is HeldOver.STATION
    assert {DIVER, ENTRY_DIVER, STANDBY} == DRESSED_DUTIES


def test_the_watchbills_letters_and_colours_are_the_records() -> None:
    """Each built-in duty is printed with its record's letters on its record's colour."""
    styles = duty_style(job(item()))
    for name, duty in DUTY_OF.items():
        assert (styles[name].letters, styles[name].fill_hex) == (duty.letters, duty.fill_hex)


def test_a_missing_chamber_operator_is_told_by_his_own_rule() -> None:
    """A deep dive without a chamber operator on site is told as crew-chamber-operator, a surface item that
    lacks a second supervisor as surface-crew."""
    assert not any(CHAMBER_OPERATOR in person.duties for person in PEOPLE)
    deep = job(item(depth_fsw=110, work_min=10))
    deep = deep.replace(
        site=deep.site.replace(chamber_minutes_away=0),
        people=tuple(p.replace(depth_rating_fsw=150) if p.depth_rating_fsw else p for p in PEOPLE),
    )
    (reasons,) = reasons_for(prepare(deep), None, proven=False).values()
    told = {reason.rule: reason.sentence for reason in reasons}
    assert told["crew-chamber-operator"] == "It needs 1 as chamber operator; on site for that: nobody."
    assert "crew-other" not in told
    pair = SurfaceItem(name="Brief", duration_min=20, crew=(CrewNeed(duty=SUPERVISOR, count=2),))
    (reasons,) = reasons_for(prepare(job(surface_items=(pair,))), None, proven=False).values()
    assert [reason.rule for reason in reasons] == ["surface-crew"]
