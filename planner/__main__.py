"""``python -m planner …``: the command line's door."""

import gc
import os
import sys

from planner.cli.ended import end_on_ctrl_c


def main() -> int:
    """Run a command, which Ctrl-C ends from here on without a traceback; the exit status."""
    end_on_ctrl_c()
    # nearly all that a command makes is kept until it ends: it is looked through for circles less often
    gc.set_threshold(200_000)
    # pydantic has no plugins here, and would read about every package there is to look for some
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from planner.cli.main import main as command

    return command()


if __name__ == "__main__":
    sys.exit(main())
