"""Every case planned, over processes or a cluster; better plans carried across; days drawn for each.

The solver's models cannot travel between processes: the job is sent, and the model is built where it is
solved. Which processes these are is joblib's business, so a Dask cluster takes the same call.
"""

from __future__ import annotations

import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from dataclasses import dataclass, field, replace
from multiprocessing import resource_tracker
from typing import Any

from joblib import Parallel, delayed, parallel_config

from planner.check import check
from planner.check.stages import WORK_FINISHED, StageKind, stage_kinds, stage_value
from planner.errors import PlannerError
from planner.job import Job
from planner.job.duties import BRIEFING
from planner.plan import Plan, Stage, Status
from planner.whatif.cases import Case, parse_variations
from planner.whatif.figures import figures_of, rank
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.spread import Spread
from planner.whatif.sure import Sure, how_sure
from planner.whatif.whole import put_together, whole_cases

#: Deterministic seconds that a case gets when the user says nothing; on the clock it is about ten times as
#: long, with what every case takes besides.
CASE_SECONDS = 0.1

#: Days drawn for each case when the user says nothing: the chance is then known to 5 points (Wilson, 1927).
CASE_DRAWS = 400

#: A turn at the machine's cores, for a block. It gives what says whether somebody waits: then no further case
#: is begun, and the next turn is asked for when those at work are done. None: asked to stop before it came.
Turns = Callable[[], AbstractContextManager[Callable[[], bool] | None]]

#: The scheduler's order of what is better.
Rank = tuple[int, int, int]

#: So many of the best plans are tried as the start of a case: each is held against the whole check.
HINTS_TRIED = 3

#: Seeds of the days drawn for one job and the next lie so far apart: further than a user types (32 bits).
SEEDS_A_JOB = 2**32


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


def draw_case(
    number: int, job: Job, plan: Plan, spread: Spread, draws: int, seed: int, each: bool = False
) -> tuple[int, Sure]:
    """Draw the days of one case; runs in a process of its own."""
    return number, how_sure(plan, job, spread, draws=draws, seed=seed, spare=False, each=each)


@dataclass
class _Lane:
    """The cases of one job, and what is known of them."""

    cases: Sequence[Case]
    known: dict[int, Solved] = field(default_factory=dict)
    results: list[CaseResult] = field(default_factory=list)
    drawn: dict[int, Sure] = field(default_factory=dict)

    @property
    def sound(self) -> list[Case]:
        return [case for case in self.cases if not case.faults]

    def waves(self) -> tuple[list[Case], ...]:
        """The order in which cases are solved: first the fewest people, whose plan holds for the most others,
        and the job as it is; then half of the others, then the rest."""
        sound = self.sound
        fewest = min(sound, key=lambda case: (len(case.job.people), case.number), default=None)
        first = [case for case in sound if case is fewest or case.as_given]
        others = [case for case in sound if case not in first]
        return first, others[::2], others[1::2]

    def plans(self) -> list[tuple[Plan, Job]]:
        """The plans found so far, each with its job."""
        known = ((self.known[c.number].plan, c.job) for c in self.cases if c.number in self.known)
        return [(plan, job) for plan, job in known if plan is not None]


