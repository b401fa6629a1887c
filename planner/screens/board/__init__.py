"""The day as a board on a page: drawn, moved by hand, judged by the check, and kept."""
