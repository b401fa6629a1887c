"""The job workbook: one description of its sheets, from which it is read, written, made empty, explained.

Names are imported from the files they stand in: a process that only opens a file does not load what a job is.
"""
