"""What the command's page tells of a plan is what its watchbill prints, sample by sample."""

from __future__ import annotations

import re
from functools import cache

import pytest
from watchbill_reading import rows_of, sheet, texts

from planner.sheets.summary import summary_text
from planner.words.measures import time_words
from planner.words.plan import stage_words
from tests.world.sample_plans import SAMPLES, planned

pytestmark = pytest.mark.parametrize("sample", SAMPLES)


@cache
def told(sample: str) -> str:
    """The page of a sample's plan in one line."""
    job, plan = planned(sample)
    return " ".join(summary_text(plan, job).split())


def printed(sample: str, name: str) -> list[str]:
    """All texts of a sheet of its watchbill."""
    job, plan = planned(sample)
    return texts(sheet(plan, job, name))


def test_the_figures_of_the_day(sample: str) -> None:
    """First call, first diver down, last up, last hand free, dives, people, work, items left over."""
    found = re.search(
        r"First call (?P<call>.+?) · first diver down (?P<down>.+?) · last diver up (?P<up>.+?) · "
        r"last hand free (?P<free>.+?) Work planned (?P<work>.+?) · (?P<dives>\d+) dives? · "
        r"(?P<people>\d+ of \d+) people on duty · (?P<left>\d+) items? left over",
        told(sample),
    )
    assert found is not None
    strip = printed(sample, "Watchbill")
    labels = {
        "call": "First call",
        "down": "First diver leaves surface",
        "up": "Last diver at the surface",
        "free": "Last hand free",
        "work": "Work planned",
        "dives": "Dives",
        "people": "People on duty",
        "left": "Items left over",
    }
    # the strip has a row of labels and a row of values below it
    first = strip.index("First call")
    shown = dict(zip(strip[first : first + 8], strip[first + 8 : first + 16], strict=True))
    assert {key: shown[label] for key, label in labels.items()} == found.groupdict()


def test_each_dive_with_its_minutes(sample: str) -> None:
    """Down, off the bottom and up, and the bottom time: on the page and in the row of the sheet *Dives*."""
    job, plan = planned(sample)
    rows = rows_of(sheet(plan, job, "Dives"))
    for dive in plan.dives:
        times = [
            time_words(job, m)
            for m in (dive.leave_surface_min, dive.leave_bottom_min, dive.reach_surface_min)
        ]
        assert re.search(
            rf"{re.escape(dive.id)} {' '.join(map(re.escape, times))} .+? {dive.bottom_time_min} min",
            told(sample),
        )
        for diver in dive.divers:
            walls = [
                job.clock.at(m).replace(tzinfo=None) for m in (dive.leave_surface_min, dive.reach_surface_min)
            ]
            own = [
                r
                for r in rows
                if r and str(r[0]).startswith(diver.person) and set(walls) <= set(map(_key, r))
            ]
            assert len(own) == 1, (dive.id, diver.person)


def _key(value: object) -> object:
    return value if value.__hash__ else str(value)


def test_each_stage_with_what_is_proven(sample: str) -> None:
    """The stages of the search, word for word on the sheet *Cautions and sources*."""
    job, plan = planned(sample)
    sheet_words = " ".join(" ".join(printed(sample, "Cautions and sources")).split())
    for stage in plan.stages:
        words = stage_words(stage, job)
        assert f"{stage.name}: {words}" in told(sample)
        assert words in sheet_words, stage.name
