"""What was typed last is taken up before a press, or the browser's Back, goes on.

A table sends a cell 150 ms after it was left, and what is pasted as late. A link of the menu that is tapped
straight out of a cell would be there first: the cell would come for a page that is gone, and be lost without
a word. Back is the same press; and with Back pressed while a page is being drawn, the web library would write
the address of that page over the browser's way forward.

A bare address is given its desk as soon as the page is drawn, as an entry of its own in the browser's list;
Back to the bare one would be given it again, and never lead away. It is stepped over.
"""

from __future__ import annotations

from planner.screens import chrome
from planner.screens.session import ADDRESS_KEY


def take_up_first() -> None:
    """Have a press out of a field, Back and Forward wait for what was typed there; draws nothing."""
    chrome.component("last_typed")(key="last_typed", height=0, data={"desk": ADDRESS_KEY})
