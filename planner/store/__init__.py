"""The store: jobs by version, issued watchbills that never change, the day log that only grows.

SQLite in the user's data folder, or any database that ``--db URL`` names (PostgreSQL is tested).
"""

from planner.store.database import StoreRefused, url_of
from planner.store.records import (
    IssuedLine,
    JobLine,
    NewRow,
    SavedJob,
    canonical_json,
    job_from_json,
)
from planner.store.store import Store
