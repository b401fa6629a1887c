"""The job made ready for the search, before any plan: slots, modes, windows, posts, and who may do what."""
