"""Surface decompression on the printed sheets: the time at which the diver is out of the chamber."""

from __future__ import annotations

from watchbill_reading import rows_of, sheet, texts

from planner.hours.worked import from_plan
from planner.plan import Plan
from planner.sheets.bill import nitrogen_at
from planner.sheets.layout import wall
from tests.world.pier import pier_job, pier_plan

JOB = pier_job()
FIRST = pier_plan(JOB).dives[0]
OUT_MIN = FIRST.undressed_min + 4


def through_the_chamber() -> Plan:
    """The first dive of the pier with its divers in the chamber until four minutes after undressing."""
    plan = pier_plan(JOB)
    divers = tuple(
        d.replace(schedule=d.schedule.replace(way_up="surface decompression", chamber_periods=0.5))
        for d in FIRST.divers
    )
    first = FIRST.replace(divers=divers, out_of_chamber_min=OUT_MIN)
    return plan.replace(dives=tuple(first if d.id == FIRST.id else d for d in plan.dives))


def test_the_sheets_say_when_the_diver_is_out_of_the_chamber() -> None:
    """On the dive's own sheet as a line with its time, on the sheet of all dives in the dive's band."""
    plan = through_the_chamber()
    (line,) = [row for row in rows_of(sheet(plan, JOB, "Dive sheets")) if "Out of the chamber" in row]
    assert wall(JOB.clock, OUT_MIN) in line
    assert (
        sum(f"out of the chamber {JOB.clock.hhmm(OUT_MIN)}" in t for t in texts(sheet(plan, JOB, "Dives")))
        == 1
    )
    plain = texts(sheet(pier_plan(JOB), JOB, "Dives"))
    assert not any("out of the chamber" in t.lower() for t in plain)


def test_the_group_holds_until_the_chamber_is_left() -> None:
    """The minutes on the surface count from the end of the chamber: ten of them there change no group."""
    name = FIRST.divers[0].person
    after = FIRST.divers[0].group_after
    plan = through_the_chamber()
    assert nitrogen_at(plan, JOB, name, OUT_MIN + 9).group == after
    assert nitrogen_at(plan, JOB, name, OUT_MIN - 1) == nitrogen_at(plan, JOB, name, FIRST.leave_surface_min)


def test_the_hours_hold_the_chamber_and_the_watch_after_it() -> None:
    """The hour by the chamber (29 CFR 1910.423(b)(2)) ends an hour after the diver is out of it."""
    record = from_plan(through_the_chamber(), JOB)
    dived = next(d for d in record.dives if d.dive.id == FIRST.id)
    assert dived.out_of_chamber_min == OUT_MIN
    watch = next(s for s in record.spells if s.duty == "by the chamber" and s.dive == FIRST.id)
    assert watch.end_min == OUT_MIN + JOB.rules.chamber_watch_min


def test_the_air_sheet_tells_the_chamber_s_gas() -> None:
    """Asked for and on hand, by day; nothing where the job does not give it. 5 × 270 + 4,224 scf stand ready
    (U.S. Navy Diving Manual 22-4.1), half a period takes 11 scf of oxygen."""
    given = JOB.air.replace(
        chamber_inner_cuft=200,
        chamber_outer_cuft=70,
        chamber_primary_scf=12_000,
        chamber_secondary_scf=7_000,
        chamber_oxygen_scf=900,
    )
    found = texts(sheet(through_the_chamber(), JOB.replace(air=given), "Air"))
    oxygen = 11 * len(FIRST.divers)
    assert any(t.startswith(f"{oxygen} scf") and "900 scf" in t for t in found)
    assert any("7,000 scf" in t for t in found) and any("12,000 scf" in t for t in found)
    without = texts(sheet(through_the_chamber(), JOB, "Air"))
    assert not any("The chamber:" in t for t in without)
