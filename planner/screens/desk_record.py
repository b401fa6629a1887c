"""A desk as one text, and the desk out of it again: what a server that is restarted finds its work by.

Kept are the job with its undo steps, the plan on show, what is typed and not applied, a workbook that is
being mended, pay rules, what-ifs and the switches. A run of the scheduler is not: its best plan so far is.
Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import astuple
from datetime import UTC, datetime
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, Json, PlainSerializer, ValidationError

from planner.errors import Fault, PlannerError
from planner.hours.pay_rules import PayRules
from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.screens.desk import Desk, Refused, ShownPlan
from planner.screens.editing.edits import Edits
from planner.screens.editing.mending import Mending
from planner.screens.editing.new_job import APART
from planner.screens.editing.sheets import SHEETS, Edit, TypedFigure, TypedRow
from planner.screens.runs import Check, EndedRun, Step
from planner.screens.what_if_record import (
    Kept,
    compared_in,
    compared_out,
    odds_in,
    odds_out,
    spread_in,
    spread_out,
)
from planner.table_sets import has_set
from planner.workbook.opening import CELL_KINDS, CellKinds, cell_in, cell_out, sheet_in, sheet_out

#: Form of the record; goes up when what is written changes. One of an earlier form is told and left.
FORM = 5

#: Earlier forms that are read still, each with what was not kept in it, as of a desk where it was not asked:
#: 3 knew no new job begun, 4 not how days go otherwise.
READ_STILL: Mapping[int, Mapping[str, None]] = {3: {"draft": None, "spread": None}, 4: {"spread": None}}

CUT_OFF = (
    "The search was cut off: the server was restarted in the middle of it. The best plan found by then is "
    "kept; press Plan again on the page Tomorrow to go on from it."
)
CUT_OFF_EARLY = (
    "The search was cut off: the server was restarted before a plan was found. Press Plan the day on the "
    "page Tomorrow to begin again."
)
BROKEN_NOW = (
    "The plan kept from before the server was restarted breaks a rule as this version of the program checks "
    "it, so it is not shown: {sentence} Plan the day again."
)
NO_PLAN = "The search ended without a further plan before the server was restarted. {sentence}"
END_LOST = (
    "What the search came to before the server was restarted cannot be read. {why} What is on show "
    "was seen before it ended; press Plan on the page Tomorrow to go on."
)

#: Name of the part that holds what a search came to while no page looked.
SEARCHED = "searched"


class UnreadableDesk(PlannerError):
    """The record of a desk cannot be read; the text says why."""


# ---------------------------------------------------------------------- the form of the record

#: The kinds of a cell that JSON does not know, and a figure typed in either units.
_CELLS: CellKinds = {
    "f": (
        TypedFigure,
        lambda cell: [cell.value, cell.units.value],
        lambda kept: TypedFigure(kept[0], UnitSystem(kept[1])),
    ),
    **CELL_KINDS,
}


def _edit_out(edit: Edit) -> Any:
    """Settings by field, or rows: the number of the one before, and the filled cells by field.

    By field, so that a program with one column more reads it: what was not typed then is blank.
    """
    if isinstance(edit, Mapping):
        return {"set": {field: cell_out(cell, _CELLS) for field, cell in edit.items()}}
    rows = ((r.number, {f: cell_out(c, _CELLS) for f, c in r.cells.items() if c is not None}) for r in edit)
    return {"rows": list(rows)}


def _edit_in(name: str, kept: Any) -> Edit:
    if "set" in kept:
        return {field: cell_in(cell, _CELLS) for field, cell in kept["set"].items()}
    fields = [column.field for column in SHEETS[name].columns]
    for _, cells in kept["rows"]:
        if unknown := set(cells) - set(fields):
            raise ValueError(f"{name} has no {', '.join(sorted(unknown))}")
    return tuple(TypedRow(n, {f: cell_in(cells.get(f), _CELLS) for f in fields}) for n, cells in kept["rows"])


def _edits_out(edits: Edits) -> dict[str, Any]:
    return {name: _edit_out(edit) for name, edit in edits.typed.items()}


def _edits_in(kept: dict[str, Any]) -> dict[str, Edit]:
    return {name: _edit_in(name, edit) for name, edit in kept.items()}


def _draft_out(draft: Desk) -> _Draft:
    of: dict[str, Any] = {"bare": draft.job, "opened_from": draft.opened_from, "round": draft.edits.round}
    return _Draft.model_construct(None, edits=_edits_out(draft.edits), **of)


def _draft_in(kept: _Draft) -> Desk:
    draft = Desk("", kept.bare, kept.opened_from, units=kept.bare.site.units, version=APART)
    # Changes say that there is something typed; as many as before need not be.
    draft.edits = Edits(changes=1, round=kept.round + 1, typed=_edits_in(kept.edits), units=draft.units)
    return draft


def _mending_out(mending: Mending) -> Any:
    return {
        **{name: getattr(mending, name) for name in ("file", "begun", "round")},
        "edited": sorted(mending.edited),
        "faults": [astuple(fault) for fault in mending.faults],
        "sheets": [sheet_out(raw) for raw in mending.sheets],
    }


def _mending_in(kept: Any) -> Mending:
    return Mending(
        file=kept["file"],
        begun=kept["begun"],
        round=kept["round"] + 1,
        edited=set(kept["edited"]),
        faults=tuple(Fault(*parts) for parts in kept["faults"]),
        sheets=[sheet_in(raw) for raw in kept["sheets"]],
    )


FaultForm = Annotated[Fault, BeforeValidator(lambda parts: Fault(*parts)), PlainSerializer(astuple)]
StepForm = Annotated[Step, BeforeValidator(lambda parts: Step(*parts)), PlainSerializer(astuple)]


class _Shown(BaseModel):
    job: int
    planned_at: datetime | None = None
    plan: Json[Plan]
    sentence: str
    steps: tuple[StepForm, ...]


class _Draft(BaseModel):
    bare: Json[Job]
    opened_from: str
    edits: dict[str, Any]
    round: int


class _Searched(BaseModel):
    run: str
    planned_at: datetime | None = None
    job: Json[Job]
    plan: Json[Plan] | None
    sentence: str
    steps: tuple[StepForm, ...]


#: What stands in the record as on the desk.
_AS_ON_DESK = ("opened_from", "units", "contrast", "seconds", "workers", "note")


class _Record(BaseModel):
    """A desk as it is written down; its jobs stand in ``jobs`` once each, and by number elsewhere."""

    form: int
    jobs: tuple[Json[Job], ...]
    job: int | None
    opened_from: str
    before: tuple[tuple[str, int], ...]
    shown: _Shown | None
    solving: bool
    run: str | None
    units: UnitSystem
    contrast: bool
    seconds: int
    workers: int
    note: str
    edits: dict[str, Any]
    edits_in: UnitSystem
    edit_faults: tuple[FaultForm, ...]
    refused: tuple[str, tuple[FaultForm, ...]] | None
    mending: dict[str, Any] | None
    draft: _Draft | None
    pay_rules: dict[str, Json[PayRules]]
    compared: Kept
    odds: Kept
    spread: Kept
    round: tuple[int, int]


# ---------------------------------------------------------------------- out


def record_of(desk: Desk) -> str:
    """The desk as text (JSON)."""
    jobs: list[Job] = []

    def number(job: Job) -> int:
        known = [n for n, one in enumerate(jobs) if one is job]
        if not known:
            jobs.append(job)
        return known[0] if known else len(jobs) - 1

    shown, refused = desk.shown, desk.refused
    record = _Record.model_construct(
        form=FORM,
        **{name: getattr(desk, name) for name in _AS_ON_DESK},
        job=None if desk.job is None else number(desk.job),
        before=tuple((what, number(job)) for what, job in desk.before),
        shown=None
        if shown is None
        else _Shown.model_construct(
            job=number(shown.job),
            **{name: getattr(shown, name) for name in ("plan", "sentence", "steps", "planned_at")},
        ),
        solving=desk.solving,
        run=desk.run.token if desk.run is not None and desk.solving else None,
        edits=_edits_out(desk.edits),
        edits_in=desk.edits.units,
        edit_faults=desk.edits.faults,
        refused=None if refused is None else (refused.file, refused.faults),
        mending=None if desk.mending is None else _mending_out(desk.mending),
        draft=_draft_out(desk.draft) if desk.draft is not None and desk.drafting else None,
        pay_rules={name: part for name, part in desk.beside.items() if isinstance(part, PayRules)},
        compared=compared_out(desk, number),
        odds=odds_out(desk, number),
        spread=spread_out(desk),
        round=(desk.version, desk.edits.round),
    )
    record.jobs = tuple(jobs)
    return record.model_dump_json(round_trip=True)


def searched_out(ended: EndedRun) -> str:
    """What a run came to as text, for a part of its own: the thread that ran it leaves the desk alone."""
    came_to = {name: getattr(ended, name) for name in ("job", "plan", "sentence", "steps")}
    ended_at = datetime.now(UTC)
    record = _Searched.model_construct(run=ended.token, planned_at=ended_at, **came_to)
    return record.model_dump_json(round_trip=True)


# ---------------------------------------------------------------------- in


def desk_of(
    text: str, token: str, check: Check, part: Callable[[str], str | None] = lambda name: None
) -> Desk:
    """The desk of a record.

    Parameters
    ----------
    check
        The independent check: a plan that breaks a rule, as the program now checks it, is not put on show.
    part
        Gives what was written down beside the record under a name; called when a page asks for it.

    Raises
    ------
    Unreadable
        The text is no record, or one of another version.
    """
    try:
        record = json.loads(text)
        form = record["form"]
        if form in READ_STILL:
            record |= {**READ_STILL[form], "form": FORM}
            form, text = FORM, json.dumps(record)
        if form > FORM:
            raise UnreadableDesk("It was kept by a newer version of this program.")
        if form < FORM:
            raise UnreadableDesk(
                "It was kept by an earlier version of this program and cannot be read by this one."
            )
        desk = _desk(_Record.model_validate_json(text), token, check, part)
        if desk.job is not None and not has_set(desk.job.site.table_set):
            raise UnreadableDesk(f"Its table set {desk.job.site.table_set} is not here any more.")
        return desk
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, ValidationError) as wrong:
        raise UnreadableDesk("What was kept of it cannot be read by this version of the program.") from wrong


def _desk(kept: _Record, token: str, check: Check, part: Callable[[str], str | None]) -> Desk:
    jobs = kept.jobs
    # The numbers are part of widget keys: what a browser still holds must not be taken for an answer to the
    # widgets of this desk.
    version, edits_round = (number + 1 for number in kept.round)
    desk = Desk(token, version=version, **{name: getattr(kept, name) for name in _AS_ON_DESK})
    desk.job = None if kept.job is None else jobs[kept.job]
    desk.refused = kept.refused and Refused(*kept.refused)
    desk.mending = None if kept.mending is None else _mending_in(kept.mending)
    desk.before.extend((what, jobs[number]) for what, number in kept.before)
    desk.beside.update(kept.pay_rules)
    compared_in(desk, kept.compared, jobs, check, part)
    odds_in(desk, kept.odds, jobs, part)
    spread_in(desk, kept.spread)
    desk.draft = None if kept.draft is None else _draft_in(kept.draft)
    typed = _edits_in(kept.edits)
    desk.edits = Edits(faults=kept.edit_faults, round=edits_round, typed=typed, units=kept.edits_in)
    if kept.shown is not None:
        _show(desk, kept.shown, jobs[kept.shown.job], kept.shown.plan, check)
    if kept.solving and not (kept.run is not None and _searched_in(desk, part, kept.run, check)):
        desk.note = CUT_OFF if desk.shown is not None else desk.note or CUT_OFF_EARLY
    return desk


def _searched_in(desk: Desk, part: Callable[[str], str | None], run: str, check: Check) -> bool:
    """Put the plan of a run on show that ended while no page looked; whether that run did end."""
    try:
        text = part(SEARCHED)
    except PlannerError as refused:
        desk.note = END_LOST.format(why=refused)
        return True
    ended = None if text is None else _Searched.model_validate_json(text)
    if ended is None or ended.run != run:
        return False
    if ended.plan is not None:
        _show(desk, ended, ended.job, ended.plan, check)
    else:
        desk.note = NO_PLAN.format(sentence=ended.sentence)
    return True


def _show(desk: Desk, kept: _Shown | _Searched, job: Job, plan: Plan, check: Check) -> None:
    breaches = check(job, plan)
    if breaches:
        desk.note = BROKEN_NOW.format(sentence=breaches[0].sentence)
        return
    # The plan is as final as it will be: no search goes on.
    desk.shown = ShownPlan(plan, job, kept.sentence, kept.steps, True, kept.planned_at)
