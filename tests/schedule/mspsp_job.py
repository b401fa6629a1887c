"""Read a multi-skill project scheduling instance (`.dzn`) as a job made of surface items only."""

from __future__ import annotations

import re
from datetime import date, time
from pathlib import Path

from planner.job import After, CrewNeed, Job, Person, Site, Station, SurfaceItem
from tests.world.parts import PLAIN_RULES

HERE = Path(__file__).parent / "mspsp"

#: Published, proven optimal end times: Young, Feydy and Schutt, CP 2017 (see mspsp/NOTICE.md).
PUBLISHED_BEST = {
    "easy_03": 26,
    "medium_05": 27,
    "hard_02": 33,
    "hard_03": 32,
    "hard_04": 35,
    "easy_04": 111,
    "hard_06": 95,
    "hard_07": 35,
    "hard_08": 43,
    "medium_06": 48,
}
SMALL = ("easy_03", "medium_05", "hard_02", "hard_03", "hard_04")
LARGE = tuple(name for name in PUBLISHED_BEST if name not in SMALL)


def job_of(name: str) -> Job:
    """A task is a surface item, a skill a duty of the user's own; one time unit is one minute."""
    text = (HERE / f"{name}.dzn").read_text()
    parts = dict(re.findall(r"(\w+)\s*=\s*(.*?);", text, flags=re.S))
    durations = [int(n) for n in re.findall(r"\d+", parts["d"])]
    needs = [
        [int(n) for n in row.split(",")]
        for row in parts["rr"].replace("[|", "").replace("|]", "").strip("[] \n").split("|")
    ]
    skills = [
        [int(n) for n in re.findall(r"\d+", one)] for one in re.findall(r"\{(.*?)\}", parts["has_skills"])
    ]
    after = [[int(n) for n in re.findall(r"\d+", one)] for one in re.findall(r"\{(.*?)\}", parts["suc"])]
    links: dict[int, list[After]] = {}
    for k, followers in enumerate(after, start=1):
        for follower in followers:
            links.setdefault(follower, []).append(After(item=f"task {k}"))
    items = tuple(
        SurfaceItem(
            name=f"task {k}",
            duration_min=length,
            crew=tuple(
                CrewNeed(duty=f"skill {s}", count=row[k - 1])
                for s, row in enumerate(needs, start=1)
                if row[k - 1]
            ),
            after=tuple(links.get(k, ())),
        )
        for k, length in enumerate(durations, start=1)
    )
    people = tuple(
        Person(name=f"person {k}", duties=frozenset(f"skill {s}" for s in own))
        for k, own in enumerate(skills, start=1)
    )
    site = Site(name=name, first_day=date(2027, 3, 16), day_start=time(0), day_end=time(12), time_zone="UTC")
    return Job(
        site=site,
        stations=(Station(name="quay"),),
        people=people,
        surface_items=items,
        rules=PLAIN_RULES.replace(overtime_after_min=1440),
    )
