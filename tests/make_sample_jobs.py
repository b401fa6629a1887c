"""Writes the sample jobs: ``python -m tests.make_sample_jobs [FOLDER]`` (without one: ``sample_jobs``).

The same content gives the same bytes, so remaking them changes nothing unless a job was changed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from planner.job import Job
from planner.workbook.job_writer import write_job
from tests.samples import small_heavy_dress, three_day_outfall, tidal_pier, too_much_work

SAMPLES: dict[str, Callable[[], Job]] = {
    "small_heavy_dress": small_heavy_dress.job,
    "three_day_outfall": three_day_outfall.job,
    "tidal_pier": tidal_pier.job,
    "too_much_work": too_much_work.job,
}


def main(folder: Path) -> list[Path]:
    """Write every sample into a folder; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, make in SAMPLES.items():
        path = folder / f"{name}.xlsx"
        write_job(make(), path)
        written.append(path)
    return written


if __name__ == "__main__":
    for made in main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("sample_jobs")):
        print(made)
