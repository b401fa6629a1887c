"""What a rule is: a stable id, one sentence, where it comes from, and on what ground it stands."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

SUBJECT_TO = "Subject to local regulations."


class Basis(StrEnum):
    """The ground a rule or a limit stands on."""

    REGULATION = "regulation"
    COMMON_PRACTICE = "common practice"
    PUBLISHED_TABLE = "published table"
    ARITHMETIC = "arithmetic"


@dataclass(frozen=True)
class Rule:
    """One rule that the check applies and the scheduler obeys.

    Parameters
    ----------
    id
        Stable name in kebab case, used by the check, the scheduler's reasons and the documents.
    sentence
        What must hold, in one sentence.
    source
        Where the rule comes from; a paragraph quoted from memory says so.
    basis
        The ground it stands on.
    """

    id: str
    sentence: str
    source: str
    basis: Basis
