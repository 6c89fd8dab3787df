"""The outside values the tests of differences are held against."""

import tomllib
from pathlib import Path
from typing import Any

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[2] / "published" / "differences.toml").read_text(encoding="utf-8")
)
GUESSING = {"1/3": 1 / 3, "1/2": 1 / 2}