def sweep(
    *lanes: Sequence[Case],
    seconds: float = CASE_SECONDS,
    seed: int = 0,
    processes: int = 2,
    backend: str | None = None,
    draws: int = 0,
    spread: Spread | None = None,
    on_progress: Callable[[int, int], None] | None = None,
    stop: threading.Event | None = None,
    turn: Turns = lambda: nullcontext(lambda: False),
) -> Sweep:
    """Plan every case, and draw days for each.

    The case with the fewest people and the job as it is are planned first, then half of the others, spread
    over the whole sweep; each starts from the best plan found so far that holds for it. At the end a plan
    that is better than a case's own and holds for the case's job takes its place, so a case with more people
    never reports less work.

    Parameters
    ----------
    lanes
        From `planner.whatif.cases.cases_of`; of several jobs from `planner.whatif.whole.whole_cases`: then
        each case is told over all of them, with its parts.
    seconds
        Deterministic seconds for each plan.
    seed
        Seed of every search.
    processes
        How many run at once.
    backend
        joblib's name of another backend, ``dask`` for a cluster whose client is open; None for processes
        on this machine, or for what an outer `joblib.parallel_config` says.
    draws, spread
        How many days are drawn for the plan of each case (0: none), and from what.
    on_progress
        Called with the number of plans done and of all plans; each counts again for its drawn days.
    stop
        Set it from any thread: cases that are done are kept, the others are left.
    turn
        Where somebody else wants the cores too: see `Turns`.
    """
    began = time.perf_counter()
    stop = stop or threading.Event()
    rows = [_Lane(cases) for cases in lanes]
    several = len(rows) > 1
    of = sum(len(row.sound) for row in rows) * (2 if draws else 1)
    done = 0

    def one_more() -> bool:
        """Tell that one more step is done; whether to go on."""
        nonlocal done
        done += 1
        if on_progress is not None:
            on_progress(done, of)
        return not stop.is_set()

    # ended at once, the cases that are done are kept
    with suppress(KeyboardInterrupt):
        for wave in zip(*(row.waves() for row in rows), strict=True):
            if stop.is_set():
                break
            asked = [(k, case) for k, cases in enumerate(wave) for case in cases]
            found = [_starts(row.plans()) for row in rows]
            tasks = [
                delayed(solve_case)(n, case.job, seconds, seed, _hint(case.job, found[k]))
                for n, (k, case) in enumerate(asked)
            ]
            for solved in _each(tasks, processes, backend, turn):
                k, case = asked[solved.number]
                rows[k].known[case.number] = replace(solved, number=case.number)
                if not one_more():
                    break
    for row in rows:
        results = [_result(case, row.known.get(case.number)) for case in row.cases]
        kept = [r for r in results if r.case.faults or r.case.number in row.known]
        row.results = _carry_over(kept)
    spread = spread or Spread()
    drawn = [(k, r) for k, row in enumerate(rows) for r in row.results if draws and r.plan is not None]
    tasks = [
        # the days of different jobs are different days
        delayed(draw_case)(n, r.case.job, r.plan, spread, draws, seed + k * SEEDS_A_JOB, several)
        for n, (k, r) in enumerate(drawn)
        if not stop.is_set()
    ]
    done = of - len(drawn)
    with suppress(KeyboardInterrupt):
        for n, sure in _each(tasks, processes, backend, turn):
            k, r = drawn[n]
            rows[k].drawn[r.case.number] = sure
            if not one_more():
                break
    for row in rows:
        row.results = [replace(r, sure=row.drawn.get(r.case.number)) for r in row.results]
    left = any(len(row.known) < len(row.sound) for row in rows)
    left = left or sum(len(row.drawn) for row in rows) < len(drawn)
    found_all = _over_all_jobs(rows) if several else rows[0].results
    return Sweep(tuple(found_all), len(lanes[0]), left, time.perf_counter() - began)


def _over_all_jobs(rows: Sequence[_Lane]) -> list[CaseResult]:
    """Each case over all jobs, where it was run for all of them."""
    by_number = [{r.case.number: r for r in row.results} for row in rows]
    numbers = [case.number for case in rows[0].cases if all(case.number in found for found in by_number)]
    return [put_together([found[number] for found in by_number]) for number in numbers]


def _each(tasks: Sequence[Any], processes: int, backend: str | None, turn: Turns) -> Iterator[Any]:
    """What comes of each task, in the order in which they are done; turn by turn where others wait."""
    left = deque(tasks)
    while left:
        with turn() as others_wait:
            if others_wait is None:
                return
            yield from _together(_till_others_wait(left, processes, others_wait), processes, backend)


def _till_others_wait(left: deque[Any], at_once: int, others_wait: Callable[[], bool]) -> Iterator[Any]:
    """Tasks taken from those that are left, one for each process at least."""
    taken = 0
    while left and (taken < at_once or not others_wait()):
        taken += 1
        yield left.popleft()


def _together(tasks: Iterator[Any], processes: int, backend: str | None) -> Iterator[Any]:
    chosen: AbstractContextManager[object] = parallel_config(backend=backend) if backend else nullcontext()
    with chosen:
        parallel = Parallel(
            n_jobs=processes, return_as="generator_unordered", batch_size=1, pre_dispatch="n_jobs"
        )
        done: Iterator[Any] | None = None
        try:
            with ctrl_c_waits():
                done = parallel(tasks)
            yield from done
        finally:
            close = getattr(done, "close", None)
            if close is not None:
                close()


@contextmanager
def ctrl_c_waits() -> Iterator[None]:
    """Ctrl-C waits for the end of this, and processes started in here never hear it.

    A terminal sends it to all of them, and this one decides. What is blocked when a process starts stays
    blocked in it (signal(7)); here a thread of a library may still take it, and then it is noted. A sweep in
    another thread than the main one has no terminal to speak of.
    """
    if threading.current_thread() is not threading.main_thread() or not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # started with the first processes otherwise, and Ctrl-C is let through again when that has been done
    resource_tracker.ensure_running()
    pressed = threading.Event()
    handler = signal.signal(signal.SIGINT, lambda *_: pressed.set())
    mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, mask)
        signal.signal(signal.SIGINT, handler)
        if pressed.is_set():
            signal.raise_signal(signal.SIGINT)


def _starts(found: Sequence[tuple[Plan, Job]]) -> list[Plan]:
    """Plans from which a search may start: the best few, and that for the fewest people."""
    by_rank: dict[Rank, Plan] = {}
    for plan, own in found:
        by_rank.setdefault(rank(plan, own), plan)
    best = [by_rank[value] for value in sorted(by_rank, reverse=True)[:HINTS_TRIED]]
    fewest = sorted(found, key=lambda pair: len(pair[1].people))[:1]
    return [*best, *(plan for plan, _ in fewest)]


