"""The job workbook in another spreadsheet program: saved there it reads as before; its print is clean."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner import CAUTION
from planner.job import UnitSystem
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import JOB_SHEETS
from planner.workbook.job_writer import write_job, write_template
from tests.samples import tidal_pier
from tests.world.office import converted, printed

pytestmark = pytest.mark.paper


@pytest.mark.parametrize("units", list(UnitSystem), ids=["feet", "metric"])
def test_a_workbook_saved_by_another_program_reads_as_before(units: UnitSystem, tmp_path: Path) -> None:
    """LibreOffice writes its own cells, styles and checks; every value survives."""
    job = tidal_pier.job()
    job = job.replace(site=job.site.replace(units=units))
    write_job(job, tmp_path / "job.xlsx")
    saved = tmp_path / "saved"
    saved.mkdir()
    assert read_job(converted(tmp_path / "job.xlsx", "xlsx", saved)) == read_job(tmp_path / "job.xlsx")


def test_the_empty_workbook_prints_cleanly(tmp_path: Path) -> None:
    """Every sheet is in the print, one page wide (so few pages), each page with the caution."""
    write_template(tmp_path / "empty.xlsx")
    pages = [page.extract_text() for page in printed(tmp_path / "empty.xlsx").pages]
    flat = [" ".join(page.split()) for page in pages]
    assert all(CAUTION in page for page in flat)
    # one page a sheet and the first that explains them; the list of limits, some seventy lines, takes four
    on = {sheet.name: sum(f"· {sheet.name} ·" in page for page in flat) for sheet in JOB_SHEETS}
    assert {name for name, count in on.items() if count != 1} == {"Rules"}
    assert on["Rules"] <= 4
    assert len(pages) == sum(on.values()) + 1
