"""What came of the cases of a sweep: each with its plan and figures, and all of them in their order."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Plan
from planner.whatif.cases import Case
from planner.whatif.figures import Figures
from planner.whatif.sure import Sure


@dataclass(frozen=True)
class CaseResult:
    case: Case
    """The case; of several jobs with the earliest of them, by whose clock the minutes are."""
    plan: Plan | None
    """Its best plan, held against the independent check; None when there is none, or when it has parts."""
    figures: Figures | None
    """Of that plan, or of the plans of all its parts."""
    sentence: str
    """How it came about, or why there is no plan."""
    carried_from: int | None = None
    """Number of the case whose plan was better and holds here too; None for a plan of its own."""
    seconds: float = 0.0
    """Time that the case took where it was solved."""
    sure: Sure | None = None
    """The plan against drawn days, where they were asked for: in every case the same days."""
    parts: tuple[CaseResult, ...] = ()
    """The same case job by job, where several jobs were compared as one."""

    @property
    def with_plans(self) -> tuple[CaseResult, ...]:
        """Itself, or its parts: each has one job and one plan."""
        return self.parts or (self,)

    def when(self, minute: int) -> str:
        """A minute of the case for print: ``15:51``, with the day where there are several."""
        clock = self.case.job.clock
        if self.parts:
            return f"{clock.at(minute):%a %d %b %H:%M}"
        return clock.hhmm(minute, with_day=self.case.job.site.days > 1)


@dataclass(frozen=True)
class Sweep:
    """All cases, in their order."""

    results: tuple[CaseResult, ...]
    """Those that were run."""
    cases: int
    """How many there were to run."""
    stopped: bool
    """Whether the user stopped it before the end."""
    seconds: float
    """Wall clock."""

    @property
    def carried(self) -> tuple[CaseResult, ...]:
        """The cases whose plan came from another."""
        return tuple(r for r in self.results if r.carried_from is not None)

    @property
    def currency(self) -> str:
        """What the costs are in; blank where no case was planned."""
        return next((r.figures.cost.currency for r in self.results if r.figures is not None), "")

    @property
    def sentence(self) -> str:
        """What was run, in one or two sentences."""
        jobs = max((len(r.parts) for r in self.results), default=0)
        of = f" of {jobs} jobs together" if jobs else ""
        text = f"{len(self.results)} of {self.cases} case(s){of} in {self.seconds:.0f} s"
        text += ", stopped before the end." if self.stopped else "."
        if self.carried:
            pairs = ", ".join(f"{r.case.number} from {r.carried_from}" for r in self.carried[:12])
            more = f" and {len(self.carried) - 12} more" if len(self.carried) > 12 else ""
            text += f" A better plan of another case was carried over to case {pairs}{more}."
        return text
