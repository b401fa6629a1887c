"""`python -m tests.attack --jobs 200 --moves 1500 --seed 0`: a line a job, counts at the end.

Ends with 1 where anything was found.
"""

from __future__ import annotations

import argparse
from collections import Counter

from tests.attack.jobs import SWITCHES
from tests.attack.run import attack


def main() -> int:
    words = argparse.ArgumentParser(prog="python -m tests.attack", description=__doc__)
    words.add_argument("--jobs", type=int, default=200, help="how many jobs")
    words.add_argument("--moves", type=int, default=1500, help="verdict-checked moves for each")
    words.add_argument("--seed", type=int, default=0, help="the first job's seed")
    words.add_argument("--seconds", type=float, default=3.0, help="budget of a search, deterministic")
    words.add_argument("--easier", type=int, default=9, help="easier jobs planned for each, at most")
    given = words.parse_args()
    found, kinds, switches = 0, Counter[str](), Counter[str]()
    totals: Counter[str] = Counter()
    for seed in range(given.seed, given.seed + given.jobs):
        one = attack(seed, moves=given.moves, seconds=given.seconds, easier=given.easier)
        print(one.line, flush=True)
        found += bool(one.findings)
        kinds += one.kinds
        switches.update(one.switches)
        totals.update(
            {"moves": one.moves, "accepted": one.accepted, "easier": one.easier, "proven": one.proven}
        )
        totals[one.status.partition(".")[0]] += 1
    print(f"\n{given.jobs} jobs, {found} with a finding")
    print(", ".join(f"{name}: {count}" for name, count in totals.items()))
    print("accepted moves: " + ", ".join(f"{name} {count}" for name, count in kinds.most_common()))
    print("switches: " + ", ".join(f"{s.__name__} {switches[s.__name__]}" for s in SWITCHES))
    return int(found > 0)


if __name__ == "__main__":
    raise SystemExit(main())
