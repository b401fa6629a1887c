"""The job workbook: one description of its sheets, from which it is read, written, made empty, explained."""

from planner.workbook.job_in import read_job
from planner.workbook.job_out import write_job
from planner.workbook.template import write_template

__all__ = ["read_job", "write_job", "write_template"]
