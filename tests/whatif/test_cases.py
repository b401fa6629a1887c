"""What may be varied, how ranges are read, and what is refused."""

from __future__ import annotations

from itertools import pairwise

import pytest

from planner.errors import InputFaults
from planner.job import Job
from planner.job.cross_checks import cross_faults
from planner.whatif.axes import axes_of, counts_under, people_under
from planner.whatif.cases import MOST_CASES, cases_of, parse_variations
from tests.samples.small_heavy_dress import plain_job as small
from tests.samples.tidal_pier import plain_job as pier

JOB = small()


def _jobs(job: Job, *texts: str) -> list[Job]:
    return [case.job for case in cases_of(job, parse_variations(job, texts))]


def test_people_by_duty_are_counted_once() -> None:
    """A diver who also tends counts as a diver: five divers, two tenders, two supervisors of nine."""
    counts = {d: len(people_under(JOB, d)) for d in ("diver", "tender", "supervisor", "air console")}
    assert counts == {"diver": 5, "tender": 2, "supervisor": 2, "air console": 0}
    assert sum(counts.values()) == len(JOB.people)


def test_fewer_and_more_people() -> None:
    """Fewer leaves out the last of the list, more adds fresh ones like the last; the others stay."""
    four, six = _jobs(JOB, "divers=4,6")
    names = [p.name for p in JOB.people]
    assert [p.name for p in four.people] == [n for n in names if n != "Leilani Kahaku"]
    extra = six.people[-1]
    assert extra.name == "Extra diver 1"
    assert (extra.depth_rating_fsw, extra.past_dives, extra.last_duty_end_min) == (60, (), None)
    assert counts_under(extra) == "diver"
    assert six.people[:-1] == JOB.people


def test_cases_with_more_people_hold_those_with_fewer() -> None:
    """The crews of a range are nested, so a plan of a smaller crew can hold for a larger one."""
    crews = [{p.name for p in job.people} for job in _jobs(JOB, "divers=3..8")]
    assert all(one < other for one, other in pairwise(crews))


def test_a_named_one_away_and_each_in_turn() -> None:
    """``away=each`` is a case with everybody and one without each person."""
    jobs = _jobs(JOB, "away=each")
    assert len(jobs) == 1 + len(JOB.people)
    assert jobs[0] == JOB
    assert all(len(j.people) == len(JOB.people) - 1 for j in jobs[1:])
    (without,) = _jobs(JOB, "away=kenji morisaki")
    assert "Kenji Morisaki" not in {p.name for p in without.people}


def test_margin_start_and_turnarounds() -> None:
    """Each is a number of minutes that a case sets: the margin, when the day begins, both turnarounds."""
    assert [j.site.margin_min for j in _jobs(JOB, "margin=0,7")] == [0, 7]
    assert [j.rules.station_turnaround_min for j in _jobs(JOB, "turnaround=25")] == [25]
    (slow,) = _jobs(JOB, "outfit-turnaround=45")
    assert {o.turnaround_min for o in slow.outfits} == {45}
    before, (early,) = JOB.day_windows[0], _jobs(JOB, "start=-30")
    window = early.day_windows[0]
    assert (window.start_min, window.end_min) == (before.start_min - 30, before.end_min - 30)
    with pytest.raises(InputFaults, match="on another date"):
        _jobs(JOB, "start=-720")


def test_how_the_crew_is_briefed_and_the_standby_dressed() -> None:
    """One briefing or one each; the longest that a standby diver is in dress, after which he is dressed
    anew."""
    assert [j.rules.one_briefing for j in _jobs(JOB, "one-briefing=yes,no")] == [True, False]
    assert [j.rules.standby_dressed_max_min for j in _jobs(JOB, "in-dress=0,90")] == [0, 90]
    with pytest.raises(InputFaults):
        _jobs(JOB, "one-briefing=perhaps")


def test_hours_chamber_compressors_outfits_team_stations() -> None:
    """Each thing changes what it says and nothing else."""
    (shift,) = _jobs(JOB, "shift=9.5")
    assert (shift.day_windows[0].start_min, shift.day_windows[0].end_min) == (420, 990)
    none, here = _jobs(JOB, "chamber=none,0")
    assert (none.site.chamber_minutes_away, here.site.chamber_minutes_away) == (None, 0)
    zero, two = _jobs(JOB, "compressors=0,2")
    assert [len(j.air.compressors) for j in (zero, two)] == [0, 2]
    assert not set(two.air.compressors[0].needs) & set(two.air.compressors[1].needs)
    few, many = _jobs(JOB, "outfits=2,5")
    assert [sum(1 for o in j.outfits if o.state == "ready") for j in (few, many)] == [2, 5]
    (three,) = _jobs(JOB, "team=three")
    assert three.rules.preset == "three"
    one, more = _jobs(pier(), "stations=1,3")
    assert (one.site.stations_at_once, len(one.stations)) == (1, 2)
    assert (more.site.stations_at_once, len(more.stations)) == (3, 3)


