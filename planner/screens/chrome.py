"""What stands around every page: the caution, the side panel, headings, and the few style rules.

Everything typed by a user goes through `plain` before it is put into text with markup.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from html import escape
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeVar

import streamlit as st
from pydantic import BaseModel, ConfigDict, TypeAdapter
from streamlit.delta_generator import DeltaGenerator

from planner import CAUTION
from planner.errors import PlannerError
from planner.job import Job, UnitSystem
from planner.plan.model import Reason
from planner.screens.desk import Desk
from planner.screens.wording import caption_of, plain

if TYPE_CHECKING:
    # Figures, and the library that draws them, are loaded by the first page that has one.
    from planner.charts.look import FigureLook

Option = TypeVar("Option")


class Control(BaseModel):
    """What a field or a button says, and what it takes; named as Streamlit's parameters."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    label: str = ""
    help: str = ""
    icon: str = ""
    type: str = ""
    width: int | str = ""
    placeholder: str = ""
    max_chars: int = 0
    max_upload_size: int = 0
    min_value: float | int = 0
    max_value: float | int = 0
    step: float | int = 0
    format: str = ""
    persist_state: str = ""
    required: bool = False


#: Fields and buttons by name, from ``controls.toml``. What only a page knows is given with the call.
CONTROLS: dict[str, Control] = TypeAdapter(dict[str, Control]).validate_python(
    tomllib.loads((Path(__file__).parent / "controls.toml").read_text("utf-8"))
)


def put_style(desk: Desk) -> None:
    """The style rules of the app; more ink where the user asked for it."""
    style("app")
    if desk.contrast:
        style("contrast")


def style(name: str) -> None:
    """Rules of one of the sheets of style that stand in ``styles/``."""
    st.html(Path(__file__).parent / "styles" / f"{name}.css")


@st.cache_resource(show_spinner=False)
def component(name: str, html: str | None = None) -> Any:
    """A component of the page: its script, and its style where it has one, stand in ``components/``."""
    files = {kind: Path(__file__).parent / "components" / f"{name}.{kind}" for kind in ("js", "css")}
    texts = {kind: file.read_text("utf-8") for kind, file in files.items() if file.exists()}
    return st.components.v2.component(name, html=html, css=texts.get("css"), js=texts["js"])


def caution() -> None:
    """The caution, at the head of every page."""
    st.html(f'<div class="caution" role="note">{escape(CAUTION)}</div>')


def head(title: str, lead: str = "") -> None:
    """A page's title and one line on what it is for."""
    st.title(plain(title), anchor=False)
    if lead:
        st.html(f'<p class="lead">{escape(lead)}</p>')


def facts(pairs: list[tuple[str, str]]) -> None:
    """A strip of values with their names below."""
    cells = "".join(f"<div><b>{escape(value)}</b><span>{escape(name)}</span></div>" for value, name in pairs)
    st.html(f'<div class="facts">{cells}</div>')


def verdict(text: str, kind: str = "") -> None:
    """One line that says where things stand; kind is blank, ``bad`` or ``wait``."""
    st.html(f'<div class="verdict {kind}" role="status">{escape(text)}</div>')


def show_reasons(item: str, reasons: tuple[Reason, ...], how_much: str = "not planned") -> None:
    """One item that is not (fully) planned, with the reasons and the rules that decide."""
    lines = [f"**{plain(item)}** · {how_much}"]
    for reason in reasons:
        source = f" `{reason.rule}`" if reason.rule else ""
        lines.append(f"- {plain(reason.sentence)}{source}")
    st.markdown("\n".join(lines))


#: Keys of the session: what is to be said on the next drawing of a page; what was said last, and when
#: (seconds of the monotonic clock).
_TOLD, _SAID = "told", "said"


def tell(text: str, *, bad: bool = False) -> None:
    """Have something said on the next drawing of a page that asks for it by `told`."""
    st.session_state[_TOLD] = [*st.session_state.get(_TOLD, ()), (text, bad)]


def told(again_for_s: float = 0.0) -> None:
    """Say what the last press had to say; once, or again on each drawing within so many seconds.

    A second press may cut a drawing short: what it had said would be gone before anybody read it.
    """
    now_s, lines = monotonic(), list(st.session_state.pop(_TOLD, ()))
    if again_for_s:
        said_s, before = st.session_state.get(_SAID, (now_s, ()))
        recent = [line for line in before if now_s - said_s < again_for_s and line not in lines]
        if lines:
            st.session_state[_SAID] = (now_s, [*recent, *lines])
        lines = [*recent, *lines]
    for text, bad in lines:
        verdict(text, "bad" if bad else "")


@contextmanager
def refusals_told() -> Iterator[None]:
    """Have it told where what is done in the block is refused."""
    try:
        yield
    except PlannerError as refused:
        tell(str(refused), bad=True)


def look_of(desk: Desk) -> FigureLook:
    """How figures are drawn for this desk."""
    from planner.charts.look import FigureLook

    return FigureLook(contrast=desk.contrast, units=desk.units)


def job_or_stop(desk: Desk, purpose: str) -> Job:
    """The open job; without one the page says what to do and ends there."""
    if desk.job is None:
        told = f"No job is open. Open a sample or your own workbook first; then {purpose}."
        first(told, "job", "Open a job")
        st.stop()
    return desk.job


def first(text: str, page: str = "tomorrow", label: str = "Plan tomorrow") -> None:
    """What must be done first, and the way to the page where it is done."""
    st.info(text)
    link(page, label)


