"""Ctrl-C where there is nothing to keep: one sentence, and the status of a program that was ended.

Loaded before everything else, so it loads next to nothing itself.
"""

from __future__ import annotations

import os
import signal
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn

#: Exit status of a command that was ended before it had anything (128 and the number of the signal).
ENDED = 128 + signal.SIGINT

_SENTENCE = b"Ended; nothing more was written.\n"


def end_on_ctrl_c() -> None:
    """From now on Ctrl-C ends the process, whatever it is at: also in the middle of loading a library, which
    would make something else of an exception there. `planner.cli.stopping` takes over for a search. Where the
    shell has it ignored, for what runs behind another program, it stays ignored."""
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, _end)


def leave(status: int) -> NoReturn:
    """End the process now, whatever still searches in a thread of it: the solver's cannot be waited for."""
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status)


def end_at_once() -> NoReturn:
    """Say that nothing more was written, and leave with the status of a program that was ended."""
    # not print: the signal may come in the middle of one
    os.write(2, _SENTENCE)
    leave(ENDED)


def _end(*_: object) -> None:
    # what was printed goes out first, unless nobody reads it: then a second Ctrl-C need not wait for that
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    try:
        end_at_once()
    finally:
        # a stream that is closed, or that was being written to
        os._exit(ENDED)
