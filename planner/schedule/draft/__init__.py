"""A schedule on its way to a plan: its dives and tasks, its values, its pins, and the plan made of it."""
