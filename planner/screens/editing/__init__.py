"""The sheets of a job, or of a workbook with faults, edited on the screen."""
