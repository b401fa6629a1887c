"""The same sweep on a Dask cluster: a scheduler and a worker that the test starts on this machine."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

distributed = pytest.importorskip("distributed", reason="the extra dask is not installed")

from planner.check import check  # noqa: E402
from planner.whatif.cases import cases_of, parse_variations  # noqa: E402
from planner.whatif.sweep import sweep  # noqa: E402
from planner.whatif.whole import whole_cases  # noqa: E402
from tests.whatif.short_day import SHORT  # noqa: E402
from tests.world.changed import with_site  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]

#: Dask warns about the machine it runs on, not about what is done with it.
pytestmark = pytest.mark.filterwarnings("ignore::Warning")


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """The address of a scheduler with one worker, both on the loopback address."""
    begin = [sys.executable, "-m", "distributed.cli.dask_scheduler"]
    with subprocess.Popen(
        [*begin, "--host", "127.0.0.1", "--port", "0", "--no-dashboard"],
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as scheduling:
        assert scheduling.stderr is not None
        address = ""
        for line in scheduling.stderr:
            found = re.search(r"Scheduler at:\s+(tcp://127\.0\.0\.1:\d+)", line)
            if found:
                address = found[1]
                break
        assert address, "the scheduler did not say where it is"
        worker = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "distributed.cli.dask_worker",
                address,
                "--host",
                "127.0.0.1",
                "--nworkers",
                "1",
                "--nthreads",
                "1",
                "--no-dashboard",
                "--no-nanny",
            ],
            stderr=subprocess.DEVNULL,
            cwd=ROOT,
        )
        try:
            yield address
        finally:
            worker.terminate()
            worker.wait(20)
            scheduling.terminate()


def test_a_cluster_takes_a_week_of_jobs(scheduler: str) -> None:
    """Two cases over two days, planned and drawn by the worker: each part holds, and the chance is told."""
    next_day = with_site(SHORT, first_day=SHORT.site.first_day + timedelta(days=1), name="The next day")
    lanes = whole_cases([SHORT, next_day], parse_variations(SHORT, ["tenders=6..7"], [next_day]))
    with distributed.Client(scheduler, timeout="30s") as client:
        client.wait_for_workers(1, timeout=60)
        result = sweep(*lanes, seconds=0.05, processes=2, backend="dask", draws=10)
    assert len(result.results) == 2 and not result.stopped
    for one in result.results:
        assert one.sure is not None and one.sure.draws == 10
        for part in one.parts:
            assert part.plan is not None and check(part.case.job, part.plan) == ()


def test_a_cluster_takes_the_same_call(scheduler: str) -> None:
    """Two cases planned by a worker in another process come back as plans that hold."""
    cases = cases_of(SHORT, parse_variations(SHORT, ["tenders=6..7"]))
    with distributed.Client(scheduler, timeout="30s") as client:
        client.wait_for_workers(1, timeout=60)
        result = sweep(cases, seconds=0.05, processes=2, backend="dask")
    assert len(result.results) == 2 and not result.stopped
    for one in result.results:
        assert one.plan is not None
        assert check(one.case.job, one.plan) == ()
