"""Spreadsheets: the job workbook in, the watchbill and its sheets out."""

from planner.books.job_in import read_job
from planner.books.job_out import write_job
from planner.books.template import write_template

__all__ = ["read_job", "write_job", "write_template"]
