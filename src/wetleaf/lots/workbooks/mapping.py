"""A small file that says what a book's columns mean where recognition is wrong or unsure. It is remembered.

date_order = "day first"          # or "month first"
jin_grams = 600
scale = [0, 10]

[sheets."Sheet1"]
role = "lots"
header_row = 4
taster = "Mei"
columns = { B = "name", F = "harvest", G = "score of scent by Jo", K = "unknown" }

[tasters]
"M." = "Mei"

[samples]
"ZZ-9" = "QP-3"

[cells]
"Tasting 12 May!B104" = "QP-3"
"""

import re
import tomllib
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from wetleaf.lots.workbooks.headings import known_ways
from wetleaf.lots.workbooks.score_heads import told_score
from wetleaf.trade.errors import BadInput

ROLES = (
    "lots",
    "scores_long",
    "scores_wide",
    "notes",
    "verdicts",
    "key",
    "preferences",
    "triangle",
    "retaste",
    "ledger",
    "lines",
    "sittings",
    "samples",
    "decisions",
    "scratch",
)


@dataclass(frozen=True)
class SheetMapping:
    """What is said of one sheet: its role, its header row, its taster, fields by column letter."""

    role: str = ""
    header_row: int | None = None
    taster: str = ""
    columns: dict[str, str] = field(default_factory=dict)
    season: str = ""  # the season that its lots belong to, whatever its name says


@dataclass(frozen=True)
class Mapping:
    """Everything a mapping file says; empty says nothing."""

    sheets: dict[str, SheetMapping] = field(default_factory=dict)
    tasters: dict[str, str] = field(default_factory=dict)
    samples: dict[str, str] = field(default_factory=dict)
    cells: dict[str, str] = field(default_factory=dict)
    date_order: str = ""
    jin_grams: Decimal | None = None
    scale: tuple[float, float] | None = None

    def sheet(self, name: str) -> SheetMapping:
        """Give what is said of a sheet; "*" speaks for every sheet, and for a CSV."""
        return self.sheets.get(name) or self.sheets.get("*") or SheetMapping()


