"""Reading a plain file of scores: any common encoding and separator, decimal commas, wide or long.

Nothing is guessed about a score: text that is no number is missing, and is named.
"""

import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wetleaf.cli.plain_table import clean, read_table
from wetleaf.numerics.profiles import Scores
from wetleaf.trade.errors import BadInput

NAMED_AT_MOST = 5
"""So many cells of one kind are named one by one; the rest are counted."""

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")


@dataclass(frozen=True)
class Columns:
    """Which column means what. `attributes` is for a wide table, `attribute` and `score` for a long one."""

    lot: str
    taster: str
    replicate: str | None = None
    sitting: str | None = None
    brew: str | None = None
    attributes: tuple[str, ...] | None = None
    attribute: str | None = None
    score: str | None = None


@dataclass(frozen=True)
class ReadScores:
    """The table that was read, and what of it could not be used."""

    scores: Scores
    warnings: tuple[str, ...]


def read_scores(path: Path, columns: Columns) -> ReadScores:
    """Read a file of scores.

    Raises `BadInput` when the file is missing, empty, not a text table, or lacks a column asked for.
    """
    header, rows = read_table(path, holds="scores")
    return _Reader(path.name, header, rows, columns).read()


def number_in(text: str) -> float | None:
    """Return the number a cell says, decimal comma or point; None when it says none.

    >>> number_in(" 3,5 "), number_in("7"), number_in("NaN"), number_in("seven")
    (3.5, 7.0, None, None)
    """
    cell = text.strip().replace("\u2212", "-")
    if not _NUMBER.fullmatch(cell):
        return None
    value = float(cell.replace(",", "."))
    return value if np.isfinite(value) else None


