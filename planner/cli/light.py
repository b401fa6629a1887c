"""A command loaded without what it will not use."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType


class _Empty(ModuleType):
    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)
        return type(name, (), {})


@contextmanager
def without_pandas() -> Iterator[None]:
    """Load what the block loads as if pandas were empty; pandas itself can be loaded after it.

    OR-Tools names classes of pandas, for models written as tables of variables, which none of ours is;
    loading pandas for their sake takes longer than reading a job and checking a plan. Every name in the
    stand-in is a class of which nothing is an instance. For a process with one thread: another one might
    load pandas meanwhile.
    """
    if "pandas" in sys.modules:
        yield
        return
    sys.modules["pandas"] = _Empty("pandas")
    try:
        yield
    finally:
        del sys.modules["pandas"]
