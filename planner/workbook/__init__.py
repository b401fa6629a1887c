"""The job workbook: one description of its sheets, from which it is read, written, made empty, explained."""

from planner.workbook.job_reader import read_job
from planner.workbook.job_writer import write_job, write_template

__all__ = ["read_job", "write_job", "write_template"]
