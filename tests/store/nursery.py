"""Starts processes that log as fast as they can, and kills each at a random moment. Run by the kill test.

    python nursery.py PLACE KILLS SEED

Each process writes the number of an entry into a pipe only after the store has returned, which is when a
user would see it. Prints, as JSON, every entry acknowledged: its text and its number.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sys
import time
from datetime import date

from planner.store import NewRow, Store

NAME, DAY = "Test Quay", date(2026, 5, 12)


def _log_for_ever(place: str, number: int, out: int) -> None:
    store = Store(place)
    count = 0
    while True:
        text = f"{number}/{count}"
        row = store.append(NAME, DAY, NewRow("note", text, "Ana Reyes"))
        os.write(out, f"{text} {row.number}\n".encode())
        count += 1


def _read_all(pipe: int) -> str:
    parts = []
    while True:
        part = os.read(pipe, 65536)
        if not part:
            return b"".join(parts).decode()
        parts.append(part)


def main(place: str, kills: int, seed: int) -> None:
    """Do it."""
    chance = random.Random(seed)
    acknowledged: dict[str, int] = {}
    for number in range(kills):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                _log_for_ever(place, number, writing)
            finally:
                os._exit(1)
        os.close(writing)
        # half are killed while they open the store, half in the midst of writing
        if number % 2:
            select.select([reading], [], [], 10.0)
        time.sleep(chance.uniform(0.0, 0.06))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for line in _read_all(reading).splitlines():
            # a line cut off by the kill was not shown whole to anybody
            text, _, row = line.partition(" ")
            if row:
                acknowledged[text] = int(row)
        os.close(reading)
    print(json.dumps(acknowledged))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
