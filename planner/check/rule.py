"""What a rule is, and how a check function is tied to the rules that it convicts by."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from types import ModuleType

from planner.check.facts import Facts
from planner.plan.finding import Finding
from planner.table_sets import DEFAULT_ID, TableSet, table_words

SUBJECT_TO = "Subject to local regulations."

#: Sources that many rules share.
COMMON_PRACTICE = "common practice"
JOB_DATA = "the job's own data"
PLAN_DEFINITIONS = "the plan's own definitions"
NAVY = "U.S. Navy Diving Manual, Revision 7"


class Basis(StrEnum):
    """The ground a rule or a limit stands on."""

    REGULATION = "regulation"
    COMMON_PRACTICE = "common practice"
    PUBLISHED_TABLE = "published table"
    ARITHMETIC = "arithmetic"


@dataclass(frozen=True)
class Rule:
    """One rule that the check applies and the scheduler obeys."""

    id: str
    """Stable name in kebab case, used by the check, the scheduler's reasons and the documents."""
    sentence: str
    """What must hold, in one sentence."""
    source: str = COMMON_PRACTICE
    """Where the rule comes from; what is told from memory says so. The paragraphs of the CFR and the MLC were
    compared with public copies on 29 November 2026 (docs/trust.md)."""
    basis: Basis = Basis.COMMON_PRACTICE
    """The ground it stands on."""
    limits: tuple[str, ...] = ()
    """Fields of `planner.job.CrewRules` that it is set by; their defaults are the rule's."""
    by_tables: tuple[str, ...] = ()
    """Tables of the job's set that it stands on, where it does, by their files."""
    by_way_up: str = ""
    """The way up whose procedure it stands on, where it does."""

    def source_by(self, tables: TableSet) -> str:
        """The source where a job is planned by these tables: the same tables of its own set, by their names.

        ``source`` itself names those of the shipped set.
        """
        if not (self.by_tables or self.by_way_up) or tables.id == DEFAULT_ID:
            return self.source
        if self.by_way_up:
            own = f"{tables.title}, which names the procedure laid out here for {self.by_way_up} as its own"
            return own if self.by_way_up in tables.ways_up else tables.lacks(self.by_way_up).rstrip(".")
        called = [tables.called[table] for table in self.by_tables if table in tables.called]
        return f"{tables.title}, {', '.join(table_words(one) for one in dict.fromkeys(called))}"


FindsIn = Callable[[Facts], Iterator[Finding]]


@dataclass(frozen=True)
class Check:
    """A function that looks for what breaks its rules in a plan."""

    rules: tuple[Rule, ...]
    """The rules that it convicts by, each of them in one check only."""
    finds: FindsIn
    """What it does."""

    def __call__(self, facts: Facts) -> Iterator[Finding]:
        """Every finding, in order.

        Raises
        ------
        KeyError
            When it convicts by a rule that is not its own: an error of this program.
        """
        own = {rule.id for rule in self.rules}
        for finding in self.finds(facts):
            if finding.rule not in own:
                raise KeyError(f"{finding.rule!r} is not the id of a rule of {self.finds.__name__}")
            yield finding


def convicts_by(*rules: Rule) -> Callable[[FindsIn], Check]:
    """Make a function a check of these rules."""
    return lambda finds: Check(rules, finds)


def checks_in(module: ModuleType) -> tuple[Check, ...]:
    """The checks that a module defines, in the order in which they stand there."""
    return tuple(found for found in vars(module).values() if isinstance(found, Check))
