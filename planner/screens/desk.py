"""What one user has open: the job, the edits before it, the plan, the run of the scheduler.

A desk lives on the server and is found again by its token, so that a page that is loaded anew finds the
work as it was; two tabs have two desks and never mix. The shelf keeps a bounded number of desks and clears
away the one that was left alone longest. Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict, deque
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, TypeVar

from planner.cores import workers_here
from planner.errors import Fault
from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.screens.editing.edits import Edits
from planner.screens.runs import SolveRun, Step

if TYPE_CHECKING:
    # The workbook's reader is loaded by the first file that is opened.
    from planner.screens.editing.mending import Mending

Kept = TypeVar("Kept")

_OPENING = "opening "
_CHANGED = " Changed on the screen since."

#: How many edits can be taken back.
UNDO_STEPS = 20

#: How many desks the server keeps; a desk is small (a job and a plan), a run of the scheduler is not.
DESKS_KEPT = 24


@dataclass(frozen=True)
class ShownPlan:
    """A plan that passed the check, with the job it was made for and how it came about."""

    plan: Plan
    job: Job
    sentence: str
    steps: tuple[Step, ...]
    final: bool
    planned_at: datetime | None = field(default_factory=lambda: datetime.now(UTC))
    """When it came to be on show, in UTC; None for one that an earlier version of the program kept."""


@dataclass(frozen=True)
class Refused:
    """A file that could not be used, and why."""

    file: str
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class KeptPart:
    """A part of a desk that has been made into text."""

    of: object
    """The run whose result it is."""
    sha256: str
    """Of the text; blank for one that is too large to be kept."""
    text: str = ""
    """Blank once it is written down."""


@dataclass
class Desk:
    """One user's open work."""

    token: str
    job: Job | None = None
    opened_from: str = ""
    """Which file the job was read from, what of it was read and what was not; printed on the watchbill."""
    refused: Refused | None = None
    mending: Mending | None = None
    """The file that was refused, where it can be put right here."""
    draft: Desk | None = None
    """A new job that is being typed in; see `planner.screens.editing.new_job`."""
    note: str = ""
    """Something to tell above the page until it is put away: a search that was cut off, macros left out."""
    run: SolveRun | None = None
    shown: ShownPlan | None = None
    units: UnitSystem = UnitSystem.FEET
    contrast: bool = False
    seconds: int = 30
    workers: int = field(default_factory=workers_here)
    edits: Edits = field(default_factory=Edits)
    beside: dict[str, object] = field(default_factory=dict)
    """What pages keep beside the job and the plan (a comparison, pay rules), by name; goes with the job."""
    by_hand: object = None
    """What is being moved by hand of the plan on show (`planner.screens.board.draft`); not written down."""
    version: int = 0
    """Goes up with every change of the job; part of widget keys, so that a table shows the job as it is."""
    kept: tuple[tuple[object, ...], tuple[object, ...]] | None = None
    """What `state` was when the desk was last written down."""
    kept_at: datetime | None = None
    """When it was last written down, in UTC; None for one that was not yet since the server started."""
    parts: dict[str, KeptPart] = field(default_factory=dict)
    """What is written down beside the desk's record, by name; see `planner.screens.what_if_record`."""
    not_kept: str = ""
    """Why the desk could not be written down; blank when it could."""
    before: deque[tuple[str, Job]] = field(default_factory=lambda: deque(maxlen=UNDO_STEPS))
    """The edits that can be taken back, the oldest first: what each was, and the job before it."""

    def open(self, job: Job, name: str) -> None:
        """Put a freshly opened job on the desk; plan and run of the one before are cleared away.

        The job before is not: undo brings it back, as after an edit.
        """
        self.stop_run()
        if self.job is not None and self.job != job:
            self.before.append((f"{_OPENING}{job.site.name}", self.job))
        self.job, self.opened_from, self.refused = job, name, None
        self.mending, self.note = None, ""
        self.run, self.shown = None, None
        self.units = job.site.units
        self.edits.clear()
        self.edits.units = self.units
        for work in self.beside.values():
            end = getattr(work, "stop", None)
            if callable(end):
                end()
        self.beside.clear()
        self.version += 1

    def refuse(self, file: str, faults: tuple[Fault, ...], mending: Mending | None = None) -> None:
        """Remember why a file could not be used, and the file where it can be put right here; what was open
        stays open."""
        self.refused, self.mending = Refused(file, faults), mending

    def put_file_away(self) -> None:
        """Forget the file that could not be used."""
        self.refused, self.mending = None, None

    def change(self, job: Job, what: str) -> None:
        """Take an edited job; the one before can be had back. `what` says what changed, for the undo."""
        if self.job is None:
            raise ValueError("no job is open")
        if job == self.job:
            return
        self.before.append((what, self.job))
        self.job = job
        if self.opened_from and not self.opened_from.endswith(_CHANGED):
            self.opened_from += _CHANGED
        self.edits.clear()
        self.version += 1

    @property
    def undo_label(self) -> str | None:
        """What the next undo takes back; None when there is nothing."""
        return self.before[-1][0] if self.before else None

    def undo(self) -> str | None:
        """Take back the last edit; what it was, or None."""
        if not self.before:
            return None
        what, self.job = self.before.pop()
        if what.startswith(_OPENING):
            # where the job before was read from is not kept
            self.opened_from = ""
        self.edits.clear()
        self.version += 1
        return what

    @property
    def state(self) -> tuple[tuple[object, ...], tuple[object, ...]]:
        """What tells whether there is something new to write down: parts to be compared one by one with
        ``is``, and plain values."""
        mending, draft = self.mending, self.draft
        return (
            (self.job, self.shown, self.refused, mending, draft and draft.job, *self.beside.values()),
            (
                self.version,
                self.solving,
                self.note,
                self.units,
                self.contrast,
                self.seconds,
                self.workers,
                self.edits.changes,
                mending.changes if mending else 0,
                draft.edits.changes if draft else 0,
                len(self.before),
                # What runs beside a page has something to write down when it ends.
                tuple(getattr(work, "running", None) for work in self.beside.values()),
            ),
        )

    @property
    def is_written_down(self) -> bool:
        """Whether nothing has changed since the desk was last written down."""
        if self.kept is None:
            return False
        (parts, plain), (parts_kept, plain_kept) = self.state, self.kept
        same = len(parts) == len(parts_kept) and all(a is b for a, b in zip(parts, parts_kept, strict=True))
        return same and plain == plain_kept

    @property
    def kept_words(self) -> str:
        """When it was last kept, on the clock of its job's site: ``kept 13:14``; blank when never."""
        return "" if self.kept_at is None else f"kept {self._clock_words(self.kept_at)}"

    @property
    def planned_words(self) -> str:
        """When the plan on show was made, on the same clock: ``planned 13:14``; blank without one."""
        if self.shown is None:
            return ""
        at = self.shown.planned_at
        return "planned" if at is None else f"planned {self._clock_words(at)}"

    def _clock_words(self, moment: datetime) -> str:
        """``13:14``; with the date of any other day than today."""
        zone = UTC if self.job is None else self.job.clock.zone
        at, today = moment.astimezone(zone), datetime.now(zone).date()
        date = "" if at.date() == today else f"{at:%d %b} "
        return f"{date}{at:%H:%M}" + (" UTC" if self.job is None else "")

    @property
    def is_empty(self) -> bool:
        """Whether there is no work on it that could be lost."""
        return self.job is None and self.mending is None and not self.drafting

    @property
    def drafting(self) -> bool:
        """Whether something of a new job is typed."""
        return self.draft is not None and self.draft.edits.changes > 0

    @property
    def plan_is_old(self) -> bool:
        """Whether the job has changed since the plan on show was made."""
        return self.shown is not None and self.shown.job != self.job

    @property
    def solving(self) -> bool:
        return self.run is not None and self.run.running

    def having(self, name: str, kind: type[Kept]) -> Kept | None:
        """What a page keeps under a name; None when it keeps nothing of that kind."""
        found = self.beside.get(name)
        return found if isinstance(found, kind) else None

    def start_run(self, run: SolveRun) -> None:
        """Put a new run in place of the one before, which is stopped."""
        self.stop_run()
        self.run, self.note = run, ""

    def stop_run(self) -> None:
        """Ask a run that is going to end with the best so far."""
        if self.run is not None and self.run.running:
            self.run.stop()

    def harvest(self) -> bool:
        """Take what the run has to say; whether there is something new to show."""
        run = self.run
        if run is None:
            return False
        changed = run.poll()
        if changed and run.plan is not None:
            self.shown = ShownPlan(run.plan, run.job, run.sentence, tuple(run.steps), not run.running)
        return changed


class Shelf:
    """All desks of the server, by token; at most ``keep`` of them."""

    def __init__(self, keep: int = DESKS_KEPT) -> None:
        self._keep = keep
        self._desks: OrderedDict[str, Desk] = OrderedDict()
        self._lock = threading.Lock()
        self.since = datetime.now(UTC)

    def find(self, token: str) -> Desk | None:
        """The desk of that token; None when it is not (or no longer) here."""
        with self._lock:
            desk = self._desks.get(token)
            if desk is not None:
                self._desks.move_to_end(token)
            return desk

    def new(self) -> Desk:
        """A fresh desk with a token that cannot be guessed."""
        return self.take_in(Desk(secrets.token_urlsafe(9)))

    def take_in(self, desk: Desk) -> Desk:
        """Put a desk on the shelf; the one that is there already when its token is known."""
        with self._lock:
            found = self._desks.setdefault(desk.token, desk)
            self._desks.move_to_end(desk.token)
            while len(self._desks) > self._keep:
                _, oldest = self._desks.popitem(last=False)
                oldest.stop_run()
        return found

    def __len__(self) -> int:
        return len(self._desks)
