"""Lets the page tests use the made-up day of the chart tests."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "charts"))
