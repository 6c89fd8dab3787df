"""What a command has to say: the same content as lines for a reader and as JSON for a program."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any


@dataclass(frozen=True)
class Said:
    """`content` for JSON, `lines` for a reader."""

    content: Mapping[str, Any]
    lines: tuple[str, ...]

    def as_json(self) -> str:
        """Return the content as JSON, numbers without end or meaning as null.

        >>> Said({"high": float("inf"), "low": 1.5}, ()).as_json()
        '{"high": null, "low": 1.5}'
        """
        return json.dumps(finite(self.content), ensure_ascii=False, allow_nan=False)

    def in_words(self) -> str:
        """Return the lines for a reader."""
        return "\n".join(self.lines)


def finite(value: Any) -> Any:
    """Return the value with every number that is not finite replaced by None, inside lists and mappings too.

    >>> finite([1.0, float("nan"), {"a": float("inf")}])
    [1.0, None, {'a': None}]
    """
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Mapping):
        return {name: finite(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [finite(inner) for inner in value]
    return value


def shown(value: float, places: int = 2) -> str:
    """Return a number for a reader; one without end as a word.

    >>> shown(1.8912), shown(float("inf"))
    ('1.89', 'without end')
    """
    return f"{value:.{places}f}" if isfinite(value) else "without end"


def chance(p: float) -> str:
    """Return a chance for a reader.

    >>> chance(0.0103), chance(0.00001)
    ('0.0103', 'below 0.0001')
    """
    return "below 0.0001" if p < 0.0001 else f"{p:.4f}"
