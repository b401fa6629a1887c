"""A desk as one text, and the desk out of it again: what a server that is restarted finds its work by.

Kept are the job with its undo steps, the plan on show, what is typed and not applied, a workbook that is
being mended, pay rules, what-ifs and the switches. A run of the scheduler is not: its best plan so far is.
Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import astuple
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from planner.errors import Fault, PlannerError
from planner.hours.pay_rules import PayRules
from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.screens.desk import Desk, Refused, ShownPlan
from planner.screens.editing.edits import Edits
from planner.screens.runs import Check, EndedRun, Step
from planner.screens.what_if_record import compared_in, compared_out, odds_in, odds_out

if TYPE_CHECKING:
    from planner.screens.editing.mending import Mending
    from planner.screens.editing.sheets import Edit
    from planner.workbook.opening import RawSheet


#: Form of the record; goes up when an older program could not read it.
FORM = 3

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


class Unreadable(PlannerError):
    """The record of a desk cannot be read; the text says why."""


def record_of(desk: Desk) -> str:
    """The desk as text (JSON)."""
    jobs = _Jobs()
    shown = desk.shown
    content = {
        "form": FORM,
        "job": jobs.number(desk.job),
        "opened_from": desk.opened_from,
        "before": [[what, jobs.number(job)] for what, job in desk.before],
        "shown": None
        if shown is None
        else {
            "job": jobs.number(shown.job),
            "plan": shown.plan.model_dump_json(),
            "sentence": shown.sentence,
            "steps": [astuple(step) for step in shown.steps],
        },
        "solving": desk.solving,
        "run": desk.run.token if desk.run is not None and desk.solving else None,
        "units": desk.units.value,
        "contrast": desk.contrast,
        "seconds": desk.seconds,
        "workers": desk.workers,
        "note": desk.note,
        "edits": edits_out(desk.edits),
        "edits_in": desk.edits.units.value,
        "edit_faults": [astuple(fault) for fault in desk.edits.faults],
        "refused": None
        if desk.refused is None
        else [desk.refused.file, [astuple(fault) for fault in desk.refused.faults]],
        "mending": None if desk.mending is None else mending_out(desk.mending),
        "pay_rules": {
            name: part.model_dump_json() for name, part in desk.beside.items() if isinstance(part, PayRules)
        },
        "compared": compared_out(desk, jobs.number),
        "odds": odds_out(desk, jobs.number),
        "round": [desk.version, desk.edits.round],
        "jobs": jobs.texts,
    }
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"))


def desk_of(
    text: str, token: str, check: Check, part: Callable[[str], str | None] = lambda name: None
) -> Desk:
    """The desk of a record.

    Parameters
    ----------
    text
        What `record_of` gave.
    token
        The desk's token.
    check
        The independent check: a plan that breaks a rule, as the program now checks it, is not put on show.
    part
        Gives what was written down beside the record under a name; called when a page asks for it.

    Raises
    ------
    Unreadable
        The text is no record, or one of a newer version.
    """
    try:
        content = json.loads(text)
        if content["form"] > FORM:
            raise Unreadable("It was kept by a newer version of this program.")
        return _desk(content, token, check, part)
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, ValidationError) as wrong:
        raise Unreadable("What was kept of it cannot be read by this version of the program.") from wrong


def _desk(content: dict[str, Any], token: str, check: Check, part: Callable[[str], str | None]) -> Desk:
    jobs = [Job.model_validate_json(one) for one in content["jobs"]]

    def job(number: int | None) -> Job | None:
        return None if number is None else jobs[number]

    # The numbers are part of widget keys: what a browser still holds must not be taken for an answer to the
    # widgets of this desk.
    version, edits_round = (number + 1 for number in content["round"])
    desk = Desk(
        token,
        job=job(content["job"]),
        opened_from=content["opened_from"],
        units=UnitSystem(content["units"]),
        contrast=bool(content["contrast"]),
        seconds=int(content["seconds"]),
        workers=int(content["workers"]),
        note=str(content["note"]),
        version=version,
    )
    desk.take_up(tuple((str(what), jobs[number]) for what, number in content["before"]))
    desk.beside.update({n: PayRules.model_validate_json(part) for n, part in content["pay_rules"].items()})
    if content["form"] > 2:
        # Before the third form, what-ifs went with the server.
        compared, drawn = content["compared"], content["odds"]
        compared_in(desk, compared, compared and jobs[compared["job"]], check, part)
        odds_in(desk, drawn, drawn and jobs[drawn["job"]], part)
    desk.edits = Edits(faults=faults_in(content["edit_faults"]), round=edits_round)
    if desk.job is not None:
        # In the first form, tables were shown in the job's own units.
        shown_in = content["edits_in"] if content["form"] > 1 else desk.job.site.units
        desk.edits.units = UnitSystem(shown_in)
        desk.edits.typed.update(edits_in(content["edits"], desk.edits.units))
    if content["refused"] is not None:
        file, faults = content["refused"]
        desk.refused = Refused(str(file), faults_in(faults))
    if content["mending"] is not None:
        desk.mending = mending_in(content["mending"])
    if content["shown"] is not None:
        _show(desk, content["shown"], jobs, check)
    run = content["run"] if content["form"] > 2 else None
    if content["solving"] and not (run is not None and _searched_in(desk, part, run, check)):
        desk.note = CUT_OFF if desk.shown is not None else desk.note or CUT_OFF_EARLY
    return desk


def searched_out(ended: EndedRun) -> str:
    """What a run came to as text, for a part of its own: the thread that ran it leaves the desk alone."""
    return json.dumps(
        {
            "run": ended.token,
            "plan": None if ended.plan is None else ended.plan.model_dump_json(),
            "sentence": ended.sentence,
            "steps": [astuple(step) for step in ended.steps],
            "job": ended.job.model_dump_json(),
        },
        ensure_ascii=False,
        separators=(",", ":"),
    )


def _searched_in(desk: Desk, part: Callable[[str], str | None], run: object, check: Check) -> bool:
    """Put the plan of a run on show that ended while no page looked; whether that run did end."""
    try:
        text = part(SEARCHED)
    except PlannerError as refused:
        desk.note = END_LOST.format(why=refused)
        return True
    ended = json.loads(text) if text is not None else None
    if ended is None or ended["run"] != run:
        return False
    if ended["plan"] is not None:
        _show(desk, {**ended, "job": 0}, [Job.model_validate_json(ended["job"])], check)
    else:
        desk.note = NO_PLAN.format(sentence=ended["sentence"])
    return True


def _show(desk: Desk, kept: dict[str, Any], jobs: Sequence[Job], check: Check) -> None:
    plan, job = Plan.model_validate_json(kept["plan"]), jobs[kept["job"]]
    steps = tuple(Step(*step) for step in kept["steps"])
    breaches = check(job, plan)
    if breaches:
        desk.note = BROKEN_NOW.format(sentence=breaches[0].sentence)
        return
    # The plan is as final as it will be: no search goes on.
    desk.shown = ShownPlan(plan, job, str(kept["sentence"]), steps, True)


class _Jobs:
    """The jobs of a record, each once: the undo steps and the plan share most of them."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._numbers: dict[int, int] = {}

    def number(self, job: Job | None) -> int | None:
        if job is None:
            return None
        if id(job) not in self._numbers:
            self._numbers[id(job)] = len(self.texts)
            self.texts.append(job.model_dump_json())
        return self._numbers[id(job)]


