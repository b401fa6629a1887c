"""What is said the same everywhere: a schedule, a stop, a group, a time, a depth, a length, in words."""
