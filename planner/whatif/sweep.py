"""Every case planned, over processes or a cluster; better plans carried across; which cases are worth it.

The solver's models cannot travel between processes: the job is sent, and the model is built where it is
solved. Which processes these are is joblib's business, so a Dask cluster takes the same call.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from decimal import Decimal

from joblib import Parallel, delayed, parallel_config

from planner.check import check
from planner.check.stages import WORK_FINISHED, StageKind, stage_kinds, stage_value
from planner.errors import PlannerError
from planner.job import Job
from planner.plan import Plan, Stage, Status
from planner.whatif.cases import Case, cases_of, parse_variations
from planner.whatif.figures import (
    EXAMPLE_COSTS,
    CostRates,
    Figures,
    figures_of,
    rank,
)

#: Deterministic seconds that a case gets when the user says nothing.
CASE_SECONDS = 2.0


@dataclass(frozen=True)
class CaseResult:
    """A case and what came of it.

    Parameters
    ----------
    case
        The case.
    plan
        Its best plan, held against the independent check; None when there is none.
    figures
        Of that plan.
    sentence
        How it came about, or why there is no plan.
    carried_from
        Number of the case whose plan was better and holds here too; None for a plan of its own.
    seconds
        Time that the case took where it was solved.
    """

    case: Case
    plan: Plan | None
    figures: Figures | None
    sentence: str
    carried_from: int | None = None
    seconds: float = 0.0


@dataclass(frozen=True)
class Sweep:
    """All cases, in their order.

    Parameters
    ----------
    results
        Those that were run.
    cases
        How many there were to run.
    stopped
        Whether the user stopped it before the end.
    seconds
        Wall clock.
    """

    results: tuple[CaseResult, ...]
    cases: int
    stopped: bool
    seconds: float

    @property
    def carried(self) -> tuple[CaseResult, ...]:
        """The cases whose plan came from another."""
        return tuple(r for r in self.results if r.carried_from is not None)

    @property
    def sentence(self) -> str:
        """What was run, in one or two sentences."""
        text = f"{len(self.results)} of {self.cases} case(s) in {self.seconds:.0f} s"
        text += ", stopped before the end." if self.stopped else "."
        if self.carried:
            pairs = ", ".join(f"{r.case.number} from {r.carried_from}" for r in self.carried[:12])
            more = f" and {len(self.carried) - 12} more" if len(self.carried) > 12 else ""
            text += f" A better plan of another case was carried over to case {pairs}{more}."
        return text


@dataclass(frozen=True)
class Solved:
    """What comes back from where a case was solved."""

    number: int
    plan: Plan | None
    sentence: str
    seconds: float


def solve_case(number: int, job: Job, seconds: float, seed: int, start: Plan | None) -> Solved:
    """Solve one case with one thread, so that it repeats; runs in a process of its own."""
    from planner.schedule import solve

    began = time.perf_counter()
    try:
        outcome = solve(job, seconds=seconds, workers=1, seed=seed, start=start)
    except PlannerError as refusal:
        return Solved(number, None, str(refusal), time.perf_counter() - began)
    return Solved(number, outcome.plan, outcome.sentence, time.perf_counter() - began)


def sweep(
    cases: Sequence[Case],
    *,
    seconds: float = CASE_SECONDS,
    seed: int = 0,
    processes: int = 2,
    backend: str | None = None,
    rates: CostRates = EXAMPLE_COSTS,
    on_progress: Callable[[int, int], None] | None = None,
    stop: threading.Event | None = None,
) -> Sweep:
    """Plan every case.

    Half of the cases, spread over the whole sweep, are planned first; each of the others then starts from
    the best plan found so far that holds for it. At the end a plan that is better than a case's own and
    holds for the case's job takes its place, so a case with more people never reports less work.

    Parameters
    ----------
    cases
        From `planner.whatif.cases.cases_of`.
    seconds
        Deterministic seconds for each case.
    seed
        Seed of every search.
    processes
        How many run at once.
    backend
        joblib's name of another backend, ``dask`` for a cluster whose client is open; None for processes
        on this machine, or for what an outer `joblib.parallel_config` says.
    rates
        For the cost.
    on_progress
        Called with the number of cases done and of all cases.
    stop
        Set it from any thread: cases that are done are kept, the others are left.
    """
    began = time.perf_counter()
    stop = stop or threading.Event()
    sound = [case for case in cases if not case.faults]
    known: dict[int, Solved] = {}
    for wave in (sound[::2], sound[1::2]):
        if stop.is_set():
            break
        for solved in _run(wave, known, cases, seconds, seed, processes, backend):
            known[solved.number] = solved
            if on_progress is not None:
                on_progress(len(known), len(sound))
            if stop.is_set():
                break
    results = [_result(case, known.get(case.number), rates) for case in cases]
    kept = [r for r in results if r.case.faults or r.case.number in known]
    return Sweep(
        tuple(_carry_over(kept, rates)),
        len(cases),
        len(known) < len(sound),
        time.perf_counter() - began,
    )


def _run(
    wave: Sequence[Case],
    known: dict[int, Solved],
    cases: Sequence[Case],
    seconds: float,
    seed: int,
    processes: int,
    backend: str | None,
) -> Iterator[Solved]:
    plans = [(known[c.number].plan, c.job) for c in cases if c.number in known]
    found = [(plan, job) for plan, job in plans if plan is not None]
    tasks = [
        delayed(solve_case)(case.number, case.job, seconds, seed, _hint(case.job, found)) for case in wave
    ]
    chosen: AbstractContextManager[object] = parallel_config(backend=backend) if backend else nullcontext()
    with chosen:
        parallel = Parallel(n_jobs=processes, return_as="generator_unordered", batch_size=1)
        solved: Iterator[Solved] = parallel(tasks)
        try:
            yield from solved
        finally:
            close = getattr(solved, "close", None)
            if close is not None:
                close()


def _hint(job: Job, found: Sequence[tuple[Plan, Job]]) -> Plan | None:
    """The best known plan that holds for a job, to start its search from."""
    ranked = sorted(found, key=lambda pair: rank(*pair), reverse=True)
    for plan, _ in ranked:
        moved = carried(plan, job, None)
        if moved is not None:
            return moved
    return None


def _result(case: Case, solved: Solved | None, rates: CostRates) -> CaseResult:
    if case.faults:
        sentence = "Not a job that can be planned: " + " ".join(f.sentence for f in case.faults[:3])
        return CaseResult(case, None, None, sentence)
    if solved is None:
        return CaseResult(case, None, None, "Not run: the sweep was stopped.")
    plan = solved.plan
    if plan is not None and check(case.job, plan):
        return CaseResult(
            case, None, None, "A plan failed the check and is withheld: a fault of the program."
        )
    figures = figures_of(plan, case.job, rates) if plan is not None else None
    return CaseResult(case, plan, figures, solved.sentence, None, round(solved.seconds, 2))


def _carry_over(results: Sequence[CaseResult], rates: CostRates) -> list[CaseResult]:
    """Give every case the best plan among all that hold for its job."""
    out = []
    for result in results:
        better = None
        if not result.case.faults:
            for other in results:
                if other.plan is None or other is result:
                    continue
                held = better[1] if better else result.plan
                if held is not None and rank(other.plan, result.case.job) <= rank(held, result.case.job):
                    continue
                plan = carried(other.plan, result.case.job, result.plan)
                if plan is not None:
                    better = (other.case.number, plan)
        if better is None:
            out.append(result)
            continue
        number, plan = better
        own = "it found none" if result.plan is None else "its own was not as good"
        sentence = f"The plan of case {number} holds here too and is carried over: {own}."
        out.append(
            replace(
                result,
                plan=plan,
                figures=figures_of(plan, result.case.job, rates),
                sentence=sentence,
                carried_from=number,
            )
        )
    return out


def carried(plan: Plan, job: Job, own: Plan | None) -> Plan | None:
    """A plan of another case put on a job, with what is proven for this job; None when it breaks a rule.

    Parameters
    ----------
    plan
        The plan to carry.
    job
        The job to put it on.
    own
        The job's own plan, whose bounds hold for the job whatever the plan.
    """
    if not _known(plan, job):
        return None
    moved = plan.replace(job_name=job.site.name, stages=(), status=Status.FEASIBLE)
    work = next((s for s in own.stages if s.name == WORK_FINISHED.name), None) if own is not None else None
    if work is not None:
        # the job's own bound on the work holds whatever the plan; those of later stages stand on other work
        moved = moved.replace(
            stages=tuple(_carried_stage(moved, job, kind, work) for kind in stage_kinds(job))
        )
    return None if check(job, moved) else moved


def _carried_stage(plan: Plan, job: Job, kind: StageKind, work: Stage) -> Stage:
    """One stage of a plan of another case: its value worked out anew, and what is proven about it."""
    value = stage_value(job, plan, kind) or 0
    bound = max(work.bound, value) if kind is WORK_FINISHED else 0
    return Stage(
        name=kind.name,
        unit=kind.unit,
        value=value,
        bound=bound,
        maximise=kind.maximise,
        proven=value == bound,
    )


def _known(plan: Plan, job: Job) -> bool:
    """Whether everything the plan names is in the job, so that the check is worth its time."""
    people, items = {p.name for p in job.people}, {i.name for i in job.items}
    stations, outfits = {s.name for s in job.stations}, {o.name for o in job.outfits}
    return (
        all(s.person in people and s.item in items for s in plan.duties)
        and all(d.station in stations and all(e.outfit in outfits for e in d.divers) for d in plan.dives)
        and all(s.outfit in outfits for s in plan.duties if s.outfit is not None)
    )


@dataclass(frozen=True)
class Knee:
    """The best cases and the bend among them.

    Parameters
    ----------
    best
        Cases that no other beats: less cost for at least the same work, or more work for at most the same
        cost. Cheapest first; of cases with equal figures the first.
    bend
        Up to it a little more money buys much work, past it much money buys little; None with fewer than
        two best cases, or without a bend.
    sentence
        The bend in words, with numbers.
    """

    best: tuple[CaseResult, ...]
    bend: CaseResult | None
    sentence: str


def knee_of(results: Sequence[CaseResult]) -> Knee:
    """The best cases of a sweep and its bend: the case furthest over the line from cheapest to dearest."""
    ranked = sorted(
        (r for r in results if r.figures is not None),
        key=lambda r: (_cost(r), -_work(r), r.case.number),
    )
    best: list[CaseResult] = []
    for result in ranked:
        if not best or _work(result) > _work(best[-1]):
            best.append(result)
    if not best:
        return Knee((), None, "No case has a plan, so there is nothing to weigh.")
    if len(best) == 1:
        only = best[0]
        return Knee(
            (only,),
            None,
            f"Case {only.case.number} ({only.case.title}) does the most work and costs the least: no other "
            "case does more, whatever it costs.",
        )
    bend = _bend(best)
    return Knee(tuple(best), bend, _sentence(best, bend))


def _work(result: CaseResult) -> int:
    return result.figures.weighted if result.figures is not None else 0


def _cost(result: CaseResult) -> Decimal:
    return result.figures.total_cost if result.figures is not None else Decimal(0)


def _bend(best: Sequence[CaseResult]) -> CaseResult | None:
    first, last = best[0], best[-1]
    money, work = _cost(last) - _cost(first), Decimal(_work(last) - _work(first))

    def over(result: CaseResult) -> Decimal:
        """Height over the straight line from the cheapest to the dearest, as a part of the whole gain."""
        return (_work(result) - _work(first)) / work - (_cost(result) - _cost(first)) / money

    inner = max(best[1:-1], key=lambda r: (over(r), -r.case.number), default=None)
    return inner if inner is not None and over(inner) > Decimal("0.02") else None


def _sentence(best: Sequence[CaseResult], bend: CaseResult | None) -> str:
    first, last = best[0], best[-1]
    if bend is None:
        return (
            f"From case {first.case.number} ({first.case.title}) to case {last.case.number} "
            f"({last.case.title}) each further per cent of the work costs about the same, "
            f"{_price(first, last)}: there is no bend."
        )
    return (
        f"The bend is case {bend.case.number} ({bend.case.title}): up to it a further per cent of the work "
        f"costs {_price(first, bend)}, beyond it {_price(bend, last)} (work weighted by priority)."
    )


def _price(one: CaseResult, other: CaseResult) -> str:
    """Money for a further per cent of the work from one case to another."""
    assert one.figures is not None and other.figures is not None
    percent = Decimal(other.figures.weighted - one.figures.weighted) * 100 / one.figures.weighted_needed
    money = other.figures.total_cost - one.figures.total_cost
    return f"{money / percent:,.2f} {one.figures.cost.currency}"


def compare(
    job: Job, vary: Sequence[str], *, seconds: float = CASE_SECONDS, processes: int = 2, seed: int = 0
) -> Sweep:
    """Plan a job with other crews, hours or gear, case by case.

    Parameters
    ----------
    vary
        What to vary, each as ``thing=values``: ``["tenders=2..6", "chamber=0,none"]``. Every combination is
        a case.
    seconds
        Search time a case.
    processes
        Cases at once, each in a process of its own; 1 stays in this one.

    Returns
    -------
    Sweep
        ``results`` in the order of the cases, each with its case, plan and figures.

    Raises
    ------
    InputFaults
        Every text that cannot be read, or more cases than are planned at once.
    """
    cases = cases_of(job, parse_variations(job, vary))
    return sweep(cases, seconds=seconds, processes=processes, seed=seed)
