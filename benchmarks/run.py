"""Measure speed and memory as ratios in one run: `make bench`, or python benchmarks/run.py [name ...].

Names: profiles, designs; without a name all of them. benchmarks/README.md keeps the numbers of the last run.
"""

import os
import sys

os.environ.setdefault(
    "OPENBLAS_NUM_THREADS", "1"
)  # before numpy: many small matrices gain nothing from threads

from designs import measure_designs
from profiles import measure_profiles

BENCHMARKS = {"profiles": measure_profiles, "designs": measure_designs}


def main() -> None:
    """Run the benchmarks that are named, or all."""
    for name in sys.argv[1:] or BENCHMARKS:
        BENCHMARKS[name]()


if __name__ == "__main__":
    main()
