"""What-ifs as text, and out of it again, so that they are there after the server was restarted.

A comparison is a part of its own beside the desk's record: it may hold a thousand jobs and plans, is written
once, when it is done, and read when its page is opened. Its plans are judged by the check again then. Drawn
days are a few figures and stand in the record itself. What ends while no page looks is handed over by its own
thread as a further part. Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter

from planner.errors import PlannerError
from planner.job import Job
from planner.screens.desk import Desk, KeptPart
from planner.screens.runs import Check, CountedRun, EarlierRun

if TYPE_CHECKING:
    # Sweeps, and what runs them, are loaded when there is one.
    from planner.whatif.results import CaseResult, Sweep
    from planner.whatif.sure import Sure

#: What the record of a desk says of a what-if; its job is a number among the record's jobs.
Kept = dict[str, Any] | None

#: Where a desk has them: the run over the cases, the job they vary, the case that was taken, the numbers of
#: those that were kept; the run of the draws, the plan's name and job that they are drawn for, the spread.
COMPARED, COMPARED_JOB, TAKEN, KEPT_CASES = "what-if run", "what-if job", "what-if case", "what-if cases kept"
ODDS, ODDS_OF, SPREAD_AT = "odds run", "odds of", "how days go"

#: Name of the comparison among a desk's parts.
PART = "compared"

#: Names of the parts that hold what a comparison or drawn days came to while no page looked.
ENDED_PARTS = {COMPARED: "comparison ended", ODDS: "drawn days ended"}

#: Longest comparison that is kept, characters: two hundred cases of a day for forty people are half of it.
MOST_CHARACTERS = 20_000_000

COMPARISON_CUT_OFF = (
    "The comparison was cut off: the server was restarted in the middle of it. Press Compare to plan the "
    "cases again."
)
DRAWS_CUT_OFF = (
    "The drawing of days was cut off: the server was restarted in the middle of it. Press Draw the days to "
    "begin again; the same seed draws the same days."
)
TOO_LARGE = (
    "The comparison was too large to be kept when the server was restarted. Press Compare to plan the cases "
    "again."
)
NOT_BACK = (
    "The comparison kept from before the server was restarted cannot be shown. {why} Press Compare again."
)
DRAWS_NOT_BACK = (
    "The days drawn before the server was restarted cannot be shown. {why} Press Draw the days again: the "
    "same seed draws the same days."
)
UNREADABLE = "It cannot be read by this version of the program."
BROKEN_NOW = (
    "Its plan, kept from before the server was restarted, breaks a rule as it is checked now: {sentence}"
)


CLEARED_AWAY = "It was cleared away: others needed the room, or this work was left alone for long."


class NotKept(PlannerError):
    """There is no result any more; the text says why."""


# ---------------------------------------------------------------------- out


def compared_out(desk: Desk, number: Callable[[Job], int]) -> dict[str, Any] | None:
    """What the record says of the desk's comparison; the comparison itself is left in ``desk.parts``."""
    run, job = desk.beside.get(COMPARED), desk.beside.get(COMPARED_JOB)
    known = desk.parts.pop(PART, None)
    if not isinstance(run, CountedRun) or not isinstance(job, Job):
        return None
    going = run.running
    if known is None or known.of is not run:
        result = None if going else run.result
        known = None if result is None else _part_of(run, result)
    sentence = "" if going else run.sentence
    if known is not None:
        desk.parts[PART] = known
        sentence = "" if known.sha256 else TOO_LARGE
    return {
        "job": number(job),
        "going": going,
        "run": run.token if going else None,
        "sentence": sentence,
        "taken": desk.beside.get(TAKEN),
        "ticked": desk.beside.get(KEPT_CASES),
        "sha256": known.sha256 or None if known else None,
    }


def _part_of(run: CountedRun[Any], result: Sweep) -> KeptPart:
    text = _forms(COMPARED).dump_json(result).decode()
    return KeptPart(run, _hash(text), text) if len(text) <= MOST_CHARACTERS else KeptPart(run, "")


def odds_out(desk: Desk, number: Callable[[Job], int]) -> dict[str, Any] | None:
    """The desk's drawn days for its record."""
    run, of = desk.beside.get(ODDS), desk.beside.get(ODDS_OF)
    if not isinstance(run, CountedRun) or not isinstance(of, tuple):
        return None
    name, job = of
    going = run.running
    result = None if going else run.result
    return {
        "name": name,
        "job": number(job),
        "going": going,
        "run": run.token if going else None,
        "sentence": "" if going or result is not None else run.sentence,
        "result": None if result is None else _forms(ODDS).dump_python(result, mode="json"),
    }


def spread_out(desk: Desk) -> dict[str, Any] | None:
    """How days go otherwise, as it stands on the desk; None where nothing was asked yet."""
    from planner.whatif.spread import Spread

    spread = desk.having(SPREAD_AT, Spread)
    return None if spread is None else spread.model_dump(mode="json")


def spread_in(desk: Desk, kept: dict[str, Any] | None) -> None:
    """Put how days go otherwise back onto a desk."""
    if kept is not None:
        from planner.whatif.spread import Spread

        desk.beside[SPREAD_AT] = Spread.model_validate(kept)


