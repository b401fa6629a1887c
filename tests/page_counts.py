"""Pages of each sample's watchbill, as docs/watchbill.md tells them: ``python -m tests.page_counts``.

The plans are those by rule of thumb (`tests.world.sample_plans`), so that anybody comes to the same table.
"""

from __future__ import annotations

import io

from planner.sheets.watchbill import DAY_SHEETS, write_watchbill
from planner.workbook.style import PAPERS
from tests.world.sample_plans import SAMPLES, planned

#: What is counted by itself: the sheets of a working day, the cards for the bench, the whole book.
PARTS: dict[str, tuple[str, ...]] = {"day": DAY_SHEETS, "cards": ("Dressing cards",), "all": ()}


def pages(sample: str, paper: str, part: str) -> int:
    """How many pages a part of a sample's watchbill prints on."""
    job, plan = planned(sample)
    return write_watchbill(plan, job, io.BytesIO(), paper=paper, sheets=PARTS[part])


def main() -> None:
    """Print the table."""
    heads = [f"{paper}, {part}" for paper in PAPERS for part in PARTS]
    print(f"| sample, dives | {' | '.join(heads)} |")
    print(f"| --- |{' ---: |' * len(heads)}")
    for sample in SAMPLES:
        counts = [str(pages(sample, paper, part)) for paper in PAPERS for part in PARTS]
        print(f"| {sample}, {len(planned(sample)[1].dives)} | {' | '.join(counts)} |", flush=True)


if __name__ == "__main__":
    main()