def _hint(job: Job, starts: Sequence[Plan]) -> Plan | None:
    """The first of these plans that holds for a job, to start its search from."""
    for plan in starts:
        moved = carried(plan, job, None)
        if moved is not None:
            return moved
    return None


def _result(case: Case, solved: Solved | None) -> CaseResult:
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
    figures = figures_of([(plan, case.job)]) if plan is not None else None
    return CaseResult(case, plan, figures, solved.sentence, None, round(solved.seconds, 2))


def _carry_over(results: Sequence[CaseResult]) -> list[CaseResult]:
    """Give every case the best plan among all that hold for its job."""
    known: dict[object, tuple[int, Plan]] = {}
    for result in results:
        if result.plan is not None:
            same = result.plan.dives, result.plan.surface_tasks, result.plan.duties
            known.setdefault(same, (result.case.number, result.plan))
    ranked: dict[object, list[tuple[Rank, int, Plan]]] = {}
    return [
        result if result.case.faults else _bettered(result, _ranked(result.case.job, known, ranked))
        for result in results
    ]


def _ranked(
    job: Job, known: dict[object, tuple[int, Plan]], ranked: dict[object, list[tuple[Rank, int, Plan]]]
) -> list[tuple[Rank, int, Plan]]:
    """All plans, the best for a job first; worked out once for all jobs that rank alike."""
    rules, items = job.rules, tuple((i.name, i.priority) for i in job.items)
    alike = rules.priority_weights, rules.overtime_after_min, job.day_windows, items
    if alike not in ranked:
        rows = [(rank(plan, job), number, plan) for number, plan in known.values()]
        ranked[alike] = sorted(rows, key=lambda row: row[0], reverse=True)
    return ranked[alike]


def _bettered(result: CaseResult, ranked: Sequence[tuple[Rank, int, Plan]]) -> CaseResult:
    job, own = result.case.job, result.plan
    least = None if own is None else rank(own, job)
    for value, number, other in ranked:
        if least is not None and value <= least:
            return result
        plan = carried(other, job, own) if number != result.case.number else None
        if plan is not None:
            why = "it found none" if own is None else "its own was not as good"
            return replace(
                result,
                plan=plan,
                figures=figures_of([(plan, job)]),
                sentence=f"The plan of case {number} holds here too and is carried over: {why}.",
                carried_from=number,
            )
    return result


def carried(plan: Plan, job: Job, own: Plan | None) -> Plan | None:
    """A plan of another case put on a job, with what is proven for this job; None when it breaks a rule.

    ``own``: the job's own plan, whose bounds hold for the job whatever the plan.
    """
    if not (_in_days(plan, job) and _known(plan, job)):
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


def _in_days(plan: Plan, job: Job) -> bool:
    """Whether the plan lies within the job's days (rule day-window), asked first: where the start is varied
    most plans of a thousand cases do not, and to say so is a hundredth of a check."""
    windows = job.day_windows
    return all(any(w.covers(s.start_min, s.end_min) for w in windows) for s in plan.duties)


def _known(plan: Plan, job: Job) -> bool:
    """Whether everything the plan names is in the job, so that the check is worth its time."""
    people, items = {p.name for p in job.people}, {i.name for i in (*job.items, *job.standing_items)}
    stations, outfits = {s.name for s in job.stations}, {o.name for o in job.outfits}
    return (
        all(s.person in people and (s.item in items or s.duty == BRIEFING) for s in plan.duties)
        and all(d.station in stations and all(e.outfit in outfits for e in d.divers) for d in plan.dives)
        and all(s.outfit in outfits for s in plan.duties if s.outfit is not None)
    )


def compare(
    job: Job,
    vary: Sequence[str],
    *,
    seconds: float = CASE_SECONDS,
    processes: int = 2,
    seed: int = 0,
    draws: int = CASE_DRAWS,
    spread: Spread | None = None,
    beside: Sequence[Job] = (),
) -> Sweep:
    """Plan a job with other crews, hours or gear, case by case; or several jobs as one, a week or a season.

    Parameters
    ----------
    vary
        What to vary, each as ``thing=values``: ``["tenders=2..6", "chamber=0,none"]``. Every combination is
        a case.
    seconds
        Search time a case.
    processes
        Cases at once, each in a process of its own; 1 stays in this one.
    draws, spread
        How many days are drawn for each case (0: none), and from what.
    beside
        Further jobs: each case is planned for all of them, and told over the whole.

    Returns
    -------
    Sweep
        ``results`` in the order of the cases, each with its case, plan and figures.

    Raises
    ------
    InputFaults
        Every text that cannot be read, more cases than are planned at once, or somebody who is at two jobs at
        the same time.
    """
    lanes = whole_cases([job, *beside], parse_variations(job, vary, beside))
    return sweep(*lanes, seconds=seconds, processes=processes, seed=seed, draws=draws, spread=spread)
