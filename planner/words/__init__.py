"""What is said the same everywhere: a schedule, a stop, a group, a time, a depth, a length, in words."""

from planner.words.look_up import look_up_text

__all__ = ["look_up_text"]
