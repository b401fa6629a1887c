"""Plans the day of a surface-supplied diving team.

The way of the data is one road: workbook → `Job` → `Plan` → check → watchbill, charts, hours.
Layers point one way: job ← tables ← rules ← plan ← schedule, then air, gear, books, charts, store,
and at the top screens and the command line.
"""

__version__ = "0.1.0"

CAUTION = (
    "Planning aid only. Not a dive table and not a permit: local regulations, the current official "
    "tables and the licensed person in charge decide."
)
