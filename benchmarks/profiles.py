"""The profile's speed: against R's lmer + anova and statsmodels, from CSV to JSON, at ten times the data.

sim40.csv (12 lots x 10 tasters x 3 replicates x 40 attributes) is simulated, free of licence. Our time holds
everything: fits, tests, means, all pairs, each with a baseline, decisions; the others' only what is named.
Processor time throughout, ours, R's and statsmodels', so that what else the machine does is in none of them.
"""

import csv
import os
import platform
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np

from wetleaf.numerics.profiles import Scores, fit_profiles
from wetleaf.numerics.profiles.estimation import fit_table
from wetleaf.numerics.profiles.layout import lay_out
from wetleaf.numerics.profiles.table import Table

HERE = Path(__file__).parent
SEED = 20261124
CROSSED_ATTRIBUTES = 8


def measure_profiles() -> None:
    """Print every measurement of the profiles."""
    print(f"Machine: {_machine()}, load {os.getloadavg()[0]:.1f}\n")
    _from_csv_to_json()  # first: a child is charged with what this process held when it was started
    balanced = _sim40()
    kept = np.random.default_rng(SEED).random(balanced.n_rows) < 0.8
    for name, table in (("20 % of rows missing", _rows(balanced, kept)), ("complete", balanced)):
        ours = _best(lambda table=table: fit_profiles(table, baseline="P01"), 7)  # type: ignore[misc]
        fits = _best(lambda table=table: fit_table(Table(lay_out(table))), 7)  # type: ignore[misc]
        theirs = {"R lmer + anova": _r_seconds(table)}
        if name != "complete":
            theirs["statsmodels loop, tasters as groups, fit and Wald test of lots"] = _statsmodels_seconds(
                table, crossed=False
            )
            label = f"statsmodels loop, crossed, the same ({CROSSED_ATTRIBUTES} attributes, taken as 40)"
            theirs[label] = _statsmodels_seconds(table, crossed=True)
        print(f"sim40, {name}: ours, everything {ours:.3f} s; our fits alone {fits:.3f} s")
        for label, seconds in theirs.items():
            said = "SKIPPED"
            if seconds:
                said = (
                    f"{seconds:.2f} s, {seconds / ours:.0f} times everything, {seconds / fits:.0f} times fits"
                )
            print(f"  {label}: {said}")
    _grow(balanced)


def _best(run: Callable[[], object], times: int) -> float:
    """Return the shortest of several runs, the first (imports, tables) left out."""
    run()
    found = []
    for _ in range(times):
        start = time.process_time()
        run()
        found.append(time.process_time() - start)
    return min(found)


