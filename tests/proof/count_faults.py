"""Faults seeded into every sample in every dialect: how many do harm, and how many of those `prove` finds.

    python tests/proof/count_faults.py [faults of each kind in a program] [job ...]

Prints every miss as it is found, then a row a kind: seeded, harmful by the oracle, of those found, harmless but
refused all the same (in doubt the program refuses). Takes about a second a fault; the jobs run side by side.
"""

from __future__ import annotations

import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.proof import seeded

COLUMNS = ("seeded", "harmful", "caught", "refused")


def of_job(job: str, each: int) -> seeded.Count:
    """Counts of one sample in all dialects."""
    count = seeded.Count()
    with tempfile.TemporaryDirectory() as at:
        for k, case in enumerate(seeded.cases(seeded.shelf(Path(at)), [job])):
            before = len(count.missed)
            seeded.run(case, count, Path(at), each=each, seed=k)
            print(f"{case.name}: {sum(count.seeded.values())} so far", *count.missed[before:], sep="\n  ", flush=True)
    return count


def main() -> None:
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    jobs = sys.argv[2:] or sorted(p.stem for p in seeded.SAMPLES.glob("*.toml"))
    with ProcessPoolExecutor(2) as pool:
        counts = list(pool.map(of_job, jobs, [each] * len(jobs)))
    kinds = list(dict.fromkeys(kind for c in counts for kind in c.seeded))
    print(f"{'kind':34}" + "".join(f"{name:>9}" for name in COLUMNS))
    for kind in [*kinds, "all"]:
        chosen = kinds if kind == "all" else [kind]
        totals = [sum(getattr(c, name).get(k, 0) for c in counts for k in chosen) for name in COLUMNS]
        print(f"{kind:34}" + "".join(f"{total:9d}" for total in totals))


if __name__ == "__main__":
    main()
