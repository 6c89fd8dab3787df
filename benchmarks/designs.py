"""How long a flight takes to lay out, from one taster and six lots to sixty lots, and how even it is."""

import subprocess
import sys
import time
from collections.abc import Callable
from typing import TypeVar

import numpy as np

from wetleaf.numerics.designs.asked import Asked
from wetleaf.numerics.designs.lay_out import lay_out
from wetleaf.numerics.designs.records import Design
from wetleaf.numerics.designs.trials import AskedTrials, lay_out_trials

Laid = TypeVar("Laid")
RUNS = 5
FLIGHTS = ((6, 1, 2), (6, 2, 1), (8, 3, 2), (7, 4, 2), (12, 4, 1), (12, 4, 2), (20, 1, 1), (60, 12, 2))
MOST_SECONDS = 2.0
"""Asked of sixty samples, twelve tasters, two replicates."""


def measure_designs() -> None:
    """Print seconds, balance and efficiency of flights, both ways of serving, and of difference tests."""
    print("Flights: samples x tasters x replicates; measure (bound); efficiency (bound)")
    for samples, tasters, replicates in FLIGHTS:
        asked = _asked(samples, tasters, replicates)
        seconds, design = _best(lambda asked=asked: lay_out(asked, np.random.default_rng(1)))  # type: ignore[misc]
        told = f"{seconds[0] * 1000:.0f} ms ({seconds[1] * 1000:.0f} ms of processor)"
        print(f"  {samples} x {tasters} x {replicates}: {told}; {_told(design)}")
        if (samples, tasters, replicates) == FLIGHTS[-1]:
            print(f"    asked: under {MOST_SECONDS:g} s: {'yes' if seconds[0] < MOST_SECONDS else 'NO'}")
    trials = AskedTrials("triangle", ["A", "B"], [f"P{one}" for one in range(4)], 12)
    seconds, _ = _best(lambda: lay_out_trials(trials, np.random.default_rng(1)))
    print(f"  triangle, 4 tasters x 12 trials: {seconds[0] * 1000:.0f} ms")
    print(f"  the command, 60 x 12 x 2 as JSON, fresh process: {_command_seconds():.2f} s\n")


def _asked(samples: int, tasters: int, replicates: int) -> Asked:
    teas, people = [f"T{one}" for one in range(samples)], [f"P{one}" for one in range(tasters)]
    return Asked(teas, people, replicates)


def _best(run: Callable[[], Laid]) -> tuple[tuple[float, float], Laid]:
    """Return the shortest of several runs by the clock and by the processor, the first left out."""
    found = run()
    clock, processor = [], []
    for _ in range(RUNS):
        start, worked = time.perf_counter(), time.process_time()
        run()
        clock.append(time.perf_counter() - start)
        processor.append(time.process_time() - worked)
    return (min(clock), min(processor)), found


def _told(design: Design) -> str:
    row, private, kept = design.balance, design.beside, design.efficiency
    assert private is not None
    return (
        f"row {row.unevenness:.3f} ({row.bound:.3f}), "
        f"private {private.unevenness:.3f} ({private.bound:.3f}), "
        f"efficiency {kept.a_efficiency:.3f} ({kept.bound:.3f})"
    )


def _command_seconds() -> float:
    command = [
        sys.executable,
        "-m",
        "wetleaf",
        "design",
        "60",
        "--tasters",
        "12",
        "--replicates",
        "2",
        "--json",
    ]
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start
