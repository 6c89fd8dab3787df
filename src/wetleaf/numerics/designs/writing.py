"""Designs as plain values: a mapping for JSON, and rows for a table. Nothing is computed here."""

from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import Any

from wetleaf.numerics.designs.records import Design
from wetleaf.numerics.designs.trials import TrialDesign


def as_mapping(design: Design | TrialDesign) -> dict[str, Any]:
    """Return a design as plain values that JSON can hold; grams become numbers.

    >>> import numpy as np
    >>> from wetleaf.numerics.designs.asked import Asked
    >>> from wetleaf.numerics.designs.lay_out import lay_out
    >>> plain = as_mapping(lay_out(Asked(["A", "B"], ["Wren"]), np.random.default_rng(1)))
    >>> sorted(plain)  # doctest: +NORMALIZE_WHITESPACE
    ['asked', 'balance', 'beside', 'brews', 'cost', 'cups', 'efficiency', 'notes', 'sittings',
     'tasters', 'teas']
    """
    whole = {one.name: getattr(design, one.name) for one in fields(design)}
    teas = {"teas": list(design.asked.samples)} if isinstance(design, TrialDesign) else {}
    plain: dict[str, Any] = _plain({**teas, "tasters": list(design.asked.tasters), **whole})
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    return value


def as_rows(design: Design | TrialDesign) -> list[dict[str, Any]]:
    """Return a row for each cup, in the order of tasting: the table a sheet is made from.

    >>> import numpy as np
    >>> from wetleaf.numerics.designs.asked import Asked
    >>> from wetleaf.numerics.designs.lay_out import lay_out
    >>> rows = as_rows(lay_out(Asked(["A", "B"], ["Wren"]), np.random.default_rng(1)))
    >>> list(rows[0])
    ['sitting', 'taster', 'position', 'minute', 'code', 'brew', 'sample', 'replicate', 'bridge']
    """
    return [{one.name: getattr(cup, one.name) for one in fields(cup)} for cup in design.cups]