def going_parts(desk: Desk) -> list[str]:
    """Names of the parts that may be handed over at any moment."""
    return [name for at, name in ENDED_PARTS.items() if getattr(desk.beside.get(at), "running", False)]


def handed_over(at: str, run: CountedRun[Any]) -> str:
    """What a run came to as text, for a part of its own: the thread that ran it leaves the desk alone."""
    result = None if run.result is None else _forms(at).dump_json(run.result).decode()
    return ended_out(run.token, result, run.sentence)


def ended_out(token: str, result: str | None, sentence: str) -> str:
    """One line on the run, then the result (JSON) where there is one."""
    head = {"run": token, "sentence": sentence}
    if result is not None and len(result) + len(json.dumps(head)) >= MOST_CHARACTERS:
        head, result = head | {"sentence": TOO_LARGE}, None
    return json.dumps(head) + "\n" + (result or "")


# ---------------------------------------------------------------------- in


def compared_in(
    desk: Desk, kept: Kept, jobs: Sequence[Job], check: Check, part: Callable[[str], str | None]
) -> None:
    """Put the comparison of a record onto a desk; it is read when it is looked at."""
    if kept is None:
        return
    digest = kept["sha256"]
    run: CountedRun[Sweep]
    if digest is not None:
        run = EarlierRun(lambda: _judged_all(_sweep(part, digest), check))
        desk.parts[PART] = KeptPart(run, digest)
    elif kept["going"]:
        run = EarlierRun(lambda: _judged_all(_ended(part, COMPARED, kept["run"]), check))
    else:
        run = EarlierRun(lambda: _without_result(kept["sentence"]))
    desk.beside[COMPARED], desk.beside[COMPARED_JOB] = run, jobs[kept["job"]]
    if kept["taken"] is not None:
        desk.beside[TAKEN] = kept["taken"]
    # a record of before the ticks were kept has none
    if kept.get("ticked") is not None:
        desk.beside[KEPT_CASES] = tuple(kept["ticked"])


def odds_in(desk: Desk, kept: Kept, jobs: Sequence[Job], part: Callable[[str], str | None]) -> None:
    """Put the drawn days of a record onto a desk."""
    if kept is None:
        return
    run: CountedRun[Sure]
    if kept["result"] is not None:
        sure = _forms(ODDS).validate_python(kept["result"])
        run = EarlierRun(lambda: sure)
    elif kept["going"]:
        run = EarlierRun(lambda: _ended(part, ODDS, kept["run"]))
    else:
        run = EarlierRun(lambda: _without_result(kept["sentence"]))
    desk.beside[ODDS], desk.beside[ODDS_OF] = run, (kept["name"], jobs[kept["job"]])


def _without_result(sentence: str) -> Any:
    raise NotKept(sentence)


@contextmanager
def _told(not_back: str) -> Iterator[None]:
    """Say why what was kept is not there, whatever the reason."""
    try:
        yield
    except NotKept:
        raise
    except PlannerError as refused:
        raise NotKept(not_back.format(why=refused)) from refused
    except (ValueError, KeyError, TypeError) as wrong:
        raise NotKept(not_back.format(why=UNREADABLE)) from wrong


def _sweep(part: Callable[[str], str | None], digest: str) -> Sweep:
    """The comparison that was written down when it was done."""
    with _told(NOT_BACK):
        text = part(PART)
        if text is None:
            raise PlannerError(CLEARED_AWAY)
        if _hash(text) != digest:
            raise PlannerError("It is not the one that belongs to this work.")
        found: Sweep = _forms(COMPARED).validate_json(text)
        return found


def _ended(part: Callable[[str], str | None], at: str, token: str) -> Any:
    """The result of a run that ended while no page looked."""
    not_back, cut_off = (NOT_BACK, COMPARISON_CUT_OFF) if at == COMPARED else (DRAWS_NOT_BACK, DRAWS_CUT_OFF)
    with _told(not_back):
        head, _, result = (part(ENDED_PARTS[at]) or "null").partition("\n")
        ended = json.loads(head)
        if ended is None or ended["run"] != token:
            raise NotKept(cut_off)
        if not result:
            raise NotKept(ended["sentence"])
        return _forms(at).validate_json(result)


def _judged_all(found: Sweep, check: Check) -> Sweep:
    def judged(one: CaseResult) -> CaseResult:
        if one.parts:
            parts = tuple(map(judged, one.parts))
            broken = next((p.sentence for p in parts if p.plan is None and p not in one.parts), None)
            found = replace(one, parts=parts)
            return found if broken is None else replace(found, figures=None, sentence=broken)
        breaches = check(one.case.job, one.plan) if one.plan is not None else ()
        if not breaches:
            return one
        broken = BROKEN_NOW.format(sentence=breaches[0].sentence)
        return replace(one, plan=None, figures=None, sentence=broken)

    return replace(found, results=tuple(judged(one) for one in found.results))


# ---------------------------------------------------------------------- forms


@cache
def _forms(at: str) -> TypeAdapter[Any]:
    """How the results of comparisons, or of drawn days, are written down."""
    from planner.whatif.results import Sweep
    from planner.whatif.sure import Sure

    return TypeAdapter(Sweep if at == COMPARED else Sure)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
