"""Invented sets: repeats counted in other ways than minutes; metres and a rate of their own. Never shipped.

The numbers are made up so that sums are easy by hand, and hold every rule of soundness.
"""

from __future__ import annotations

BY_FACTOR, BY_INTERVALS, IN_METRES = "invented-by-factor", "invented-by-intervals", "invented-in-metres"
BY_MINUTES = "invented-by-minutes"

_HEAD = """
name = "Invented Table"
edition = "for tests only"
publisher = "nobody"
last_updated = 2026-11-01
transcribed_by = "made up"
checked_by = "nobody"
units = "fsw"
depth_grid = [40, 60, 80]
deepest_planned = 80
depth_rounding = "next deeper"
time_rounding = "next longer"
ascent_per_min = 60
descent_per_min_at_most = 75
groups = ["A", "B", "C", "D"]
same_dive_under_min = 10
clean_without_group_min = 720
residual = "{residual}"
ways_up = ["no-stop"]
altitude = false
flight_waits = false
[tables]
no_stop = "sheet 1"
intervals = "sheet 2"
"""

_NO_STOP = b"""depth_fsw,no_stop_limit_min,A,B,C,D
40,120,30,60,90,120
60,60,15,30,45,60
80,36,8,16,26,36
"""

_FACTORS = b"""group_at_surfacing,factor_after_interval,interval_from_min,interval_to_min
A,1.2,10,59
A,1.1,60,239
B,1.4,10,59
B,1.2,60,179
B,1.1,180,359
C,1.6,10,59
C,1.4,60,119
C,1.2,120,239
C,1.1,240,479
D,1.8,10,59
D,1.6,60,119
D,1.4,120,179
D,1.2,180,359
D,1.1,360,719
"""

_LEFT_BY_FACTOR = b"""depth_fsw,1.1,1.2,1.4,1.6,1.8
40,109,100,85,75,66
60,54,50,42,37,33
80,32,30,25,22,20
"""

_LEAST = b"""group_at_surfacing,least_interval_min
A,60
B,120
C,180
D,360
"""


def by_factor() -> dict[str, bytes]:
    """Repeats by a factor on the bottom time, which falls with the interval."""
    return {
        "set.toml": _HEAD.format(residual="factor on bottom time").encode(),
        "no_stop.csv": _NO_STOP,
        "intervals.csv": _FACTORS,
        "time_left.csv": _LEFT_BY_FACTOR,
    }


def by_intervals() -> dict[str, bytes]:
    """No repeat before a least interval, after it a clean diver."""
    return {
        "set.toml": _HEAD.format(residual="intervals").encode(),
        "no_stop.csv": _NO_STOP,
        "intervals.csv": _LEAST,
    }


_STOPS = b"""depth_msw,bottom_time_min,breathing,time_to_first_stop_s,stop_6_msw_min,stop_3_msw_min,\
total_ascent_s,chamber_o2_periods,repetitive_group,exposure
12,120,air,40,,,40,0,D,normal
12,150,air,30,,5,340,0,D,normal
18,60,air,60,,,60,0,D,normal
18,70,air,50,,8,540,0,D,normal
18,90,air,40,3,15,1130,0,D,normal
24,36,air,80,,,80,0,D,normal
24,45,air,70,,10,680,0,D,normal
24,60,air,60,5,20,1570,0,D,normal
"""


def in_metres() -> dict[str, bytes]:
    """Rows at 12, 18 and 24 msw, stops at 6 and 3 msw, 18 msw a minute; repeats by least intervals."""
    head = _HEAD.format(residual="intervals").replace('"fsw"', '"msw"')
    head = head.replace("[40, 60, 80]", "[12, 18, 24]")
    head = head.replace("planned = 80", "planned = 24").replace("ascent_per_min = 60", "ascent_per_min = 18")
    head = head.replace("_at_most = 75", "_at_most = 23").replace('["no-stop"]', '["no-stop", "air"]')
    head = head.replace("[tables]", 'planned_exposures = ["normal"]\n[tables]\nstops = "sheet 3"')
    metric = {"depth_fsw": "depth_msw", "\n40,": "\n12,", "\n60,": "\n18,", "\n80,": "\n24,"}
    no_stop = _NO_STOP.decode()
    for feet, metres in metric.items():
        no_stop = no_stop.replace(feet, metres)
    return {
        "set.toml": head.encode(),
        "no_stop.csv": no_stop.encode(),
        "intervals.csv": _LEAST,
        "stops.csv": _STOPS,
    }


_MINUTES = b"""depth_fsw,P,Q,R
40,50,100,150
60,20,40,60
80,12,24,36
"""

_TO_GROUP = b"""group_at_surfacing,group_after_interval,interval_from_min,interval_to_min
P,P,15,240
Q,Q,15,90
Q,P,91,300
R,R,15,60
R,Q,61,180
R,P,181,480
"""


def by_minutes() -> dict[str, bytes]:
    """Residual minutes of groups P, Q and R; dives less than 15 min apart are one."""
    head = _HEAD.format(residual="minutes by group and depth").replace('"A", "B", "C", "D"', '"P", "Q", "R"')
    head = head.replace("under_min = 10", "under_min = 15").replace(
        '"sheet 2"', '"sheet 2"\nresidual = "sheet 3"'
    )
    no_stop = b"depth_fsw,no_stop_limit_min,P,Q,R\n40,150,50,100,150\n60,60,20,40,60\n80,36,12,24,36\n"
    return {
        "set.toml": head.encode(),
        "no_stop.csv": no_stop,
        "intervals.csv": _TO_GROUP,
        "residual.csv": _MINUTES,
    }
