"""How often facts are said to go with attributes, by luck and in truth: the table of its methods page.

python benchmarks/calibration/associations.py [archives per cell]
"""

import os
import sys
from itertools import product

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from wetleaf.numerics.associations import Archive, what_goes_with_what

SEED = 20261125
TRUE = (("elevation", "floral"), ("roast", "malty"), ("cultivar", "fruity"))
ARCHIVES = (
    (8,) * 10,
    (4,) * 8,
    (4,) * 10,
    (20, *(2,) * 9),
    (10, 8, 6, 4, 3, 2, 2, 1, 1, 1),
)  # lots of each maker
SEASONS = 2
MAKER, NOISE = 1.0, 0.5


def archive(lots: tuple[int, ...], effect: float, rng: np.random.Generator) -> Archive:
    """Return lots of makers that differ; three of twelve pairs go together by `effect`."""
    makers, maker = len(lots), np.repeat(np.arange(len(lots)), lots)
    season = rng.integers(0, SEASONS, maker.size)
    metres, roast = rng.uniform(0, 2000, makers)[maker], rng.normal(size=maker.size)
    cultivar = rng.integers(0, 4, maker.size)
    means = {
        name: rng.normal(0, MAKER, makers)[maker] + rng.normal(size=SEASONS)[season]
        for name in ("floral", "malty", "fruity", "woody")
    }
    means["floral"] += effect * (metres - 1000) / 577
    means["malty"] += effect * roast
    means["fruity"] += effect * np.array([-1.0, 0.0, 0.5, 1.0])[cultivar]
    return Archive(
        attributes={name: mean + rng.normal(0, NOISE, maker.size) for name, mean in means.items()},
        measured={"elevation": metres, "roast": roast},
        named={"cultivar": np.array(list("wxyz"))[cultivar].tolist()},
        makers=maker.astype(str).tolist(),
        seasons=season.astype(str).tolist(),
    )


def row(lots: tuple[int, ...], effect: float, archives: int, rng: np.random.Generator) -> str:
    """Return one line of the table."""
    small, false, found = [], [], []
    for _ in range(archives):
        ties = what_goes_with_what(archive(lots, effect, rng), rng=rng)
        none = [tie for tie in ties if (tie.fact, tie.attribute) not in TRUE]
        small += [tie.p <= 0.05 for tie in none]
        false.append(any(tie.answer == "yes" for tie in none))
        found.append(
            [tie.answer == "yes" for pair in TRUE for tie in ties if (tie.fact, tie.attribute) == pair]
        )
    hits = " | ".join(f"{share:.2f}" for share in np.mean(found, axis=0))
    each = " ".join(str(count) for count in lots)
    return f"{each} | {effect:g} | {np.mean(small):.3f} | {np.mean(false):.3f} | {hits}"


def main() -> None:
    """Print the table as Markdown."""
    archives = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    rng = np.random.default_rng(SEED)
    print(f"{archives} archives a cell, makers {MAKER}, noise {NOISE}, seed {SEED}\n")
    print("| lots of each maker | effect | p of 0.05 or less by luck | any false yes | ", end="")
    print(" | ".join(f"{fact} found" for fact, _ in TRUE), "|\n|---|---|---|---|---|---|---|")
    for lots, effect in product(ARCHIVES, (0.0, 0.5, 1.0)):
        print(f"| {row(lots, effect, archives, rng)} |", flush=True)


if __name__ == "__main__":
    main()
