"""Every figure that is held against a bar, as ratios within one run; nothing here passes or fails.

    python tests/benchmarks/bench.py            all of it, some minutes
    python tests/benchmarks/bench.py start      only what a person waits for at the start: make, program only, help
    python tests/benchmarks/bench.py kernel large proof air minutes

Each subject runs as a process of its own, in turn with the import floor of the same round; a ratio is the median over
rounds. Time is processor time (user and system) of the process, which other work on the computer disturbs least.
Byte code is kept in a folder of the run, as an installed program has it. Floors: `import numpy, shapely, ezdxf, click`
for whole makes and the kernel; without ezdxf where no drawing is made; click alone for `--help`. The program alone runs
as `toolpath.commands.main` runs it: rubbish is not collected.
"""

from __future__ import annotations

import math
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

FLOOR = "import numpy, shapely, ezdxf, click"
NO_DRAWING = "import numpy, shapely, click"
CLICK = "import click"
MAKE = "from toolpath.commands import main; main()"
PROGRAM_ONLY = """
import gc
import sys
gc.disable()
from pathlib import Path
import click
from toolpath.commands.road import make
made = make(Path(sys.argv[1]), sizes={}, material=None, post=None, stop_before_tools=False)
Path(sys.argv[2]).write_text(made.setups[0].text.text)
gc.freeze()
"""
KERNEL = """
import statistics, sys, time
sys.path.insert(0, "tests/benchmarks")
from profiles import PROFILES
from toolpath.geometry.envelope import envelope
from toolpath.plan.reach import cutters
from toolpath.geometry.frame import OUTSIDE
from toolpath.shop.rack import load_rack
from pathlib import Path
tool = load_rack(Path("samples/racks/drawer.toml"))[1]
keep, (cut, _) = PROFILES[sys.argv[1]](int(sys.argv[2])), cutters(tool, OUTSIDE)
times = []
for _ in range(3):
    begin = time.process_time()
    envelope(keep, cut)
    times.append(time.process_time() - begin)
print(statistics.median(times))
"""
BUFFER = """
import math, sys, time
sys.path.insert(0, "tests/benchmarks")
import shapely
from profiles import PROFILES
from toolpath.geometry.elements import points_of
nose, chord = 0.2, 1e-3
line = shapely.LineString(points_of(PROFILES[sys.argv[1]](int(sys.argv[2])), chord))
begin = time.process_time()
line.buffer(nose, quad_segs=math.ceil(math.pi / 4.0 / math.acos(1.0 - chord / nose)))
print(time.process_time() - begin)
"""


class Cost(NamedTuple):
    """Processor seconds, greatest memory in MB, and what was printed."""

    seconds: float
    memory: float
    out: str


class NotMeasured(Exception):
    """A subject that fails has no figure."""