def test_windows_moved() -> None:
    """All windows move together; none moved is the job as it was given."""
    job = pier()
    early, same = _jobs(job, "windows=-30,0")
    assert same == job
    assert [w.start_min for w in early.water_windows] == [w.start_min - 30 for w in job.water_windows]


def test_every_case_of_the_samples_is_a_sound_job() -> None:
    """No axis makes a job that contradicts itself by its own doing."""
    texts = ("tenders=3", "stations=2", "shift=13", "chamber=0", "compressors=2", "outfits=6", "team=six")
    (changed,) = _jobs(JOB, *texts)
    assert cross_faults(changed) == ()


def test_ranges_and_steps() -> None:
    """``2..6``, ``2..6/2``, ``2,4`` and ``-60..60/60`` are read as they look."""

    def values(text: str) -> tuple[str, ...]:
        return parse_variations(JOB, [text])[0].values

    assert values("tenders=2..6") == ("2", "3", "4", "5", "6")
    assert values("tenders = 2..6/2") == ("2", "4", "6")
    assert values("Tender=4,2,4") == ("4", "2")
    assert values("windows=-60..60/60") == ("-60", "0", "60")
    assert values("shift=8..9/0.5") == ("8", "8.5", "9")
    assert values("chamber=none,5") == ("none", "5")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("tenders=6..2", "is empty"),
        ("tenders=", "No value is given"),
        ("tenders=,", "No value is given"),
        ("tenders", "no = between"),
        ("tendres=2..3", "Did you mean tenders?"),
        ("=2", "cannot be varied"),
        ("tenders=2..", "cannot be read"),
        ("tenders=two", "no value of tenders"),
        ("tenders=-1", "no value of tenders"),
        ("tenders=2.5", "no value of tenders"),
        ("tenders=nan", "no value of tenders"),
        ("tenders=2..6/0", "step of a range cannot be 0"),
        ("shift=30", "no value of shift"),
        ("team=seven", "no value of team"),
        ("away=Nemo", "no value of away"),
        ("tenders=1..999999999", "999999999 cases"),
    ],
)
def test_what_cannot_be_varied_is_told(text: str, words: str) -> None:
    """Empty ranges, unknown things and values out of range are refused in a sentence."""
    with pytest.raises(InputFaults) as found:
        parse_variations(JOB, [text])
    assert words in found.value.faults[0].sentence


def test_all_faults_are_told_together() -> None:
    """Two wrong texts are two faults; the same thing twice is one; nothing at all is one."""
    with pytest.raises(InputFaults) as found:
        parse_variations(JOB, ["tenders=6..2", "moon=1"])
    assert len(found.value.faults) == 2
    with pytest.raises(InputFaults, match="varied twice"):
        parse_variations(JOB, ["tenders=1", "tenders=2"])
    with pytest.raises(InputFaults, match="Nothing is varied"):
        parse_variations(JOB, [])


def test_too_many_cases_are_refused_with_their_number() -> None:
    """40 × 30 is 1200: refused, saying how many and what to do; 1000 are run."""
    with pytest.raises(InputFaults, match=r"That makes 1200 cases; at most 1000 are run\. Narrow"):
        cases_of(JOB, parse_variations(JOB, ["tenders=1..40", "divers=1..30"]))
    assert len(cases_of(JOB, parse_variations(JOB, ["tenders=1..50", "divers=1..20"]))) == MOST_CASES == 1000


def test_what_cannot_be_made_is_told() -> None:
    """A second compressor like none, and a job that then contradicts itself, end in sentences."""
    bare = JOB.replace(air=JOB.air.replace(compressors=()))
    with pytest.raises(InputFaults, match="no compressor that an extra one could be like"):
        cases_of(bare, parse_variations(bare, ["compressors=1"]))
    keys = [axis.key for axis in axes_of(JOB)]
    assert len(keys) == len(set(keys))
