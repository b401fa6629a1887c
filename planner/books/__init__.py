"""Spreadsheets: the job workbook in, the watchbill and its sheets out."""

from planner.books.job_in import read_job
from planner.books.job_out import write_job
from planner.books.summary import summary_text
from planner.books.template import write_template
from planner.books.watchbill import watchbill_name, write_watchbill

__all__ = ["read_job", "summary_text", "watchbill_name", "write_job", "write_template", "write_watchbill"]
