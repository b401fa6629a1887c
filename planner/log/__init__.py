"""The day as it happens: what was logged, what the tables then say, the rest of the day, and tomorrow.

Nothing here stores anything: the store keeps the entries (`planner.store`).
"""
