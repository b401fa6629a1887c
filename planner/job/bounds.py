"""Bounds that no job may move: set by law, or by what any set of tables has."""

from __future__ import annotations

#: 29 CFR 1910.425(b)(1): a dive on air goes to 190 fsw at most, or to 220 fsw for a bottom time of 30 min or
#: less.
DEEPEST_FSW, DEEPEST_SHORT_FSW, SHORT_BOTTOM_MIN = 190, 220, 30

#: 29 CFR 1910.423(c)(3)(iii): the chamber is within five minutes of the dive location.
CHAMBER_REACH_MIN = 5

#: A surface interval shorter than this does not begin a new dive (U.S. Navy Diving Manual, Revision 7,
#: table 9-8).
SAME_DIVE_UNDER_MIN = 10

#: A bottom time is counted within a day; what a job's own tables print is less, and they refuse what is
#: longer (U.S. Navy Diving Manual, Revision 7, table 9-7, at 25 fsw: 1,102 min).
LONGEST_BOTTOM_MIN = 1440

#: Longest time that a pin keeps a station free behind a dive.
LONGEST_FREE_MIN = 480
