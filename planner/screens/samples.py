"""The sample jobs that come with the program."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

#: Samples stand beside `app.py`, outside the package.
SAMPLES_DIR = Path(__file__).resolve().parents[2] / "sample_jobs"


@dataclass(frozen=True)
class Sample:
    """A job workbook that comes with the program."""

    path: Path

    @property
    def title(self) -> str:
        """The file's name as words."""
        return self.path.stem.replace("_", " ").replace("-", " ").capitalize()


def samples(folder: Path = SAMPLES_DIR) -> tuple[Sample, ...]:
    """The sample workbooks, by name; none where the folder is not there."""
    return tuple(Sample(p) for p in sorted(folder.glob("*.xlsx")) if not p.name.startswith(("~", ".")))
