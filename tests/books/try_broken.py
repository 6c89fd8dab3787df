"""Try every bad file on the command and print what happened: `python -m tests.books.try_broken`."""

import json
import tempfile
from pathlib import Path

from tests.books.broken import BROKEN, MEGABYTES, SECONDS, BrokenFile
from tests.books.command import Run, run_import


def faults(bad: BrokenFile, run: Run) -> list[str]:
    """Return everything about a run that should not be; empty when all holds."""
    found = []
    if run.exit_code != bad.exit_code and not (bad.exit_code == -1 and run.exit_code in (0, 2)):
        found.append(f"exit code {run.exit_code}, expected {bad.exit_code}")
    if "Traceback" in run.said:
        found.append("a traceback")
    if run.cpu_seconds > SECONDS:
        found.append(f"{run.cpu_seconds:.1f} s")
    if run.megabytes > MEGABYTES:
        found.append(f"{run.megabytes:.0f} MB")
    if bad.one_of and not any(word.casefold() in run.said.casefold() for word in bad.one_of):
        found.append(f"none of {bad.one_of} is said")
    return found + _told_badly(bad, run)


def _told_badly(bad: BrokenFile, run: Run) -> list[str]:
    if run.exit_code == 2:
        lines = [line for line in run.err.splitlines() if line.strip()]
        found = [] if bad.name in run.said else ["the file is not named"]
        return found + ([] if len(lines) <= 1 or run.out.strip() else [f"{len(lines)} lines instead of one"])
    if bad.lots is None:
        return []
    try:
        lots = len(json.loads(run.out)["lots"])
    except (ValueError, KeyError):
        return ["no JSON was printed"]
    return [] if lots == bad.lots else [f"{lots} lots, expected {bad.lots}"]


def main() -> None:
    """Try all and print a line each."""
    with tempfile.TemporaryDirectory() as folder:
        for bad in BROKEN:
            path = bad.write(Path(folder))
            run = run_import(path, "--dry-run", "--json")
            path.unlink()
            wrong = "; ".join(faults(bad, run)) or "ok"
            said = (run.err.strip() or run.out[:80]).replace("\n", " ")[:150]
            cost = f"{run.exit_code:3} {run.seconds:5.1f} s {run.megabytes:5.0f} MB"
            print(f"{bad.name:22} {cost}  {wrong} | {said}")


if __name__ == "__main__":
    main()
