"""What the program could not check and a person must tick."""

from __future__ import annotations

from planner.job.job import Job
from planner.job.words import DIVER, duty_qualifies

#: Up to this altitude the tables are used as at sea level (U.S. Navy Diving Manual, Revision 7).
SEA_LEVEL_FT = 300

_ALWAYS = (
    "Weather, sea state and visibility at the site are fit for the dives.",
    "Every diver and standby diver is fit on the day and says so.",
    "Current at the work is within what the crew and the dress can take.",
    "Vessel traffic, propellers, intakes and lifting gear near the divers are stopped or kept clear; flag "
    "'A' is shown.",
    "The bottom is clear of unexploded and other dangerous things.",
    "Air supply and reserve carry the planned dives: see the air sheet.",
    "Emergency calls are posted: chamber, hospitals, physicians, transport, rescue (29 CFR 1910.421(b), from "
    "memory).",
    "Everyone's hours of rest hold over any 24 hours and any 7 days (MLC 2006, Standard A2.3).",
)


def unchecked(job: Job) -> tuple[str, ...]:
    """Statements that a person must be able to tick before the plan is used; nothing of it is assumed."""
    own: list[str] = []
    site = job.site
    if site.daylight_only and (site.latitude_deg is None or site.longitude_deg is None):
        own.append("All dives lie in daylight: the job gives no position, so sunrise and sunset are unknown.")
    if site.altitude_ft > SEA_LEVEL_FT:
        own.append(
            f"Every diver has been at the site's {site.altitude_ft} ft for at least 12 hours (from memory)."
        )
    no_medical = [p.name for p in job.people if p.medical_expires is None and duty_qualifies(p.duties, DIVER)]
    if no_medical:
        own.append(f"The medical of these divers is valid, no date is given: {', '.join(no_medical)}.")
    undated = [o.name for o in job.outfits if o.inspection_due is None]
    if undated:
        own.append(f"These outfits are not due for inspection, no date is given: {', '.join(undated)}.")
    return (*_ALWAYS, *own)
