"""How a table of 1,000 cases is made, and written. Run: python tests/bench/bench_thousand.py [OUT.xlsx]

Five kinds of change over the shortest day of the tests (two dives, seven people), a small budget a case, and
drawn days. Prints what the sweep took on the wall and in processor time (on a machine that does other work
the second says more: two cores give at most two seconds of it for each second on the wall), and what its
workbook, its best cases and its line of answers take.
"""

from __future__ import annotations

import os
import pickle
import platform
import sys
import tempfile
import time
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from joblib.externals.loky import get_reusable_executor

from planner.files import workbook_bytes
from planner.sheets.compare_book import compare_book
from planner.whatif.best import best_within, knee_of, least_crew
from planner.whatif.cases import MOST_CASES, cases_of, parse_variations
from planner.whatif.sweep import sweep
from tests.bench.bench_compare import processor_s
from tests.whatif.short_day import SHORT

VARY = ["divers=3..6", "tenders=4..8", "start=-60..60/30", "margin=0..8/2", "stations=1,2"]
CASE_S, DRAWS = 0.01, 50


def main() -> int:
    """Measure, print, and say by the status whether every case was run."""
    cases = cases_of(SHORT, parse_variations(SHORT, VARY))
    print(
        f"{platform.python_implementation()} {platform.python_version()}, {os.cpu_count()} cores", flush=True
    )
    began, used = time.perf_counter(), processor_s()
    result = sweep(
        cases,
        seconds=CASE_S,
        processes=2,
        draws=DRAWS,
        on_progress=lambda done, of: print(done, of, file=sys.stderr, flush=True) if done % 50 == 0 else None,
    )
    wall = time.perf_counter() - began
    get_reusable_executor().shutdown(wait=True)
    used = processor_s() - used
    planned = [r for r in result.results if r.figures is not None]
    print(
        f"sweep: {len(result.results)} cases, {len(planned)} with a plan, {DRAWS} days drawn for each, in "
        f"{wall:.0f} s on the wall, {used:.0f} s of processor ({used / 2:.0f} s on two free cores)"
    )
    if len(sys.argv) > 2:
        Path(sys.argv[2]).write_bytes(pickle.dumps(result))
    began = time.process_time()
    knee = knee_of(result.results)
    print(f"best cases: {len(knee.best)} in {time.process_time() - began:.2f} s; {knee.sentence}")
    began = time.process_time()
    print(least_crew(result.results, 80, knee.at_least or 1).sentence)
    print(best_within(result.results, Decimal(4000), knee.at_least or 1).sentence)
    print(f"both asked in {time.process_time() - began:.2f} s")
    began = time.process_time()
    book = workbook_bytes(compare_book(result, SHORT))
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.gettempdir()) / "thousand.xlsx"
    out.write_bytes(book)
    print(f"workbook: {time.process_time() - began:.1f} s of processor, {len(book) / 1e6:.2f} MB")
    return 0 if len(result.results) == MOST_CASES else 1


if __name__ == "__main__":
    sys.exit(main())
