"""Remakes all that is made and kept: ``python -m tests.make_pages``.

Pages of the rules and of the job workbook, JSON Schemas, the counts on the trust page, what the check finds
of a figure moved by one, sample jobs. What is current already is written as it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from planner import table_sets
from planner.check import RULES
from planner.check.air import AIR_CHECKS
from tests import make_sample_jobs
from tests.attack.jobs import SWITCHES
from tests.attack.moves import MOVES
from tests.attack.test_attack import LONG_SEEDS
from tests.attack.test_relax import WORLDS
from tests.check import moved_by_one
from tests.job_page import job_workbook_page
from tests.rules_page import rules_page
from tests.schemas import job_schema, plan_schema, schema_page

TOP = Path(__file__).parents[1]
TRUST = TOP / "docs" / "trust.md"
COUNT = re.compile(r"\*\*([\d,]+)\*\*")


def counts() -> list[int]:
    """Rows and tables, rules, rules with cases both ways, switches, kinds of moves, rules replayed, jobs of
    the long run: what the trust page prints bold, in its order."""
    files = sorted((Path(table_sets.__file__).parent / "shipped" / table_sets.DEFAULT_ID).glob("*.csv"))
    rows = sum(len(file.read_text(encoding="utf-8").splitlines()) - 1 for file in files)
    of_air_and_gear = {r.id for one in AIR_CHECKS for r in one.rules} | {"outfit-size", "outfit-length"}
    return [
        rows,
        len(files),
        len(RULES),
        len(RULES.keys() - of_air_and_gear),
        len(SWITCHES),
        len(set(MOVES)),
        len(WORLDS),
        len(LONG_SEEDS),
    ]


def trust_page() -> str:
    """The trust page with the counts of this version."""
    left = iter(counts())
    return COUNT.sub(lambda _: f"**{next(left):,}**", TRUST.read_text(encoding="utf-8"))


PAGES: dict[str, Callable[[], str]] = {
    "rules.md": rules_page,
    "job-workbook.md": job_workbook_page,
    "trust.md": trust_page,
    "job.schema.json": lambda: schema_page(job_schema()),
    "plan.schema.json": lambda: schema_page(plan_schema()),
}


def main() -> None:
    """Write every page and every sample."""
    for name, made in PAGES.items():
        (TOP / "docs" / name).write_text(made(), encoding="utf-8")
        print(f"docs/{name}")
    moved_by_one.KEPT.write_text(moved_by_one.page(), encoding="utf-8")
    print(moved_by_one.KEPT.relative_to(TOP))
    for sample in make_sample_jobs.main(TOP / "sample_jobs"):
        print(sample.relative_to(TOP))


if __name__ == "__main__":
    main()