def faults_in(kept: Sequence[Sequence[str]]) -> tuple[Fault, ...]:
    """Faults of a record."""
    return tuple(Fault(*(str(part) for part in parts)) for parts in kept)


# ---------------------------------------------------------------------- values of cells


def _value_out(value: object) -> Any:
    """A cell's value for JSON; kinds that JSON does not know go under a letter of their own."""
    if isinstance(value, datetime):
        return {"dt": value.isoformat()}
    if isinstance(value, date):
        return {"d": value.isoformat()}
    if isinstance(value, time):
        return {"t": value.isoformat()}
    if isinstance(value, timedelta):
        return {"s": value.total_seconds()}
    return value


def _value_in(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    [(letter, kept)] = value.items()
    if letter == "s":
        return timedelta(seconds=kept)
    if letter == "dt":
        return datetime.fromisoformat(kept)
    return date.fromisoformat(kept) if letter == "d" else time.fromisoformat(kept)


# ---------------------------------------------------------------------- what is typed and not applied


def edits_out(edits: Edits) -> dict[str, Any]:
    """What is typed into the sheets and not applied, for a record: a figure goes with its units."""
    if not edits.typed:
        return {}
    from planner.screens.editing.sheets import SHEETS, Figure

    def out(cell: object) -> Any:
        return {"f": [cell.value, cell.units.value]} if isinstance(cell, Figure) else _value_out(cell)

    return {
        name: {"set": {field: out(value) for field, value in edit.items()}}
        if isinstance(edit, Mapping)
        else {"rows": [[row.number, [out(row.cells[c.field]) for c in SHEETS[name].columns]] for row in edit]}
        for name, edit in edits.typed.items()
    }


def edits_in(kept: dict[str, Any], units: UnitSystem) -> dict[str, Edit]:
    """What was typed, out of a record; figures of an earlier form were typed in these units."""
    if not kept:
        return {}
    from planner.screens.editing.sheets import SHEETS, Figure, TypedRow, with_units

    def cell_in(kept: Any) -> Any:
        if isinstance(kept, dict) and "f" in kept:
            value, typed_in = kept["f"]
            return Figure(value, UnitSystem(typed_in))
        return _value_in(kept)

    def row_in(name: str, number: int | None, cells: Sequence[Any]) -> TypedRow:
        row = {c.field: cell_in(cell) for c, cell in zip(SHEETS[name].columns, cells, strict=True)}
        return TypedRow(number, with_units(SHEETS[name], row, units))

    return {
        name: {field: cell_in(value) for field, value in edit["set"].items()}
        if "set" in edit
        else tuple(row_in(name, number, cells) for number, cells in edit["rows"])
        for name, edit in kept.items()
    }


# ---------------------------------------------------------------------- a workbook that is being mended


def mending_out(mending: Mending) -> dict[str, Any]:
    """A workbook that is being mended, cell by cell, for a record."""
    return {
        "file": mending.file,
        "begun": mending.begun,
        "round": mending.round,
        "edited": sorted(mending.edited),
        "faults": [astuple(fault) for fault in mending.faults],
        "sheets": [[raw.name, _cells_out(raw)] for raw in mending.sheets],
    }


def _cells_out(raw: RawSheet) -> list[Any]:
    return [
        [number, [[column, _value_out(cell.content), cell.trouble] for column, cell in cells.items()]]
        for number, cells in raw.rows.items()
    ]


def mending_in(kept: dict[str, Any]) -> Mending:
    """The workbook that was being mended, out of a record."""
    from planner.screens.editing.mending import Mending
    from planner.workbook.opening import RawCell, RawSheet

    sheets = [
        RawSheet(
            name,
            {
                int(number): {int(c): RawCell(_value_in(content), trouble) for c, content, trouble in cells}
                for number, cells in rows
            },
        )
        for name, rows in kept["sheets"]
    ]
    return Mending(
        file=kept["file"],
        sheets=sheets,
        faults=faults_in(kept["faults"]),
        begun=bool(kept["begun"]),
        round=int(kept["round"]) + 1,
        edited=set(kept["edited"]),
    )
