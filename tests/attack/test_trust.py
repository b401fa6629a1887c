"""The counts on docs/trust.md are those of this version."""

from __future__ import annotations

import re
from pathlib import Path

from planner import table_sets
from planner.check import RULES
from planner.check.air import AIR_CHECKS
from tests.attack.jobs import SWITCHES
from tests.attack.moves import MOVES
from tests.attack.test_attack import LONG_SEEDS
from tests.attack.test_relax import WORLDS

PAGE = Path(__file__).parents[2] / "docs" / "trust.md"


def test_the_counts_are_current() -> None:
    """Rows and tables, rules, rules with cases both ways, switches, kinds of moves, rules replayed,
    jobs of the long run."""
    files = sorted((Path(table_sets.__file__).parent / "shipped" / table_sets.DEFAULT_ID).glob("*.csv"))
    rows = sum(len(file.read_text(encoding="utf-8").splitlines()) - 1 for file in files)
    of_air_and_gear = {r.id for one in AIR_CHECKS for r in one.rules} | {"outfit-size", "outfit-length"}
    counts = (
        rows,
        len(files),
        len(RULES),
        len(RULES.keys() - of_air_and_gear),
        len(SWITCHES),
        len(set(MOVES)),
        len(WORLDS),
        len(LONG_SEEDS),
    )
    bold = re.findall(r"\*\*([\d,]+)\*\*", PAGE.read_text(encoding="utf-8"))
    assert [int(number.replace(",", "")) for number in bold] == list(counts)
