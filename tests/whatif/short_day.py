"""The day on which cases are searched for real: two short dives, and nothing of the clock on the wall."""

from __future__ import annotations

from tests.schedule.day import item, job
from tests.world.changed import with_site

#: Two dives for seven people.
SHORT = with_site(job(item("A", 40, 40), item("B", 30, 30)), daylight_only=False)
