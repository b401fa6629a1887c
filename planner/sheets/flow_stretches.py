"""The day's air flow cut into stretches that a printed sheet can show, one row each."""

from __future__ import annotations

from dataclasses import dataclass

from planner.air import AirReport


@dataclass(frozen=True)
class FlowStretch:
    """A stretch of the day with one required flow and one capacity, scfm."""

    start_min: int
    end_min: int
    required_scfm: float
    capacity_scfm: float


def flow_stretches(air: AirReport) -> tuple[FlowStretch, ...]:
    """The day's steps of flow, neighbours that do not differ joined."""
    out: list[FlowStretch] = []
    for step in air.supply:
        demand = step.demand
        new = FlowStretch(demand.start_min, demand.end_min, step.flow_scfm, step.capacity_scfm)
        last = out[-1] if out else None
        if last and last.end_min == new.start_min and _same(last, new):
            out[-1] = FlowStretch(last.start_min, new.end_min, last.required_scfm, last.capacity_scfm)
        else:
            out.append(new)
    return tuple(out)


def _same(one: FlowStretch, other: FlowStretch) -> bool:
    return (round(one.required_scfm, 1), round(one.capacity_scfm, 1)) == (
        round(other.required_scfm, 1),
        round(other.capacity_scfm, 1),
    )
