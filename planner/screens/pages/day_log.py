"""The page of the day log: one thumb, big buttons; what applies to every diver now."""

from __future__ import annotations

from datetime import datetime
from html import escape
from textwrap import shorten
from typing import Any

import streamlit as st

from planner.job import Job, UnitSystem
from planner.job.units import DEPTH
from planner.log.day_log import ActualDay, ActualDive, Kind
from planner.log.exposures import actual_exposures, after_dives
from planner.log.guard import DEAD_S, UNDO_S, just_written
from planner.log.station_card import Figure, StationCard, station_cards
from planner.log.way_up import next_steps
from planner.log.wording import after_lines, entry_text, exposure_lines, written_text
from planner.screens import chrome
from planner.screens.clock import clock_html, run_clocks
from planner.screens.desk import Desk
from planner.screens.hold_points import hold_points
from planner.screens.log_entries import (
    AGO_KEY,
    AGO_MIN,
    LoggedDay,
    PressInDoubt,
    answer,
    more_entries,
    press,
    press_in_doubt,
)
from planner.screens.rest_of_day import rest_of_day
from planner.screens.saved import SIGN_KEY, now, signer, store_or_stop
from planner.screens.wording import plain
from planner.store import Store
from planner.tables import TableSchedule
from planner.words.measures import depth_words

#: Letters of an entry on the bar that takes it back: more would hide its first word on a tablet.
UNDO_LETTERS = 64

#: Seconds between two looks at the clock while somebody is in the water.
LOOK_EVERY_S = 20


def page(here: Desk) -> None:
    """Draw the page: the stations first, so that they stand on the first screen of a phone."""
    chrome.style("day_log")
    chrome.head("Day log")
    store = store_or_stop()
    at_first, stations = st.container(), st.container()
    # Who writes is asked for first, and out of the way once it is known.
    at_foot = st.container()
    known = bool(st.session_state.get(SIGN_KEY) or st.session_state.get("signs_kept"))
    with at_foot if known else at_first:
        day = _day(here, store)
    if day is None:
        told = "No watchbill has been issued yet. Issue one first; its day is logged here."
        chrome.first(told, "issue", "Issue a watchbill")
        return
    with at_first:
        open_now = _on_the_day(day)
    if not open_now:
        chrome.told()
        return
    with stations:
        _stations(day)
        # Below the buttons: what is told must not move them from under the thumb.
        chrome.told(again_for_s=DEAD_S)
        _undo(day)
    _depths(day)
    _divers(day)
    hold_points(day)
    more_entries(day)
    _logged(day)
    rest_of_day(here, day)


def _day(here: Desk, store: Store) -> LoggedDay | None:
    """The issued day to log: the open job's where it has one, else the one issued last."""
    lines = store.latest_issued()
    if not lines:
        return None
    own = [n for n, line in enumerate(lines) if here.job is not None and line.name == here.job.site.name]
    chosen = lines[own[0] if own else 0]
    if len(lines) > 1:
        at = {"index": own[0] if own else 0, "format_func": lambda line: line.title}
        chosen = chrome.ask(st.selectbox, "log_day", options=lines, **at)
    found = store.open_issued(chosen.name, chosen.day)
    people = [p.name for p in found.job.people]
    left, right = st.columns([2, 3], vertical_alignment="bottom")
    with left:
        by = signer(people, "Who writes")
    with right:
        st.session_state.setdefault(AGO_KEY, 0)
        said_as = {"format_func": lambda m: "now" if m == 0 else f"{m}"}
        chrome.ask(st.pills, AGO_KEY, options=AGO_MIN, required=True, **said_as)
    if len(lines) == 1:
        st.caption(plain(found.line.title))
    return LoggedDay(store, found.line, found.job, found.plan, by, here.units)


def _on_the_day(day: LoggedDay) -> bool:
    """Whether the clock is on the watchbill's days; else the page says what is to be done."""
    first, last = day.job.day_windows[0], day.job.day_windows[-1]
    if day.now_min < first.start_min - 1440:
        when = f"{day.line.day:%A %d %B %Y}; that day has not come"
        chrome.verdict(f"This watchbill is for {when}. Its log opens the day before.", "wait")
        return False
    if day.now_min > last.end_min:
        over = "Give the time of what is missing, or make tomorrow's job."
        chrome.verdict(f"The day of this watchbill is over. {over}", "wait")
    if not day.by:
        chrome.verdict("Choose your name first: every entry is signed.", "wait")
    return True


