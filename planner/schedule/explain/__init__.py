"""Why work is left over, and which pins contradict one another."""