class _Reader:
    """Turns rows of text into scores, remembering what could not be used."""

    def __init__(self, name: str, header: list[str], rows: list[list[str]], columns: Columns) -> None:
        self.name, self.header, self.columns = name, header, columns
        self.warnings: list[str] = []
        self.odd: dict[str, list[str]] = {}
        lot, taster = self._place(columns.lot, "--lot"), self._place(columns.taster, "--taster")
        self.roles = {"lot": lot, "taster": taster}
        for role in ("replicate", "sitting", "brew"):
            asked = getattr(columns, role)
            if asked is not None:
                self.roles[role] = self._place(asked, f"--{role}")
        self._refuse_two_roles()
        self.rows = self._with_lot_and_taster([row + [""] * (len(header) - len(row)) for row in rows])

    def _place(self, column: str, option: str) -> int:
        wanted = clean(column)
        found = [place for place, name in enumerate(self.header) if name == wanted]
        if not found:
            found = [place for place, name in enumerate(self.header) if name.casefold() == wanted.casefold()]
        if len(found) == 1:
            return found[0]
        listed = ", ".join(name for name in self.header[:40] if name)
        why = "stands twice in" if found else "is not in"
        raise BadInput(
            f"{option}: the column '{column}' {why} {self.name}.", way_out=f"Its columns are: {listed}."
        )

    def _refuse_two_roles(self) -> None:
        """Refuse a column that is asked for twice: a lot that is its own taster tells nothing."""
        wanted = [("--attributes", name) for name in self.columns.attributes or ()]
        wanted += [
            (option, name)
            for option, name in (("--attribute", self.columns.attribute), ("--score", self.columns.score))
            if name is not None
        ]
        asked = [(f"--{role}", self.header[place]) for role, place in self.roles.items()]
        asked += [(option, self.header[self._place(name, option)]) for option, name in wanted]
        for number, (option, column) in enumerate(asked):
            for other, same in asked[:number]:
                if same == column and option != other:
                    raise BadInput(
                        f"The column '{column}' is given as {other} and as {option}.",
                        way_out="Name a column once.",
                    )

    def _with_lot_and_taster(self, rows: list[list[str]]) -> list[tuple[int, list[str]]]:
        kept, blank = [], []
        needed = [self.roles[role] for role in self.roles if role != "replicate"]
        for number, row in enumerate(rows, start=2):
            if all(row[place].strip() for place in needed):
                kept.append((number, row))
            else:
                blank.append(f"row {number}")
        if blank:
            self.warnings.append(
                f"{len(blank)} rows without a lot or taster (or sitting, brew) were left out: {_some(blank)}."
            )
        if not kept:
            raise BadInput(
                f"{self.name}: no row names both a lot and a taster.", way_out="Check --lot and --taster."
            )
        return kept

    def read(self) -> ReadScores:
        """Read the table as wide or long, as the columns ask."""
        if (self.columns.attribute is None) != (self.columns.score is None):
            raise BadInput(
                "A long table needs both --attribute and --score.", way_out="Give the two columns."
            )
        if self.columns.attribute is not None and self.columns.attributes is not None:
            raise BadInput(
                "--attributes is for a wide table, --attribute for a long one.", way_out="Give one of them."
            )
        names, labels, values = self._long() if self.columns.attribute is not None else self._wide()
        for column, cells in self.odd.items():
            self.warnings.append(
                f"{len(cells)} cells of '{column}' are no number and count as missing: {_some(cells)}."
            )
        if not np.isfinite(values).any():
            raise BadInput(
                f"{self.name}: there is no score in it. {' '.join(self.warnings)}".strip(),
                way_out="Name the columns that hold scores.",
            )
        scores = Scores(
            lots=labels["lot"],
            tasters=labels["taster"],
            values=values,
            attributes=names,
            replicates=labels.get("replicate"),
            sittings=labels.get("sitting"),
            brews=labels.get("brew"),
        )
        return ReadScores(scores, tuple(self.warnings))

    def _labels(self, rows: list[list[str]]) -> dict[str, list[str]]:
        return {role: [clean(row[place]) for row in rows] for role, place in self.roles.items()}

    def _wide(self) -> tuple[list[str], dict[str, list[str]], NDArray[np.float64]]:
        if self.columns.attributes is not None:
            places = [self._place(name, "--attributes") for name in self.columns.attributes]
        else:
            places = self._columns_of_numbers()
        values = np.full((len(self.rows), len(places)), np.nan)
        for column, place in enumerate(places):
            for line, (number, row) in enumerate(self.rows):
                values[line, column] = self._score(row[place], self.header[place], number)
        labels = self._labels([row for _, row in self.rows])
        self._warn_of_repeats(list(zip(*labels.values(), strict=True)))
        return [self.header[place] for place in places], labels, values

    def _columns_of_numbers(self) -> list[int]:
        """Return the columns that hold mostly numbers; say which others were not read."""
        found: list[int] = []
        others: list[int] = []
        for place, name in enumerate(self.header):
            if place in self.roles.values() or not name:
                continue
            cells = [row[place] for _, row in self.rows if row[place].strip()]
            numbers = sum(number_in(cell) is not None for cell in cells)
            (found if 2 * numbers >= max(len(cells), 1) and numbers else others).append(place)
        if others:
            self.warnings.append(
                f"Columns not read as scores: {', '.join(self.header[place] for place in others)}."
            )
        if not found:
            listed = ", ".join(name for name in self.header if name)
            raise BadInput(f"{self.name}: no column holds scores.", way_out=f"Its columns are: {listed}.")
        doubled = {self.header[place] for place in found if self.header.count(self.header[place]) > 1}
        if doubled:
            raise BadInput(
                f"{self.name}: the column '{min(doubled)}' stands twice.", way_out="Rename one of the two."
            )
        return found

    def _score(self, cell: str, column: str, row: int) -> float:
        if not cell or cell.isspace():
            return np.nan
        value = number_in(cell)
        if value is None:
            self.odd.setdefault(column, []).append(f"'{cell.strip()[:20]}' in row {row}")
            return np.nan
        return value

    def _long(self) -> tuple[list[str], dict[str, list[str]], NDArray[np.float64]]:
        """Gather a long table into a row a cup: a cup's n-th score on an attribute goes to its n-th row."""
        assert self.columns.attribute is not None
        assert self.columns.score is not None
        what, score = (
            self._place(self.columns.attribute, "--attribute"),
            self._place(self.columns.score, "--score"),
        )
        names: dict[str, int] = {}
        lines: dict[tuple[str, ...], int] = {}
        times: dict[tuple[str, ...], int] = {}
        cells: list[tuple[int, int, float]] = []
        for number, row in self.rows:
            attribute = clean(row[what])
            if not attribute:
                self.odd.setdefault(self.header[what], []).append(f"blank in row {number}")
                continue
            cup = tuple(clean(row[place]) for place in self.roles.values())
            time = times[(*cup, attribute)] = times.get((*cup, attribute), 0) + 1
            line = lines.setdefault((*cup, str(time)), len(lines))
            column = names.setdefault(attribute, len(names))
            cells.append((line, column, self._score(row[score], self.header[score], number)))
        values = np.full((len(lines), len(names)), np.nan)
        at = np.array([(line, column) for line, column, _ in cells], dtype=np.intp).reshape(-1, 2)
        values[at[:, 0], at[:, 1]] = [value for _, _, value in cells]
        cups = [key[:-1] for key in lines]
        self._warn_of_repeats(cups)
        labels = {role: [cup[place] for cup in cups] for place, role in enumerate(self.roles)}
        return list(names), labels, values

    def _warn_of_repeats(self, cups: list[tuple[str, ...]]) -> None:
        """Where replicates are told apart, the same cup twice is worth a word."""
        if "replicate" not in self.roles:
            return
        twice = [" / ".join(cup) for cup, times in Counter(cups).items() if times > 1]
        if twice:
            self.warnings.append(
                f"{len(twice)} cups stand twice, and count as repeated cups: {_some(twice)}."
            )


def _some(things: list[str]) -> str:
    named = ", ".join(things[:NAMED_AT_MOST])
    rest = len(things) - NAMED_AT_MOST
    return named if rest <= 0 else f"{named} and {rest} more"
