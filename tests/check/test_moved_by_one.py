"""What the check finds of a sound day with one figure moved by one is what was read when it last changed."""

from __future__ import annotations

import pytest

from tests.check.moved_by_one import SECTIONS, kept, section


@pytest.mark.parametrize("name", SECTIONS)
def test_what_is_found_of_a_figure_moved_by_one(name: str) -> None:
    """Line by line as `moved_by_one.txt` keeps it: which rules on which side of a limit, in which words."""
    assert section(name) == kept(name)