def job_line(job: Job, *more: str, named: bool = True) -> None:
    """Name, day and hours of the job under a page's title, and further lines below."""
    name = f"**{plain(job.site.name)}** · " if named else ""
    lines = [f"{name}{plain(caption_of(job))}", *(plain(m) for m in more if m)]
    st.caption("  \n".join(lines))


def link(page: str, label: str) -> None:
    """A link to another page of the app, where the app's pages are known."""
    known = st.session_state.get("pages", {})
    if page in known:
        st.page_link(known[page], label=label, icon=":material/arrow_forward:")


#: A list that is typed into offers what holds the letters as typed. Found scattered over a name, as lists do
#: by themselves, they choose a place or a person that was not meant.
AS_TYPED: Final = "contains"


def ask(widget: Callable[..., Any], name: str, *, of: object = "", **given: Any) -> Any:
    """Draw a field or button of `CONTROLS`; what the widget gives.

    Parameters
    ----------
    widget
        Of Streamlit: ``st.number_input``, ``st.selectbox``.
    name, of
        Its name, which is its key; with what tells it apart where the page has several.
    given
        What the widget is to know further, or instead of what `CONTROLS` says.
    """
    key = name if of == "" else f"{name}_{of}"
    if widget is st.selectbox:
        given = {"filter_mode": AS_TYPED, **given}
    return widget(**{**CONTROLS[name].model_dump(exclude_unset=True), "key": key, **given})


def button(
    name: str,
    do: Callable[..., object],
    *args: object,
    of: object = "",
    why_not: str | None = None,
    **given: Any,
) -> None:
    """A button of `CONTROLS` that does something with these arguments before the page is drawn again;
    ``why_not``: why it cannot be pressed now, told in place of its help."""
    if why_not is not None:
        given |= {"disabled": True, "help": why_not}
    ask(st.button, name, of=of, on_click=do, args=args, **given)


def choice(
    label: str,
    options: Iterable[Option],
    key: str,
    *,
    default: Option | None = None,
    format_func: Callable[[Any], Any] = str,
    shown: bool = False,
) -> Option:
    """One of a few, remembered while the page is away; its label is written above it where ``shown``."""
    listed = list(options)
    given: dict[str, Any] = {"default": listed[0] if default is None else default, "format_func": format_func}
    given |= {"label_visibility": "visible" if shown else "collapsed", "persist_state": "session"}
    chosen: Option = st.segmented_control(label, listed, key=key, required=True, **given)
    return chosen


#: What a file is, by its ending.
_MIME = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
    "csv": "text/csv",
    "zip": "application/zip",
}


def download(
    name: str, data: bytes | Callable[[], bytes | str], file_name: str, *, of: object = "", **given: Any
) -> None:
    """A button of `CONTROLS` that gives a file away and leaves the page as it is; ``data`` is the file, or
    what makes it when the button is pressed: on a thread that knows no session."""
    mime = _MIME[file_name.rpartition(".")[2]]
    file = {"data": data, "file_name": file_name, "mime": mime, "on_click": "ignore"}
    ask(st.download_button, name, of=of, **file, **given)


def notes(desk: Desk, lost: str = "") -> None:
    """What is to be told above any page: work that could not be found again, the desk's note."""
    if lost:
        st.warning(plain(lost))
    if desk.note:
        with st.container(horizontal=True, vertical_alignment="center"):
            verdict(desk.note, "wait")
            button("note_away", setattr, desk, "note", "")


def say_if_not_kept(desk: Desk, place: DeltaGenerator) -> None:
    """In the side panel: when the work was last kept; or why it is kept only while the server runs."""
    if desk.not_kept:
        place.caption(f":material/warning: {plain(desk.not_kept)}")
    elif desk.kept_words:
        place.caption(f":material/check: All that is typed is {desk.kept_words}.")


def side_panel(desk: Desk) -> DeltaGenerator:
    """Job at hand, undo, units and contrast, below the list of pages.

    Gives the place for what is known only once the page is drawn: whether the work could be written down.
    """
    with st.sidebar:
        if desk.job is not None:
            st.markdown(f"**{plain(desk.job.site.name)}**")
            st.caption(plain(caption_of(desk.job)))
            label = desk.undo_label
            told = f"Takes back: {plain(label)}" if label else "Nothing to take back."
            button("undo", desk.undo, disabled=label is None, help=told)
        # The desk has the last word: another job may have been opened since, in other units.
        st.session_state["units"] = desk.units
        st.session_state["contrast"] = desk.contrast
        said_as = {"format_func": lambda u: "fsw, psi" if u is UnitSystem.FEET else "m, bar"}
        units = {"options": list(UnitSystem), "required": True, **said_as}
        ask(st.segmented_control, "units", on_change=take, args=(desk, "units"), **units)
        ask(st.toggle, "contrast", on_change=take, args=(desk, "contrast"))
        place = st.empty()
    say_if_not_kept(desk, place)
    return place


def take(desk: Desk, name: str) -> None:
    """Keep a widget's value on the desk, so that a reload finds it again."""
    value = st.session_state.get(name)
    if value is not None:
        setattr(desk, name, value)


def draw_again() -> NoReturn:
    """Draw the whole page again because something beside it has moved on, not because the user asked.

    Whatever is drawn just before gives way to a click that came in meanwhile: a rerun asked for on top of it
    would put this page in the place of the one that the click was to open.
    """
    st.empty()
    st.rerun()
