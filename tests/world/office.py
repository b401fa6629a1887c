"""Sheets as another program opens them: turned into PDF or another workbook by LibreOffice."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from pypdf import PdfReader

WAIT_S = 180


@cache
def _profile() -> Path:
    """Where the program keeps its settings: made at its first start, which takes seconds, and kept after."""
    folder = Path(mkdtemp(prefix="office-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def converted(book: Path, kind: str, into: Path) -> Path:
    """A workbook as LibreOffice writes it, in a folder; ``kind`` as for its ``--convert-to``. Skips where the
    program is missing, except in CI, where it must be there."""
    soffice = shutil.which("soffice") or shutil.which("libreoffice")
    if soffice is None:
        if os.environ.get("CI"):
            pytest.fail("LibreOffice (soffice) is missing, and CI must print the sheets")
        pytest.skip("LibreOffice (soffice) is not installed here")
    profile = f"-env:UserInstallation={_profile().as_uri()}"
    command = [soffice, profile, "--headless", "--convert-to", kind, "--outdir", str(into), str(book)]
    subprocess.run(command, check=True, capture_output=True, timeout=WAIT_S)
    return into / f"{book.stem}.{kind.partition(':')[0]}"


def printed(book: Path) -> PdfReader:
    """A workbook on paper, as a PDF that stands beside it."""
    return PdfReader(converted(book, "pdf", book.parent))
