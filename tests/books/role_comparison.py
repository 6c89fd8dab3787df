"""When a column was read as what it is, whatever near synonym the report uses for the meaning."""

from typing import Any

_SAME_ROLE: dict[str, tuple[str, ...]] = {
    "code": ("code", "lot", "lot code", "sample"),
    "sample": ("sample", "lot", "code"),
    "lot": ("lot", "code", "sample"),
    "session": ("session", "sitting", "date", "day"),
    "note": ("note", "notes", "words", "text"),
    "claims": ("claims", "note", "notes"),
    "preferred": ("preferred", "winner", "preference", "better"),
    "why": ("why", "remark", "note", "reason"),
    "remark": ("remark", "note", "why", "notes"),
    "odd_cup": ("odd cup", "odd"),
    "cup": ("cup", "cups", "cup 1", "cup 2", "cup 3", "cup1", "cup2", "cup3"),
    "roast_date": ("roast date", "roasted on", "roasted"),
    "taste_date": ("taste date", "tasted on", "tasted"),
    "a": ("a", "cup a", "first"),
    "b": ("b", "cup b", "second"),
    "grade": ("grade",),
}
_HARMFUL = ("code", "name", "producer", "elev", "harvest", "price", "moq", "avail")


def same_role(meant: dict[str, Any], column: dict[str, Any]) -> bool:
    """Return whether a column of the report carries the meaning of the truth's column."""
    read_as = str(column.get("read_as") or "").replace("_", " ").casefold().strip()
    name = meant["field"]
    if name in ("other", "currency"):
        return read_as not in _HARMFUL
    if name == "score":
        return read_as.startswith("score") or read_as == str(meant.get("attribute", "")).casefold()
    return read_as in _SAME_ROLE.get(name, (name.replace("_", " "),))
