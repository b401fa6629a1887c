"""Facts held for random cases: a few of them in a plain run, many in the run of long tests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis.strategies import SearchStrategy

Fact = Callable[..., None]


def held_for(*drawn: SearchStrategy[Any], quick: int, long: int) -> Callable[[Fact], Fact]:
    """The fact is held for so many draws; under the mark ``long`` for so many more."""

    def twice(fact: Fact) -> Fact:
        @pytest.mark.parametrize("cases", [quick, pytest.param(long, marks=pytest.mark.long)])
        def held(cases: int) -> None:
            drawing = settings(max_examples=cases, deadline=None, suppress_health_check=list(HealthCheck))
            drawing(given(*drawn)(fact))()

        held.__name__, held.__qualname__, held.__doc__ = fact.__name__, fact.__qualname__, fact.__doc__
        held.__module__ = fact.__module__
        return held

    return twice