def read_mapping(path: Path) -> Mapping:
    """Read a mapping file; raises `BadInput` that names the line or the word that will not do."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as trouble:
        raise BadInput(f"{path.name}: the mapping file cannot be read ({trouble.strerror}).") from trouble
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as trouble:
        raise BadInput(
            f"{path.name}: the mapping file is not TOML: {trouble}.",
            way_out="See docs/reference/workbooks.md.",
        ) from trouble
    try:
        return mapping_from(data)
    except (TypeError, ValueError, AttributeError, ArithmeticError) as trouble:
        if isinstance(trouble, BadInput):
            raise BadInput(f"{path.name}: {trouble.why}", way_out=trouble.way_out) from trouble
        raise BadInput(
            f"{path.name}: a value of the mapping file has the wrong form: {trouble}."
        ) from trouble


_WORDS = frozenset({"sheets", "tasters", "samples", "cells", "date_order", "jin_grams", "scale"})


def mapping_from(data: dict[str, Any]) -> Mapping:
    """Make a mapping from a plain dictionary, as a workspace keeps it.

    >>> mapping_from({"jin_grams": 500}).jin_grams
    Decimal('500')
    """
    strange = set(data) - _WORDS
    if strange:
        raise BadInput(
            f"{sorted(strange)[0]!r} is not a word of a mapping file.",
            way_out=f"Known: {', '.join(sorted(_WORDS))}.",
        )
    order = str(data.get("date_order", ""))
    if order not in ("", "day first", "month first"):
        raise BadInput(f"date_order is {order!r}.", way_out="Write 'day first' or 'month first'.")
    scale = data.get("scale")
    return Mapping(
        {name: _sheet(name, said) for name, said in data.get("sheets", {}).items()},
        {str(k): str(v) for k, v in data.get("tasters", {}).items()},
        {str(k): str(v) for k, v in data.get("samples", {}).items()},
        {str(k): str(v) for k, v in data.get("cells", {}).items()},
        order,
        Decimal(str(data["jin_grams"])) if "jin_grams" in data else None,
        (float(scale[0]), float(scale[1])) if scale else None,
    )


def _sheet(name: str, said: dict[str, Any]) -> SheetMapping:
    role = str(said.get("role", ""))
    if role and role not in ROLES:
        raise BadInput(
            f"the role {role!r} of sheet {name!r} is not known.", way_out=f"Use one of: {', '.join(ROLES)}."
        )
    strange = set(said) - _WORDS_OF_A_SHEET
    if strange:
        raise BadInput(
            f"{sorted(strange)[0]!r} is not a word of a sheet's mapping ({name!r}).",
            way_out=f"Known: {', '.join(sorted(_WORDS_OF_A_SHEET))}.",
        )
    row = said.get("header_row")
    columns = {str(letter).upper(): str(meaning) for letter, meaning in said.get("columns", {}).items()}
    for letter, meaning in columns.items():
        _check_column(name, role, letter, meaning)
    taster, season = (str(said.get(word, "")) for word in ("taster", "season"))
    return SheetMapping(role, int(row) if row else None, taster, columns, season)


_WORDS_OF_A_SHEET = frozenset({"role", "header_row", "taster", "columns", "season"})
_FAMILY = {"scores_long": "scores", "scores_wide": "scores"}


def _check_column(sheet: str, role: str, letter: str, meaning: str) -> None:
    if not re.fullmatch(r"[A-Z]{1,3}", letter):
        raise BadInput(f"{letter!r} is no column of sheet {sheet!r}.", way_out="Write its letters: B, AC.")
    known = fields_known(role)
    if meaning not in known and told_score(meaning) is None:
        kind = f"a sheet of {role}" if role else "any kind of sheet"
        raise BadInput(
            f"column {letter} of sheet {sheet!r} is called {meaning!r}, which is no field of {kind}.",
            way_out=f"Use one of: {', '.join(known)}; or score of WHAT by WHOM.",
        )


def fields_known(role: str) -> tuple[str, ...]:
    """Give the fields that a column may be called in a mapping file, of one role or, for "", of all.

    >>> "harvest" in fields_known("lots"), "harvest" in fields_known("key")
    (True, False)
    """
    ways = known_ways()
    families = [_FAMILY.get(role, role)] if role and role != "scratch" else list(ways)
    fields = [field for family in families for field in ways[family]]
    return tuple(dict.fromkeys([*fields, "score", "unknown"]))


def mapping_as_data(mapping: Mapping) -> dict[str, Any]:
    """Give a mapping as a plain dictionary of plain values, for a workspace or a file.

    >>> mapping_from(mapping_as_data(Mapping(tasters={"M.": "Mei"}))).tasters
    {'M.': 'Mei'}
    """
    data: dict[str, Any] = {}
    if mapping.date_order:
        data["date_order"] = mapping.date_order
    if mapping.jin_grams is not None:
        data["jin_grams"] = str(mapping.jin_grams)
    if mapping.scale:
        data["scale"] = list(mapping.scale)
    if mapping.sheets:
        data["sheets"] = {name: _sheet_data(said) for name, said in mapping.sheets.items()}
    for name in ("tasters", "samples", "cells"):
        if getattr(mapping, name):
            data[name] = dict(getattr(mapping, name))
    return data


def _sheet_data(said: SheetMapping) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if said.role:
        data["role"] = said.role
    if said.header_row:
        data["header_row"] = said.header_row
    if said.taster:
        data["taster"] = said.taster
    if said.columns:
        data["columns"] = dict(said.columns)
    if said.season:
        data["season"] = said.season
    return data


def write_mapping(mapping: Mapping, path: Path) -> None:
    """Write a mapping file that `read_mapping` reads back to the same."""
    path.write_text(mapping_as_toml(mapping), encoding="utf-8")


def mapping_as_toml(mapping: Mapping) -> str:
    """Give a mapping as the text of a TOML file.

    >>> print(mapping_as_toml(Mapping(date_order="day first", tasters={"M.": "Mei"})), end="")
    date_order = "day first"
    <BLANKLINE>
    [tasters]
    "M." = "Mei"
    """
    data = mapping_as_data(mapping)
    lines = [f"{key} = {_toml(value)}" for key, value in data.items() if not isinstance(value, dict)]
    for name, said in data.get("sheets", {}).items():
        lines += ["", f"[sheets.{_toml(name)}]", *(f"{key} = {_toml(value)}" for key, value in said.items())]
    for table in ("tasters", "samples", "cells"):
        if table in data:
            lines += [
                "",
                f"[{table}]",
                *(f"{_toml(key)} = {_toml(value)}" for key, value in data[table].items()),
            ]
    return "\n".join(lines) + "\n"


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_toml(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    if isinstance(value, int | float):
        return repr(value)
    escaped = "".join(_escaped(sign) for sign in str(value))
    return f'"{escaped}"'


def _escaped(sign: str) -> str:
    if sign in '"\\':
        return "\\" + sign
    return f"\\u{ord(sign):04x}" if ord(sign) < 32 or ord(sign) == 127 else sign
