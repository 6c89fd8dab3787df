"""Score the importer on made books or on a development set.

    python -m tests.books.score_reading --seeds 1-40
    python -m tests.books.score_reading --kind lots_csv --seeds 7 --keep /tmp/books
    python -m tests.books.score_reading --devset /path/to/files

The aims: every error cell named, at most 1 false error per 100 good cells,
98 % of lot fields, 99.5 % of scores.
"""

import argparse
import json
import tempfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

from tests.books.command import run_import
from tests.books.comparison import Miss, Reading, compare
from tests.books.devset import devset_books
from tests.books.maker import KINDS, make_book

_SHOWN = (
    *(
        "errors named",
        "lots found",
        "lot fields",
        "first pass",
        "scores",
        "attributes",
        "replicates",
        "notes",
    ),
    *("preferences", "triangles", "retastes", "column roles", "warnings named", "infos traced"),
)


def read_book(path: Path, *, seconds: float = 60) -> dict[str, Any]:
    """Run the command on a book and return its JSON; a failure is told in the key `failed`."""
    run = run_import(path, "--dry-run", "--json", limit_seconds=seconds)
    try:
        return dict(json.loads(run.out))
    except ValueError:
        return {"failed": f"exit code {run.exit_code} after {run.seconds:.1f} s: {run.said.strip()[-400:]}"}


def score_book(path: Path, truth: dict[str, Any]) -> Reading:
    """Read one book with the command and compare."""
    report = read_book(path)
    reading = compare(truth, report)
    if "failed" in report:
        reading.misses = [Miss("not read at all", None, None, truth["file"], report["failed"])]
    return reading


def made_books(
    kinds: list[str], seeds: list[int], folder: Path
) -> Iterator[tuple[str, Path, dict[str, Any]]]:
    """Write every book of these kinds and seeds into a folder, with its truth beside it."""
    for kind in kinds:
        for seed in seeds:
            data, truth = make_book(seed, kind)
            path = folder / truth["file"]
            path.write_bytes(data)
            path.with_suffix(path.suffix + ".truth.json").write_text(_json(truth), encoding="utf-8")
            yield kind, path, truth


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1, default=str)


def seed_range(text: str) -> list[int]:
    """Return the seeds of `1-40` or `3,5,9`.

    >>> seed_range("1-3,7")
    [1, 2, 3, 7]
    """
    seeds: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        seeds += range(int(first), int(last or first) + 1)
    return seeds


def score_all(books: Iterator[tuple[str, Path, dict[str, Any]]]) -> tuple[dict[str, Reading], list[str]]:
    """Score every book; return the readings by kind and one line a miss."""
    by_kind: dict[str, Reading] = {}
    lines = []
    for kind, path, truth in books:
        reading = score_book(path, truth)
        by_kind.setdefault(kind, Reading()).add(reading)
        lines += miss_lines(path.name, reading.misses)
    return by_kind, sorted(lines, key=lambda line: _ORDER.get(line.split(" | ")[0], 0))


_ORDER = {"warnings named": 2, "infos traced": 3, "column roles": 1}


def miss_lines(book: str, misses: list[Miss], *, each: int = 4) -> list[str]:
    """Write the misses, at most a few of a sort from one sheet, and how many more there are."""
    by_sort: dict[tuple[str, str | None], list[Miss]] = {}
    for miss in misses:
        by_sort.setdefault((miss.what, miss.sheet), []).append(miss)
    lines = []
    for (what, sheet), group in by_sort.items():
        lines += [miss_line(book, miss) for miss in group[:each]]
        if len(group) > each:
            lines.append(f"{what} | {book} | {sheet} | ... and {len(group) - each} more")
    return lines


def miss_line(book: str, miss: Miss) -> str:
    """Write a miss on one line."""
    wanted = json.dumps(miss.expected, ensure_ascii=False, default=str)
    got = json.dumps(miss.got, ensure_ascii=False, default=str)
    return f"{miss.what} | {book} | {miss.sheet} | {miss.cell} | expected {wanted[:420]} | got {got[:420]}"


def table(by_kind: dict[str, Reading]) -> str:
    """Lay the counts out, a column a kind and one for all."""
    whole = Reading()
    for reading in by_kind.values():
        whole.add(reading)
    columns = {**by_kind, "all": whole}
    width = max(13, *(len(name) + 2 for name in columns))
    lines = ["".ljust(22) + "".join(name.rjust(width) for name in columns)]
    rows = {what: partial(_share, what=what) for what in _SHOWN} | _RATES
    for what, tell in rows.items():
        lines.append(what.ljust(22) + "".join(tell(reading).rjust(width) for reading in columns.values()))
    return "\n".join(lines)


def _share(reading: Reading, what: str) -> str:
    wanted, right = reading.wanted[what], reading.right[what]
    return f"{100 * right / wanted:.1f} ({wanted - right})" if wanted else "-"


_RATES: dict[str, Callable[[Reading], str]] = {
    "false errors / 100": lambda r: f"{100 * r.false_errors / max(r.good_cells, 1):.2f} ({r.false_errors})",
    "lots that are none": lambda r: str(r.extra["lots"]),
    "scores that are none": lambda r: str(r.extra["scores"]),
}


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", default="1-10", type=seed_range)
    parser.add_argument("--kind", action="append", choices=sorted(KINDS), help="may be given more than once")
    parser.add_argument("--devset", type=Path, help="folder with books/ and books_truth/")
    parser.add_argument("--misses", type=Path, help="write every miss to this file")
    parser.add_argument("--keep", type=Path, help="leave the books and their truth in this folder")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = asked.keep or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        by_kind, lines = score_all(_books(asked, folder))
    print(table(by_kind))
    text = "\n".join(lines)
    if asked.misses:
        asked.misses.write_text(f"{table(by_kind)}\n\n{text}\n", encoding="utf-8")
    else:
        print(f"\n{text}")


def _books(asked: argparse.Namespace, folder: Path) -> Iterator[tuple[str, Path, dict[str, Any]]]:
    if asked.devset:
        for path, truth in devset_books(asked.devset):
            yield path.name, path, truth
        return
    yield from made_books(asked.kind or list(KINDS), asked.seeds, folder)


if __name__ == "__main__":
    main()