def cost(code: str, *words: str | Path) -> Cost:
    """Of one Python process that runs the code."""
    process = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        cwd=ROOT,
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    out = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise NotMeasured(f"{' '.join(map(str, words))}: exit code {process.returncode}\n{out[-600:]}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0, out)


def ratio(subject: str, floor: str, *words: str | Path, rounds: int = 7) -> tuple[float, Cost, float]:
    """(Median ratio of subject to floor, the last cost, median of the floor in seconds)."""
    cost(subject, *words)  # fills the cache of byte code
    ratios, floors = [], []
    for _ in range(rounds):
        base, last = cost(floor), cost(subject, *words)
        ratios.append(last.seconds / base.seconds)
        floors.append(base.seconds)
    return statistics.median(ratios), last, statistics.median(floors)


def row(what: str, value: float, bar: str, more: str = "") -> None:
    print(f"{what:<52} {value:>9.2f}  {bar:<22} {more}", flush=True)


def start(folder: Path) -> None:
    """What a person waits for before the first chip."""
    for job in sorted((ROOT / "samples").glob("*.toml")):
        value, last, _ = ratio(MAKE, FLOOR, "make", job, "-o", folder / job.stem, "-q")
        row(f"whole make of {job.stem} / floor", value, "<= 2.0, want 1.5", f"{last.memory:.0f} MB")
    job = ROOT / "samples" / "plumb-bob-body.toml"
    row("program only / numpy, shapely, click", ratio(PROGRAM_ONLY, NO_DRAWING, job, folder / "bob.nc")[0],
        "<= 1.6, want 1.4")  # fmt: skip
    row("--help / click", ratio(MAKE, CLICK, "--help", rounds=15)[0], "<= 2.0, want 1.3")


def kernel(folder: Path) -> None:
    """The envelope of one tool over three kinds of profile."""
    floor = statistics.median(cost(FLOOR).seconds for _ in range(3))
    for profile in ("smooth", "rough", "shoulders"):
        costs = {n: cost(KERNEL, profile, str(n)) for n in (10, 100, 1_000, 10_000)}
        took = {n: float(c.out) for n, c in costs.items()}
        growth = ", ".join(f"{took[10 * n] / took[n]:.1f}" for n in (10, 100, 1_000))
        row(f"envelope, 10 000 elements, {profile} / floor", took[10_000] / floor, "<= 1.3, want 0.3",
            f"growth a decade from 10: {growth}; {costs[10_000].memory:.0f} MB")  # fmt: skip
        for n in (10, 100, 1_000):
            row(f"   {n} elements / floor", took[n] / floor, "")
        buffer = float(cost(BUFFER, profile, "10000").out)
        row("   one shapely buffer of it, 1 µm chords / floor", buffer / floor, "for information")


def large(folder: Path) -> None:
    """All of make for generated jobs, and what ten times the elements cost, net of imports."""
    net = {}
    for n in (1_000, 10_000):
        job = folder / f"wave-{n}.toml"
        job.write_text(wave(n))
        floor, whole = cost(FLOOR).seconds, cost(MAKE, "make", job, "-o", folder / job.stem, "-q")
        net[n] = whole.seconds - floor
        row(f"whole make, {n} elements, s", whole.seconds, "<= 10 s, want 3" if n == 10_000 else "",
            f"{whole.seconds / floor:.1f} floors, {whole.memory:.0f} MB")  # fmt: skip
    row("growth 1 000 -> 10 000, net of imports", net[10_000] / net[1_000], "<= 12")


def wave(count: int) -> str:
    """A job of `count` tapers along a wave of four periods, 6 mm in diameter, on a bar of 26 mm."""
    dia = [f"{20.0 + 3.0 * math.sin(8.0 * math.pi * k / count):.6f}" for k in range(count + 1)]
    rows = [
        f"{{ {'dia' if dia[k] == dia[k - 1] else 'taper_to'} = {dia[k]}, to = {90.0 * k / count:.6f} }},"
        for k in range(1, count + 1)
    ]
    where = f"machine = '{ROOT}/samples/machines/bench.toml'\ntools = '{ROOT}/samples/racks/drawer.toml'\n"
    head = f"title = 'Wave'\n{where}material = 'brass'\nbreak_edges = 0\n[bar]\ndia = 26\nlength = 200\n"
    hold = "[[holding]]\nin = 'chuck'\n"
    return f"{head}[part]\noutside = [ {{ dia = 20, to = 0.001 }},\n" + "\n".join(rows[1:]) + f"\n]\n{hold}"


def proving(folder: Path) -> None:
    """What a person waits for who proves a text."""
    for job in sorted((ROOT / "samples").glob("*.toml")):
        cost(MAKE, "make", job, "-o", folder / job.stem, "-q")
        text = folder / job.stem / f"{job.stem}-1.nc"
        value, last, _ = ratio(MAKE, FLOOR, "prove", text, "--job", job, "--setup", "1", "-q", rounds=5)
        row(f"whole prove of {text.stem} / floor", value, "<= 1.5", f"{last.memory:.0f} MB")


def proof(folder: Path) -> None:
    """Moves proven per second."""
    subprocess.run([sys.executable, ROOT / "tests" / "benchmarks" / "bench_proof.py"], check=True, env=ENVIRONMENT)


def air(folder: Path) -> None:
    """Feed time of roughing in air, as the proof sees it, against that of textbook passes over the same work."""
    subprocess.run([sys.executable, ROOT / "tests" / "benchmarks" / "bench_air.py"], check=True, env=ENVIRONMENT)


def minutes(folder: Path) -> None:
    """Machine minutes of the samples against a textbook plan, and against a bound below which no plan can be."""
    subprocess.run([sys.executable, ROOT / "tests" / "benchmarks" / "bench_minutes.py"], check=True, env=ENVIRONMENT)


SECTIONS = {
    "start": start,
    "kernel": kernel,
    "large": large,
    "proving": proving,
    "proof": proof,
    "air": air,
    "minutes": minutes,
}
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        ENVIRONMENT["PYTHONPYCACHEPREFIX"] = str(folder / "cache")
        ENVIRONMENT["PYTHONPATH"] = str(ROOT)
        for floor in (FLOOR, NO_DRAWING, CLICK):
            cost(floor)
        for section in sys.argv[1:] or SECTIONS:
            print(f"-- {section}: {(SECTIONS[section].__doc__ or '').strip()}", flush=True)
            try:
                SECTIONS[section](folder)
            except NotMeasured as failed:
                print(f"not measured: {failed}", flush=True)


if __name__ == "__main__":
    main()
