"""``python -m planner …``: the command line's door."""

import sys

from planner.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
