"""Random good jobs by the thousand: none may be stopped.

    python tests/proof/count_alarms.py [jobs made] [first number]

Goes on until that many jobs (1000 unless said) were made and proven; those that are refused with a reason do not
count. Prints in how many of them each kind of row, tool and operation came, and every finding that stops one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import count
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.proof.alarms import Told, run, summary

BATCH = 30


def batch(first: int) -> Told:
    told = Told()
    for number in range(first, first + BATCH):
        run(number, told)
    return told


def batches(first: int, wanted: int, pool: ProcessPoolExecutor) -> Iterator[Told]:
    """Batches in order, two at a time, until enough jobs were made."""
    made = 0
    for k in count(first, 2 * BATCH):
        for told in pool.map(batch, (k, k + BATCH)):
            made += told.made
            print(f"{made} made", *told.stops, sep="\n  ", flush=True)
            yield told
        if made >= wanted:
            return


def main() -> None:
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    whole = Told()
    with ProcessPoolExecutor(2) as pool:
        for told in batches(first, wanted, pool):
            whole.made, whole.refused = whole.made + told.made, whole.refused + told.refused
            whole.seen, whole.looks = whole.seen + told.seen, whole.looks + told.looks
            whole.stops += told.stops
    print(*summary(whole), sep="\n")


if __name__ == "__main__":
    main()
