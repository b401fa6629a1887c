"""What the store says when it cannot do what was asked, in sentences; nothing half done is left behind."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from planner.errors import PlannerError


class StoreRefused(PlannerError):
    """The store cannot do it; the text says why and what to do. What was stored before is untouched."""


#: What a database says (in lower case), and what that means for a user.
_MEANINGS: tuple[tuple[str, str], ...] = (
    (
        "full",
        "There is no room left on the disk of the store. This entry is not stored; everything stored before "
        "is. Make room, then enter it again.",
    ),
    (
        "no space left",
        "There is no room left on the disk of the store. This entry is not stored; everything stored before "
        "is. Make room, then enter it again.",
    ),
    (
        "readonly",
        "The store may only be read: its file, its folder or its disk is write-protected. Nothing was "
        "stored. Allow writing, or name another place with "
        "--db or the variable PLANNER_DB.",
    ),
    (
        "read-only",
        "The store may only be read: its file, its folder or its disk is write-protected. Nothing was "
        "stored. Allow writing, or name another place with "
        "--db or the variable PLANNER_DB.",
    ),
    (
        "only grows",
        "What has been logged, issued or saved is never changed or removed: enter a correction instead.",
    ),
    (
        "not a database",
        "That file is not a store of this program. It is left as it is; name another place with "
        "--db or the variable PLANNER_DB.",
    ),
    (
        "malformed",
        "The store's file is damaged. Leave it as it is, take a copy of it, and go on with the last backup.",
    ),
    (
        "locked",
        "The store was busy for too long: another program holds it. Nothing was stored; try again.",
    ),
    (
        "unable to open",
        "The store cannot be opened: its folder is missing or may not be read. Name another "
        "place with --db or the variable PLANNER_DB.",
    ),
    (
        "connection",
        "The database does not answer. Nothing was stored; is it running, and is the address right?",
    ),
)


@contextmanager
def told() -> Iterator[None]:
    """Turn what a database says into `StoreRefused`."""
    try:
        yield
    except DBAPIError as wrong:
        said = str(wrong.orig).casefold()
        for mark, meaning in _MEANINGS:
            if mark in said:
                raise StoreRefused(meaning) from wrong
        first = str(wrong.orig).strip().splitlines()[0]
        raise StoreRefused(f"The database refused, nothing was stored: {first}.") from wrong
    except SQLAlchemyError as wrong:
        first = str(wrong).strip().splitlines()[0]
        raise StoreRefused(f"The store cannot be used: {first}.") from wrong