# ---------------------------------------------------------------------- the big buttons


def _stations(day: LoggedDay) -> None:
    actual = day.actual()
    if actual.in_water():
        run_clocks()
    columns = st.columns(len(day.job.stations), gap="medium")
    found = {one.dive.id: one.schedule for one in actual_exposures(actual, day.now_min)}
    for number, (station, column) in enumerate(zip(day.job.stations, columns, strict=True)):
        with column:
            _card(day, number, live=bool(actual.in_water()))
            down = actual.in_water(station.name)
            up = [d for d in actual.dives if d.station == station.name and not d.in_water]
            for dive in (*up, *down):
                _buttons(day, dive, found.get(dive.id), number)
            coming = next((d for d in actual.to_come() if d.station == station.name), None)
            if not down and coming is not None:
                about: dict[str, Any] = {"disabled": not day.by, "kwargs": {"dive": coming.id}}
                with st.container(key=f"thumb_{number}"):
                    chrome.button("press", press, day, Kind.LEAVE_SURFACE, of=number, **about)


def _card(day: LoggedDay, number: int, *, live: bool) -> None:
    """The station's card, looked at again while somebody is in the water."""

    @st.fragment(run_every=LOOK_EVERY_S if live else None)
    def drawn() -> None:
        cards = station_cards(day.actual(), now(), day.units)
        st.html(card_html(cards[number], now(), several=len(cards) > 1))

    drawn()


def card_html(card: StationCard, at: datetime, *, several: bool = False) -> str:
    """A station's card: word and colour, large figures, clocks that run on in the browser by themselves."""
    figures = "".join(
        f'<div class="{figure.tone}">{_figure(figure, at)}<span>{escape(figure.name)}</span></div>'
        for figure in card.figures
    )
    who = f"Dive {card.dive}, {card.what}" if card.dive else ""
    coming = f"<p class='next'>Next: {escape(', then '.join(card.coming))}</p>" if card.coming else ""
    shape = f"station {card.tone}" + (" several" if several else "")
    return (
        f'<section class="{shape}" aria-label="{escape(card.station)}">'
        f'<header><b>{escape(card.station)}</b><strong class="word">{escape(card.word)}</strong></header>'
        f"<p>{escape(who)}<br>{escape(' and '.join(card.people))}</p>"
        f'<div class="figures">{figures}</div>{coming}</section>'
    )


def _figure(figure: Figure, at: datetime) -> str:
    return f"<b>{figure.minutes}</b>" if figure.since is None else clock_html(figure.since, at)


def _depths(day: LoggedDay) -> None:
    """The depth of each dive in the water: below the cards, since it is logged once a dive."""
    for dive in day.actual().in_water():
        with st.container(horizontal=True, vertical_alignment="bottom"):
            label = plain(f"Deepest, dive {dive.id} ({DEPTH.unit(day.units)})")
            if day.units is UnitSystem.METRIC:
                planned_m = dive.item.metric_as_typed("depth_fsw", DEPTH, day.job.site.units)
                metres = float(DEPTH.typed(dive.depth_fsw, day.units, planned_m))
                about = {"min_value": 0.1, "max_value": 122.0, "step": 0.1, "format": "%g"}
                chrome.ask(st.number_input, "depth", of=f"m_{dive.id}", value=metres, label=label, **about)
            else:
                chrome.ask(st.number_input, "depth", of=dive.id, value=dive.depth_fsw, label=label)
            chrome.button("press_depth", _depth, day, dive.id, of=dive.id, disabled=not day.by)


def _buttons(day: LoggedDay, dive: ActualDive, schedule: TableSchedule | None, number: int) -> None:
    """A dive and what comes next on it, the likely step large; nothing once it is over."""
    steps = next_steps(dive, schedule)
    if not steps:
        return
    question = press_in_doubt(day, dive.id)
    if question is not None:
        _question(day, question, number)
        return
    # Drawn dead for as long as a press does not count; the style sheet counts the seconds.
    just = just_written(day.log, dive.id, now(), DEAD_S)
    dead = "" if just is None else f"dead_{just.last.number}_"
    for place, (kind, depth_fsw) in enumerate(steps):
        icon = ":material/arrow_downward:" if kind is Kind.REACH_BOTTOM else ":material/arrow_upward:"
        given: dict[str, Any] = {"dive": dive.id}
        label = str(kind).capitalize()
        if depth_fsw is not None:
            given["depth_fsw"] = depth_fsw
            label += f" {depth_words(depth_fsw, day.units)}"
        own = f"{number}_{dive.id}" + ("_also" if place else "")
        about: dict[str, Any] = {"label": label, "icon": icon, "kwargs": given}
        if place:
            about["type"] = "secondary"
        with st.container(key=f"thumb_{dead}{own}"):
            chrome.button("press", press, day, kind, of=own, disabled=not day.by, **about)


