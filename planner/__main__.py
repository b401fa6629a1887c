"""``python -m planner …``: the command line's door."""

import sys

from planner.cli.ended import end_on_ctrl_c


def main() -> int:
    """Run a command, which Ctrl-C ends from here on without a traceback; the exit status."""
    end_on_ctrl_c()
    from planner.cli.main import main as command

    return command()


if __name__ == "__main__":
    sys.exit(main())
