"""The page of all rules, limits and named least teams, as Markdown, made from the rules themselves."""

from __future__ import annotations

from collections.abc import Iterable

from planner import CAUTION
from planner.check.limits import LIMITS
from planner.check.rule import SUBJECT_TO, Rule
from planner.check.verdict import RULES
from planner.job import UnitSystem
from planner.job.crew_rules import CrewRules
from planner.job.duties import CrewMinimum
from planner.job.presets import DEFAULT_PRESET, PRESETS
from planner.words.crew import row_holds_words


def rules_page() -> str:
    """The text of ``docs/rules.md``."""
    defaults = CrewRules()
    lines = [
        "# Rules",
        "",
        f"{CAUTION} {SUBJECT_TO}",
        "",
        "Every rule has an id, which the check convicts by and the scheduler names in its reasons. This page "
        "is made from the rules themselves by `python -m tests.make_pages`; a test asserts that it is "
        "current.",
        "",
        "## What a plan must hold",
        "",
        *_table(
            ("id", "rule", "set by", "basis", "source"),
            ((f"`{r.id}`", r.sentence, _set_by(r), r.basis.value, r.source) for r in RULES.values()),
        ),
        "",
        "## Limits that a job may set",
        "",
        "Each has a default and can be changed in the job workbook.",
        "",
        *_table(
            ("limit", "default", "unit", "what it does", "basis", "source"),
            (
                (
                    limit.label,
                    _default(getattr(defaults, field)),
                    limit.unit,
                    limit.sentence,
                    limit.basis.value,
                    limit.source,
                )
                for field, limit in LIMITS.items()
            ),
        ),
        "",
        "## Named least teams",
        "",
        f"A job starts from one of these (default: {DEFAULT_PRESET}) and may change any row.",
    ]
    for preset in PRESETS.values():
        lines += ["", f"### {preset.name}", "", f"{preset.sentence} Source: {preset.source}.", ""]
        lines += _table(("duty", "people", "when", "source"), (_row(row) for row in preset.minima))
    lines += [
        "",
        "## Duties that one person may hold at once",
        "",
        *_table(("duty", "with", "source"), ((p.duty, p.with_duty, p.source) for p in defaults.pairs)),
    ]
    return "\n".join(lines) + "\n"


def _set_by(rule: Rule) -> str:
    """The limits of the job that a rule takes its numbers from."""
    rows = {
        "minima": "the crew rows",
        "pairs": "the pairs of duties",
        "duty_certificates": "the certificates of duties",
    }
    return ", ".join(rows.get(field) or LIMITS[field].label for field in rule.limits)


def _default(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def _row(row: CrewMinimum) -> tuple[str, str, str, str]:
    when = row_holds_words(row, UnitSystem.FEET)
    count = f"{row.count} a diver" if row.per_diver else f"{row.count} a dive"
    return row.duty, count, " and ".join(when) or "always", row.source


def _table(heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> list[str]:
    out = [f"| {' | '.join(heads)} |", f"|{' --- |' * len(heads)}"]
    out += [f"| {' | '.join(cell.replace('|', '/') for cell in row)} |" for row in rows]
    return out
