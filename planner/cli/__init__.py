"""The command line: ``python -m planner …``; a module a command."""
