"""Sets of decompression tables: each a folder of CSV files, read, judged and looked up. No job, no solver."""

from planner.table_sets.shelf import DEFAULT_ID, SetRefused, has_set, keep_set, set_ids, table_set
from planner.table_sets.table_set import (
    FLIGHT_ALTITUDE_FT,
    IN_CHAMBER,
    NO_STOP,
    ON_AIR,
    ON_OXYGEN,
    Counted,
    NoStopRow,
    StopRow,
    TableSet,
    carried_words,
    carrying_words,
    table_altitude_ft,
    table_words,
)
