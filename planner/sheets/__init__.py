"""Sheets out: watchbill, dive sheets, dressing cards, hours, comparisons, and the command's one page."""

from planner.sheets.summary import summary_text
from planner.sheets.watchbill import watchbill_name, write_watchbill

__all__ = ["summary_text", "watchbill_name", "write_watchbill"]
