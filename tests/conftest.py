"""What all tests share: a store of their own, and what takes long and stays the same looked up once."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from planner.whatif import sure


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """A run that leaves out the tests that drive a browser imports neither them nor Playwright."""
    left_out = "not browser" in config.getoption("markexpr")
    return True if left_out and collection_path == Path(__file__).parent / "browser" else None


def pytest_collection_finish() -> None:
    """What has been imported and collected stays to the end: the search for what may go need not walk it."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def store_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The variable that names the store points into a folder of this test run."""
    before = os.environ.get("PLANNER_DB")
    os.environ["PLANNER_DB"] = str(tmp_path_factory.mktemp("store") / "store.sqlite")
    yield
    if before is None:
        del os.environ["PLANNER_DB"]
    else:
        os.environ["PLANNER_DB"] = before


@pytest.fixture(scope="session", autouse=True)
def installed_packages_looked_through_once() -> Iterator[None]:
    """For each page that it opens, Streamlit's test runner reads the metadata of every installed package for
    components of its own: most of the time of a page's test, for an answer that stays the same."""
    with pytest.MonkeyPatch.context() as patch:
        if "streamlit.testing.v1" in sys.modules:
            from streamlit.components.v2 import manifest_scanner as scanner

            patch.setattr(scanner, "scan_component_manifests", cache(scanner.scan_component_manifests))
        yield


@pytest.fixture(scope="session", autouse=True)
def few_days_drawn_for_the_one_line() -> Iterator[None]:
    """The line on brief and screens that tells a plan's chance is drawn from a tenth of the days: most of the
    time of a watchbill, and no test asks how sure that line is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sure, "TOLD_DRAWS", sure.TOLD_DRAWS // 10)
        yield
