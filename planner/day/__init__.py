"""One clock: what follows from a dive's times, for moves by hand, the day log, what-ifs and first plans.

The way up, the moments of a dive and the spans of its duties (`planner.day.dive`), what divers carry from
dive to dive (`planner.day.divers`), and a plan changed by hand or moved as a whole (`planner.day.by_hand`,
`planner.day.plan`). The check never imports anything from here: it judges what this room works out.
"""

from planner.day.briefings import with_briefings
from planner.day.crew import crew_counts, dressing_of, tenders_a_diver
from planner.day.dive import (
    DiveTimes,
    HeldFromTo,
    Moment,
    chamber_ascent_min,
    comes_dressed_from,
    descent_min,
    held_from_to,
    keeps_pin,
    still_in_dress,
    times_of,
    water_ascent_min,
)
from planner.day.divers import (
    AfterDive,
    AtLeave,
    Hindrance,
    allowed_exposure,
    at_leave,
    brought_in,
    dived_on,
    diver_row,
    longest_bottom_min,
)
from planner.day.plan import (
    bench_starts,
    left_over,
    on_duty_min,
    plan_later,
    tasks_later,
    weighted_min,
    weighted_needed_min,
)