def _question(day: LoggedDay, question: PressInDoubt, number: int) -> None:
    """A press asked back: in the button's place, the answer that logs nothing first."""
    chrome.verdict(question.question, "wait")
    with st.container(key=f"thumb_dead_{question.last}_{number}_no"):
        chrome.button("press_no", answer, day, question, False, of=number)
    with st.container(key=f"thumb_dead_{question.last}_{number}_yes"):
        label = f"Yes: {question.kind}"
        chrome.button("press_yes", answer, day, question, True, of=number, label=label)


def _depth(day: LoggedDay, dive: str) -> None:
    """Log the depth typed; metres are taken to the next foot of sea water downwards."""
    metric = day.units is UnitSystem.METRIC
    typed = st.session_state[f"depth_m_{dive}" if metric else f"depth_{dive}"]
    kept = (("depth_fsw", typed),) if metric else ()
    press(day, Kind.DEPTH, dive=dive, depth_fsw=int(DEPTH.inside(typed, day.units)), typed=kept)


def _undo(day: LoggedDay) -> None:
    """Take back the last entry that holds, by one press."""
    log, last = day.log, day.log.last
    if last is None:
        return
    told = entry_text(last.entry, day.job, day.units)
    label = f"Undo: {plain(shorten(told, UNDO_LETTERS, placeholder='…'))}"
    about: dict[str, Any] = {"label": label, "disabled": not day.by, "kwargs": {"at_min": last.entry.at_min}}
    since_s = (now() - log.written[-1].written_at).total_seconds()
    fresh = log.written[-1].number == last.number and 0 <= since_s < UNDO_S
    # A bar at the foot of the screen for five seconds; the style sheet puts it back.
    with st.container(key=f"undo_bar_{last.number}" if fresh else "undo_line"):
        chrome.button("log_undo", press, day, Kind.TAKEN_BACK, last.number, **about)


# ---------------------------------------------------------------------- what applies


def _divers(day: LoggedDay) -> None:
    anyone = bool(day.actual().in_water())

    @st.fragment(run_every=LOOK_EVERY_S if anyone else None)
    def live() -> None:
        actual, now_min = day.actual(), day.now_min
        st.caption(f"Now {day.job.clock.hhmm(now_min)}")
        for one in actual_exposures(actual, now_min):
            if one.dive.in_water or one.dive.in_chamber or one.off_row:
                lines = list(exposure_lines(one, day.job, now_min, day.units))
                _block(f"{one.person}, dive {one.dive.id}", lines, off=one.off_row)
        _after(actual, now_min, day.job, day.units)

    live()


def _block(head: str, lines: list[str], *, off: bool) -> None:
    first, *rest = lines
    body = f'<p class="first">{escape(first)}</p>' + "".join(f"<p>{escape(line)}</p>" for line in rest)
    role, mark, css = ("alert", "OFF THE ROW: ", " off") if off else ("status", "", "")
    st.html(f'<div class="diver{css}" role="{role}"><b>{mark}{escape(head)}</b>{body}</div>')


def _after(actual: ActualDay, now_min: int, job: Job, units: UnitSystem) -> None:
    found = after_dives(actual, now_min)
    if not found:
        return
    st.header("After the dive", anchor=False)
    for one in found:
        _block(one.person, list(after_lines(one, job, units)), off=False)


# ---------------------------------------------------------------------- the log so far


def _logged(day: LoggedDay) -> None:
    log = day.log
    if not log.written:
        return
    st.header("Logged", anchor=False)
    lines = []
    for written in reversed(log.written):
        struck = log.corrected_by(written.number) is not None
        text = escape(written_text(written, log, day.job, day.units))
        lines.append(f'<li class="struck">{text}</li>' if struck else f"<li>{text}</li>")
    st.html(f'<ul style="list-style:none;padding-left:0">{"".join(lines)}</ul>')
