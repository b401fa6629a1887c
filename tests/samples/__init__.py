"""The sample jobs as data. All places, people and numbers are invented."""
