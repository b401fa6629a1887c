"""The job workbook in another spreadsheet program: saved there it reads as before; its print is clean."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from pypdf import PdfReader

from planner import CAUTION
from planner.job import UnitSystem
from planner.workbook import read_job, write_job, write_template
from planner.workbook.job_sheets import JOB_SHEETS
from tests.samples import tidal_pier

pytestmark = pytest.mark.paper


def converted(book: Path, kind: str, into: Path) -> Path:
    """A workbook as LibreOffice writes it; skips where that is missing, except in CI."""
    soffice = shutil.which("soffice") or shutil.which("libreoffice")
    if soffice is None:
        if os.environ.get("CI"):
            pytest.fail("LibreOffice (soffice) is missing, and CI must open the job workbook")
        pytest.skip("LibreOffice (soffice) is not installed here")
    profile = f"-env:UserInstallation={(into / 'profile').as_uri()}"
    command = [soffice, profile, "--headless", "--convert-to", kind, "--outdir", str(into), str(book)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return into / f"{book.stem}.{kind}"


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
    pages = [
        page.extract_text() for page in PdfReader(converted(tmp_path / "empty.xlsx", "pdf", tmp_path)).pages
    ]
    flat = [" ".join(page.split()) for page in pages]
    assert all(CAUTION in page for page in flat)
    # one page a sheet and the first that explains them; the list of limits, some seventy lines, takes four
    on = {sheet.name: sum(f"· {sheet.name} ·" in page for page in flat) for sheet in JOB_SHEETS}
    assert {name for name, count in on.items() if count != 1} == {"Rules"}
    assert on["Rules"] <= 4
    assert len(pages) == sum(on.values()) + 1