def _sim40() -> Scores:
    with (HERE / "sim40.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    names = [name for name in rows[0] if name.startswith("Y")]
    values = np.array([[float(row[name]) for name in names] for row in rows])
    return Scores([row["Product"] for row in rows], [row["Assessor"] for row in rows], values, names)


def _rows(scores: Scores, kept: np.ndarray) -> Scores:
    lots, tasters = np.array(scores.lots)[kept].tolist(), np.array(scores.tasters)[kept].tolist()
    return Scores(lots, tasters, scores.values[kept], scores.attributes)


def _write(scores: Scores, path: Path) -> None:
    with path.open("w", newline="") as file:
        out = csv.writer(file)
        out.writerow(["Product", "Assessor", *scores.attributes])
        for lot, taster, values in zip(scores.lots, scores.tasters, scores.values, strict=True):
            out.writerow([lot, taster, *values.tolist()])


def _r_seconds(scores: Scores) -> float | None:
    if shutil.which("Rscript") is None:
        print("NO R FOUND: the comparison with lmer is skipped. apt-get install r-base-core r-cran-lmertest")
        return None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.csv"
        _write(scores, path)
        done = subprocess.run(
            ["Rscript", str(HERE / "reference.R"), str(path)], capture_output=True, text=True, check=False
        )
    if done.returncode:
        print(f"R FAILED: {done.stderr.strip()[:200]}")
        return None
    return float(done.stdout.split()[-1])


def _statsmodels_seconds(scores: Scores, *, crossed: bool) -> float | None:
    try:
        import pandas
        from statsmodels.regression.mixed_linear_model import MixedLM
    except ImportError:
        print("NO STATSMODELS FOUND: the comparison with its loop is skipped.")
        return None
    table = pandas.DataFrame({"lot": scores.lots, "taster": scores.tasters, "all": 1})
    if crossed:
        parts = {"taster": "0 + C(taster)", "cell": "0 + C(taster):C(lot)"}
        how = {"groups": "all", "re_formula": "0", "vc_formula": parts}
    else:
        how = {"groups": "taster", "vc_formula": {"cell": "0 + C(lot)"}}
    columns = scores.values.T[:CROSSED_ATTRIBUTES] if crossed else scores.values.T
    start, failed = time.process_time(), 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for column in columns:
            table["y"] = column
            try:
                MixedLM.from_formula("y ~ C(lot)", data=table, **how).fit().wald_test_terms(scalar=True)
            except np.linalg.LinAlgError:
                failed += 1
    if failed:
        print(f"  (statsmodels stopped with a singular matrix on {failed} of {len(columns)} attributes)")
    return (time.process_time() - start) * len(scores.attributes) / len(columns)


def _grow(scores: Scores) -> None:
    """Ten times the attributes, the cups, the tasters, or the lots; in a process each, for the memory."""
    one = _best(lambda: fit_profiles(scores, baseline="P01"), 5)
    noise = np.random.default_rng(SEED)
    many = np.hstack([scores.values + noise.normal(size=scores.values.shape) for _ in range(10)])
    cups = np.vstack([scores.values + noise.normal(size=scores.values.shape) for _ in range(10)])
    copies = [f"{name}{copy}" for copy in range(10) for name in scores.tasters]
    tables = {
        "attributes": Scores(
            scores.lots, scores.tasters, many, [str(number) for number in range(many.shape[1])]
        ),
        "cups a cell": Scores(list(scores.lots) * 10, list(scores.tasters) * 10, cups, scores.attributes),
        "tasters": Scores(list(scores.lots) * 10, copies, cups, scores.attributes),
        "lots (a hundred times the pairs)": Scores(
            [f"{name}{copy}" for copy in range(10) for name in scores.lots],
            list(scores.tasters) * 10,
            cups,
            scores.attributes,
        ),
    }
    one_fit = _best(lambda: fit_table(Table(lay_out(scores))), 5)
    for name, table in tables.items():
        base = table.lots[0]
        ten = _best(lambda table=table, base=base: fit_profiles(table, baseline=base), 2)  # type: ignore[misc]
        fits = _best(lambda table=table: fit_table(Table(lay_out(table))), 2)  # type: ignore[misc]
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(
            f"ten times the {name}: {ten:.2f} s, {ten / one:.1f} times the time "
            f"(fits {fits / one_fit:.1f} times), this process's peak so far {used:.0f} MB"
        )


def _from_csv_to_json() -> None:
    """36,000 scores, 60 lots x 12 tasters x 25 attributes x 2 replicates, in a fresh process."""
    lot, taster, cup = (axis.ravel() for axis in np.indices((60, 12, 2)))
    rng = np.random.default_rng(SEED)
    values = (
        5
        + rng.normal(size=(60, 25))[lot]
        + rng.normal(size=(12, 25))[taster]
        + rng.normal(size=(lot.size, 25))
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scores.csv"
        with path.open("w") as file:
            file.write("lot,taster,replicate,attribute,score\n")
            for row in range(lot.size):
                cells = f"L{lot[row]:02d},T{taster[row]:02d},{cup[row]}"
                file.writelines(f"{cells},A{at:02d},{values[row, at]:.1f}\n" for at in range(25))
        command = [sys.executable, "-m", "wetleaf", "profile", str(path), "--json", "--baseline", "L00"]
        command += ["--lot", "lot", "--taster", "taster", "--replicate", "replicate"]
        command += ["--attribute", "attribute", "--score", "score"]
        times, busy = [], []
        for _ in range(3):
            start, before = time.perf_counter(), _children_seconds()
            subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
            times.append(time.perf_counter() - start)
            busy.append(_children_seconds() - before)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(
        f"36,000 scores from CSV to JSON in a fresh process: {min(times):.2f} s by the clock, "
        f"{min(busy):.2f} s of processor"
    )
    print(f"  its peak memory: {used.ru_maxrss / 1024:.0f} MB")


def _children_seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _machine() -> str:
    model = platform.processor() or "unknown processor"
    info = Path("/proc/cpuinfo")
    if info.exists():
        model = next(line.split(":")[1].strip() for line in info.open() if line.startswith("model name"))
    return f"{model}, {os.cpu_count()} cores, Python {platform.python_version()}, numpy {np.__version__}"
