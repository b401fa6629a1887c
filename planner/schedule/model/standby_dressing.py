"""standby-dressing in the models: dressed before the divers leave, undressed after, and by whom.

A standby diver either dresses for a dive and undresses after it, or goes on from an earlier dive of the same
station in the same outfit. While he dresses and undresses he has as many tenders as a diver has; the one who
tends him anyway counts where the dressing lies within the watch.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.problem.problem import DiveWork, Problem


@dataclass(frozen=True)
class Hands:
    """Standby's tenders asked for besides the one on watch: how many, how long, when, under which literal,
    and whether to undress him."""

    count: int
    minutes: int
    when: Lit
    stretch: Interval
    undresses: bool = False


@dataclass
class StandbyVars:
    """How the standby diver of one dive slot is dressed."""

    start: Lit
    end: Lit
    dressed: Lit
    """When he was dressed, for this dive or an earlier one that he goes on from."""
    comes_dressed: Lit
    stays_dressed: Lit
    standing: Interval
    held: Interval
    """The same and a minute more where he undresses: two that touch are one stretch in dress to the check."""
    hands: list[Hands] = field(default_factory=list)


def make_standby(
    model: Model,
    problem: Problem,
    data: DiveWork,
    name: str,
    present: Lit,
    edges: tuple[Lit, Lit, Lit],
) -> StandbyVars:
    """Variables of the standby diver's dressing; ``edges``: leave surface, watch start, reach surface."""
    leave, watch, reach = edges
    low, high = problem.window.start_min, problem.window.end_min
    limit = problem.job.rules.standby_dressed_max_min

    def minute(label: str) -> Lit:
        return model.new_int_var(low, high, f"{name}.{label}")

    def stretch(start: Lit, size: Lit, end: Lit, literal: Lit, label: str) -> Interval:
        whole = model.new_optional_interval_var(start, size, end, literal, f"{name}.{label}")
        return Interval(f"{name}.{label}", start, size, end, whole)

    start, end, dressed = minute("stands"), minute("stood"), minute("dressed")
    comes, stays = model.new_bool_var(f"{name}.comes"), model.new_bool_var(f"{name}.stays")
    model.add_implication(comes, present)
    model.add_implication(stays, present)
    for var in (start, end, dressed):
        model.add(var == low).only_enforce_if(~present)
    model.add(start + data.dressing_min <= leave).only_enforce_if([present, ~comes])
    model.add(dressed == start + data.dressing_min).only_enforce_if([present, ~comes])
    model.add(end == reach + data.undressing_min).only_enforce_if([present, ~stays])
    model.add(end == reach).only_enforce_if(stays)
    if limit:
        model.add(reach - dressed <= limit).only_enforce_if(present)
    size = model.new_int_var(0, high - low, f"{name}.standing.size")
    free, length = model.new_int_var(low, high + 1, f"{name}.free"), model.new_int_var(0, high - low + 1, "")
    model.add(free == end + present - stays)
    out = StandbyVars(
        start=start,
        end=end,
        dressed=dressed,
        comes_dressed=comes,
        stays_dressed=stays,
        standing=stretch(start, size, end, present, "standing"),
        held=stretch(start, length, free, present, "held"),
    )
    if not data.hands:
        return out
    dresses, undresses = model.new_bool_var(f"{name}.dresses"), model.new_bool_var(f"{name}.undresses")
    model.add(dresses + comes == present)
    model.add(undresses + stays == present)
    dressing, undressing = model.new_constant(data.dressing_min), model.new_constant(data.undressing_min)
    ready = minute("ready")
    model.add(ready == start + data.dressing_min).only_enforce_if(dresses)
    tended = model.new_bool_var(f"{name}.tended")
    model.add_implication(tended, dresses)
    model.add(start >= watch).only_enforce_if(tended)
    alone = model.new_bool_var(f"{name}.alone")
    model.add(tended + alone == dresses)
    more = data.hands - data.standby_tenders
    for literal, count in ((tended, more), (alone, data.hands)):
        if count > 0:
            out.hands.append(
                Hands(
                    count,
                    data.dressing_min,
                    literal,
                    stretch(start, dressing, ready, literal, f"hands.{literal.name}"),
                )
            )
    gone = minute("gone")
    model.add(gone == reach + data.undressing_min).only_enforce_if(undresses)
    off = stretch(reach, undressing, gone, undresses, "hands.off")
    out.hands.append(Hands(data.hands, data.undressing_min, undresses, off, undresses=True))
    return out
