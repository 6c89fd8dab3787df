"""A report that agrees with the truth in everything, to try the scorer itself."""

from copy import deepcopy
from typing import Any

_RECORDS = ("lots", "samples", "scores", "notes", "preferences", "triangles", "retastes")


def perfect_report(truth: dict[str, Any]) -> dict[str, Any]:
    """Return what a perfect reader would print for this book."""
    report: dict[str, Any] = {name: deepcopy(truth.get(name) or []) for name in _RECORDS}
    report["verdicts"] = deepcopy(truth.get("first_passes") or [])
    report["columns"] = [
        {
            "sheet": sheet["name"],
            "column": letter,
            "header": meant["header"],
            "read_as": meant["field"],
            "why": "told",
        }
        for sheet in truth.get("sheets") or []
        for letter, meant in (sheet.get("columns") or {}).items()
    ]
    report["problems"] = [
        {
            "sheet": p["sheet"],
            "cell": p["cell"],
            "says": str(p["raw"]),
            "why": p["why"],
            "severity": p["severity"],
        }
        for p in truth.get("problems") or []
    ]
    return report
