"""Hours for the office: timesheets by person and duty, overtime, premiums, rest, calls, dive records.

Names are imported from the files they stand in: counting hours loads no calendar.
"""
