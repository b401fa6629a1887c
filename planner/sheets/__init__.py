"""Sheets out: watchbill, dive sheets, dressing cards, hours, comparisons, and the command's one page."""
