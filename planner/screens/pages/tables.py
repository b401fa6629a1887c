"""The page of tables: what the tables say about one dive, with the rows beside it."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from planner.charts import depth
from planner.errors import TableRefusal
from planner.job import UnitSystem
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.job.units import DEPTH
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.figures import chart
from planner.screens.wording import plain
from planner.table_sets import TableSet, table_set, table_words
from planner.tables import ExposureOptions, options_for
from planner.tables.look_up import Card, LookUp, look_up
from planner.words.look_up import WAY_UP_NAMES, Words
from planner.words.measures import hours_minutes
from planner.words.schedule import group_words

_CLEAN = "clean"


def page(here: Desk) -> None:
    """Draw the page."""
    asked = _ask(here)
    try:
        found = look_up(**asked)  # type: ignore[arg-type]
    except (TableRefusal, ValueError) as refused:
        chrome.verdict(str(refused), "bad")
        return
    _answer(here, found)


def _ask(here: Desk) -> dict[str, object]:
    """The fields of the question."""
    columns = st.columns([1, 1, 1, 1.2])
    with columns[0]:
        if here.units is UnitSystem.METRIC:
            depth_fsw = int(DEPTH.inside(chrome.ask(st.number_input, "ask_depth_m", value=18.0), here.units))
        else:
            given = {"max_value": DEEPEST_SHORT_FSW, "value": 60}
            depth_fsw = int(chrome.ask(st.number_input, "ask_depth_fsw", **given))
    with columns[1]:
        bottom = int(chrome.ask(st.number_input, "ask_bottom", value=40))
    with columns[2]:
        group = chrome.ask(st.selectbox, "ask_group", options=[_CLEAN, *_tables(here).groups])
    with columns[3]:
        interval = chrome.ask(st.number_input, "ask_interval", value=None, disabled=group == _CLEAN)
    return {
        "depth_fsw": depth_fsw,
        "bottom_time_min": bottom,
        "group": None if group == _CLEAN else str(group),
        "interval_min": int(interval) if interval is not None and group != _CLEAN else None,
        "options": _options(here),
    }


def _tables(here: Desk) -> TableSet:
    """The set of the open job, else the shipped one."""
    return table_set() if here.job is None else here.job.tables


def _options(here: Desk) -> ExposureOptions:
    """How the tables are read: as the open job asks, unless changed here."""
    own = ExposureOptions(tables=_tables(here))
    if here.job is not None and here.job.dive_items:
        own = options_for(here.job, here.job.dive_items[0])
        own = replace(own, next_longer_row=here.job.site.next_longer_row)
    with st.expander("How the tables are read"):
        left, right = st.columns(2)
        with left:
            numbers = {"altitude_ft": "ask_altitude", "margin_min": "ask_margin"}
            typed = {f: chrome.ask(st.number_input, n, value=getattr(own, f)) for f, n in numbers.items()}
        with right:
            switches = {
                "next_longer_row": "ask_longer",
                "pneumofathometer_correction": "ask_pneumo",
                "fixed_reference_gauge": "ask_fixed_gauge",
            }
            typed |= {f: chrome.ask(st.toggle, n, value=getattr(own, f)) for f, n in switches.items()}
    return replace(own, **typed)


def _answer(here: Desk, found: LookUp) -> None:
    words = Words(here.units)
    exposure = found.this_dive.first
    limit = "no limit" if found.no_stop_limit_min is None else f"{found.no_stop_limit_min} min"
    left = "no limit" if found.no_stop_left_min is None else f"{found.no_stop_left_min} min"
    cells = [
        (words.depth(found.table_depth_fsw), f"row of {table_words(found.options.tables.called['no_stop'])}"),
        (limit, "no-stop limit of the row"),
        (left, "no-stop for this diver"),
        (group_words(found.group_before), "carried at leave surface"),
    ]
    if exposure is not None and found.group_before is not None:
        rnt = "undetermined" if found.residual_undetermined else f"{exposure.residual_nitrogen_min} min"
        cells += [
            (rnt, "residual nitrogen time"),
            (f"{exposure.equivalent_min} min", "equivalent single dive"),
        ]
    cells += [
        (found.group_after or "none printed", "group after"),
        (hours_minutes(found.clean_after_min), "clean after, h:min"),
    ]
    if found.flight_wait_min is not None:
        cells.append((hours_minutes(found.flight_wait_min), "flight after, h:min"))
    chrome.facts(cells)
    cards = (found.this_dive, found.next_deeper, found.next_longer)
    for place, card in zip(st.columns(3, border=True), cards, strict=True):
        with place:
            _card(card, words)
    _profiles(here, found)
    st.caption(
        f"Tables {plain(', '.join(found.tables))}, {plain(found.options.tables.printed)}. "
        "Subject to local regulations."
    )


def _card(card: Card, words: Words) -> None:
    st.markdown(f"**{card.title.capitalize()}**")
    exposure = card.first
    if exposure is None or card.depth_fsw is None:
        st.markdown(plain(card.refusal))
        return
    st.markdown(
        f"{plain(words.depth(card.depth_fsw))} for {card.bottom_time_min} min: row "
        f"{plain(words.row(exposure.schedule))}"
    )
    for answer in card.answers:
        found = answer.exposure
        said = words.schedule(found.schedule, found.group_after) if found else answer.refusal
        st.markdown(f"*{WAY_UP_NAMES[answer.way_up]}*: {plain(said)}")


def _profiles(here: Desk, found: LookUp) -> None:
    ways = {WAY_UP_NAMES[a.way_up]: a.exposure for a in found.this_dive.answers if a.exposure is not None}
    names = list(ways)
    if st.session_state.get("ask_way") not in names:
        st.session_state["ask_way"] = names[0]
    chosen = names[0]
    if len(names) > 1:
        chosen = str(st.segmented_control("Way up", names, key="ask_way", required=True))
    exposure = ways[chosen]
    look = chrome.look_of(here)
    title = f"{chosen}: depth against time"
    alt = depth.alt_profile(exposure.segments, look, title=title)
    chart(depth.profile_figure(exposure.segments, look, title=title), key="ask_profile", alt=alt)
