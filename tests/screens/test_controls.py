"""Fields and buttons: what each says and takes stands once, in ``controls.toml``."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pydantic import ValidationError

from planner.screens import chrome
from planner.screens.chrome import CONTROLS, Control
from planner.screens.drawn_days import SPREAD
from planner.screens.log_entries import _NAMED, AGO_KEY, KINDS
from planner.screens.saved import SIGN_KEY

SCREENS = Path(chrome.__file__).parent


def test_every_control_is_drawn_somewhere_and_every_one_drawn_is_known() -> None:
    """No entry is left over from a field that went; a name without an entry would fail on its page."""
    asked = re.compile(r'(?:\bask\(\s*st\.\w+,|\b(?:button|download|_pick|_one)\()\s*"(\w+)"')
    drawn = {name for path in SCREENS.rglob("*.py") for name in asked.findall(path.read_text("utf-8"))}
    by_turns = {"vary_1", "vary_2", "move_leave", "move_start", "move_diver", "move_standby", "move_entry"}
    by_turns |= {"move_from", "move_until", "new_crew", "new_dives"}
    by_turns |= {"ask_altitude", "ask_margin", "ask_longer", "ask_pneumo", "ask_fixed_gauge"}
    entries = {f"more_{_NAMED.get(part, part)}" for parts in KINDS.values() for part in parts}
    assert drawn | by_turns | entries | {AGO_KEY, SIGN_KEY, *SPREAD.values()} == set(CONTROLS)


def test_a_slip_of_the_pen_is_refused_when_the_app_starts() -> None:
    """A parameter that is none of a control's, or of another kind."""
    for wrong in ({"lable": "Save"}, {"max_chars": "many"}):
        with pytest.raises(ValidationError):
            Control.model_validate(wrong)


def test_whole_numbers_stay_whole() -> None:
    """A number field takes whole numbers or decimals by the kind of its limits; one of each, as written."""
    assert isinstance(CONTROLS["seconds"].max_value, int)
    assert isinstance(CONTROLS["more_psi"].max_value, float)
    assert CONTROLS["move_keep"].help.endswith(
        "again round them. They are listed above and can be taken out there."
    )
