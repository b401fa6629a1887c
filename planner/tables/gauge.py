"""What a depth gauge does not show: the greatest depth of a dive from the depth that is read.

Every rule that says *deeper than*, and every entry into the tables, takes the depth worked out here. A
job's, a plan's and a log's depths are depths as they are read; a past dive's is its greatest depth already.
"""

from __future__ import annotations

from planner.job.site import DepthGauge, Site
from planner.table_sets import table_altitude_ft


def pneumofathometer_fsw(depth_fsw: int) -> int:
    """Correction to a depth read by pneumofathometer: +1 fsw to 100, +2 to 200, +4 to 300.

    U.S. Navy Diving Manual, Revision 7, chapter 9.
    """
    return 1 if depth_fsw <= 100 else 2 if depth_fsw <= 200 else 4


def fixed_reference_fsw(altitude_ft: int) -> int:
    """What a gauge with a fixed one-atmosphere reference reads too little: 1 fsw per 1,000 ft, rounded up.

    U.S. Navy Diving Manual, Revision 4, 9-44; none where the altitude counts as sea level.
    """
    return table_altitude_ft(altitude_ft) // 1000


def corrected_depth_fsw(
    read_fsw: int, altitude_ft: int, *, pneumofathometer: bool, fixed_reference: bool
) -> int:
    """The depth behind a reading: the gauge's own correction at altitude, then the pneumofathometer's.

    The manual's example: 75 fsw read at 7,750 ft with both are 75 + 8 + 1 = 84 fsw.
    """
    depth = read_fsw + (fixed_reference_fsw(altitude_ft) if fixed_reference else 0)
    return depth + (pneumofathometer_fsw(depth) if pneumofathometer else 0)


def greatest_depth_fsw(site: Site, read_fsw: int) -> int:
    """Greatest depth of a dive of a job, from the depth that is read on the site's gauges."""
    return corrected_depth_fsw(
        read_fsw,
        site.altitude_ft,
        pneumofathometer=site.pneumofathometer_correction,
        fixed_reference=site.depth_gauge is DepthGauge.FIXED,
    )


def depth_as_read_words(read_fsw: int, greatest_fsw: int) -> str:
    """``101 fsw (100 read)``; ``100 fsw`` where nothing is corrected."""
    return f"{greatest_fsw} fsw" + ("" if greatest_fsw == read_fsw else f" ({read_fsw} read)")
