"""The entries beside the times of a dive: took over, readings, done, delay, defect, sick; corrections."""

from __future__ import annotations

from datetime import time
from typing import Any

import streamlit as st

from planner.log import DIVE_TIMES, Entry, Kind, Written, things
from planner.log.wording import entry_text
from planner.screens.log_press import LoggedDay, press, pressed
from planner.screens.wording import plain

#: Kinds offered here, in the order of how often they are needed.
KINDS: tuple[Kind, ...] = (
    Kind.TOOK_OVER,
    Kind.AIR_READING,
    Kind.ITEM_DONE,
    Kind.DELAY,
    Kind.DEFECT,
    Kind.SICK,
    Kind.NOTE,
)


def more_entries(day: LoggedDay) -> None:
    """Choose a kind, fill in what it needs, press once."""
    with st.expander("Something else happened"):
        kind = st.pills(
            "What",
            KINDS,
            key="more_kind",
            format_func=lambda k: str(k).capitalize(),
            label_visibility="collapsed",
        )
        if kind is not None:
            fields = _fields(day, kind)
            st.button(
                f"Log: {kind}",
                key="more_press",
                type="primary",
                width="stretch",
                disabled=not day.by,
                on_click=_press,
                args=(day, kind, fields),
            )
    with st.expander("Correct an entry, or one that was forgotten"):
        _correct(day)


def _press(day: LoggedDay, kind: Kind, fields: dict[str, Any]) -> None:
    if pressed(day, kind, **fields):
        st.session_state["more_kind"] = None


def _fields(day: LoggedDay, kind: Kind) -> dict[str, Any]:
    """The widgets that a kind needs, and what stands in them."""
    job = day.job
    people = [p.name for p in job.people]
    fields: dict[str, Any] = {}
    if kind in (Kind.TOOK_OVER, Kind.SICK):
        person = st.selectbox("Person", people, index=None, key="more_person", placeholder="Who")
        fields["people"] = (person,) if person else ()
    if kind is Kind.TOOK_OVER:
        fields["duty"] = st.selectbox(
            "Duty", job.duties, index=None, key="more_duty", placeholder="Which duty"
        )
        dives = [d.id for d in day.plan.dives]
        fields["dive"] = st.selectbox("Dive", dives, index=None, key="more_dive", placeholder="Which dive")
    if kind is Kind.ITEM_DONE:
        items = [i.name for i in job.items]
        fields["item"] = st.selectbox("Item", items, index=None, key="more_item", placeholder="Which item")
    if kind in (Kind.AIR_READING, Kind.DEFECT):
        outfits = {o.name for o in job.outfits}
        names = [t for t in things(job) if kind is Kind.DEFECT or t not in outfits]
        fields["thing"] = st.selectbox(
            "Of what", names, index=None, key="more_thing", placeholder="Which one"
        )
    if kind is Kind.AIR_READING:
        fields["pressure_psi"] = st.number_input(
            "Pressure, psi",
            min_value=0.0,
            max_value=10_000.0,
            value=None,
            step=10.0,
            key="more_psi",
            help="As on the gauge.",
        )
        fields["hours_run"] = st.number_input(
            "Hour meter, h",
            min_value=0.0,
            max_value=200_000.0,
            value=None,
            step=0.1,
            key="more_hours",
            help="As the meter stands now.",
        )
    if kind is Kind.DELAY:
        fields["minutes"] = st.number_input(
            "Delay, min",
            min_value=1,
            max_value=1440,
            value=10,
            step=5,
            key="more_minutes",
            help="How long the day is held up.",
        )
    if kind in (Kind.DEFECT, Kind.SICK, Kind.NOTE, Kind.DELAY):
        fields["text"] = st.text_input("What it is", key="more_text", max_chars=500).strip()
    return fields


def _correct(day: LoggedDay) -> None:
    """Another time for an entry, or a time of a dive that nobody pressed."""
    log = day.log
    holds = [
        w
        for w in reversed(log.written)
        if log.corrected_by(w.number) is None and w.entry.kind is not Kind.TAKEN_BACK
    ]
    chosen = st.selectbox(
        "Entry",
        holds,
        index=None,
        key="fix_entry",
        placeholder="Which entry was wrong",
        format_func=lambda w: f"{w.number}. {entry_text(w.entry, day.job)}",
    )
    dive, kind = None, None
    if chosen is None:
        ids = list(dict.fromkeys([*(d.id for d in day.actual().dives), *(d.id for d in day.plan.dives)]))
        dive = st.selectbox("or a dive", ids, index=None, key="fix_dive", placeholder="Which dive")
        kind = st.pills("Time of", DIVE_TIMES, key="fix_kind", format_func=lambda k: str(k).capitalize())
    at = st.time_input("It happened at", value=None, step=60, key="fix_at")
    ready = at is not None and (chosen is not None or (dive is not None and kind is not None))
    st.button(
        "Correct" if chosen is not None else "Log it",
        key="fix_press",
        width="stretch",
        disabled=not day.by or not ready,
        on_click=_fix,
        args=(day, chosen, dive, kind, at),
    )
    if chosen is not None:
        st.button(
            f"Take back: {plain(entry_text(chosen.entry, day.job))}",
            key="fix_back",
            width="stretch",
            disabled=not day.by,
            on_click=press,
            args=(day, Kind.TAKEN_BACK, chosen.number),
            kwargs={"at_min": chosen.entry.at_min},
        )


def _fix(day: LoggedDay, chosen: Written | None, dive: str | None, kind: Kind | None, at: time) -> None:
    minute = _minute_on(day, at)
    if chosen is not None:
        changed: Entry = chosen.entry.replace(at_min=minute)
        press(day, changed.kind, chosen.number, **_given(changed))
    elif kind is not None:
        press(day, kind, dive=dive, at_min=minute)


def _minute_on(day: LoggedDay, at: time) -> int:
    """The wall time on the job's day that has come last: past midnight it is the new day's."""
    clock = day.job.clock
    minute = clock.minute_on(clock.day_of(day.now_min), at)
    if day.now_min > day.job.day_windows[-1].end_min:
        minute = clock.minute_on(day.line.day, at)
    return minute


def _given(entry: Entry) -> dict[str, Any]:
    """The fields of an entry, for another one like it."""
    return {name: getattr(entry, name) for name in Entry.model_fields if name != "kind"}
