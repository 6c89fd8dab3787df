"""Compare what the importer read with the truth: counts of right and wrong, and every miss with its cell."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from tests.books.fact_comparison import LOT_FIELDS, same_fact, same_text
from tests.books.role_comparison import same_role

Key = tuple[str | None, str]


@dataclass(frozen=True)
class Miss:
    """One thing that was read wrongly."""

    what: str
    sheet: str | None
    cell: str | None
    expected: Any
    got: Any


@dataclass
class Reading:
    """Right and wanted per kind of thing, how many cells were good, and the misses."""

    right: Counter[str] = field(default_factory=Counter)
    wanted: Counter[str] = field(default_factory=Counter)
    good_cells: int = 0
    false_errors: int = 0
    extra: Counter[str] = field(default_factory=Counter)
    misses: list[Miss] = field(default_factory=list)

    def judge(self, what: str, is_right: bool, place: tuple[Any, Any], expected: Any, got: Any) -> None:
        """Count one comparison."""
        self.wanted[what] += 1
        self.right[what] += is_right
        if not is_right:
            self.misses.append(Miss(what, *place, expected, got))

    def add(self, other: "Reading") -> None:
        """Pool another book's counts."""
        for name in ("right", "wanted", "extra"):
            getattr(self, name).update(getattr(other, name))
        self.good_cells += other.good_cells
        self.false_errors += other.false_errors
        self.misses += other.misses


def compare(truth: dict[str, Any], report: dict[str, Any]) -> Reading:
    """Return how well `report` (the command's JSON) agrees with `truth`."""
    one_sheet = truth.get("kind") not in ("xlsx", "ods")
    reading = Reading()
    _lots(reading, truth, report, one_sheet)
    _scores(reading, truth, report, one_sheet)
    _notes(reading, truth, report, one_sheet)
    _first_passes(reading, truth, report, one_sheet)
    for kind, fields in _ROW_RECORDS.items():
        _row_records(reading, truth, report, one_sheet, kind, fields)
    _columns(reading, truth, report, one_sheet)
    _problems(reading, truth, report, one_sheet)
    return reading


def _key(record: dict[str, Any], cell: Any, one_sheet: bool) -> Key:
    sheet = None if one_sheet else str(record.get("sheet") or "").strip()
    return sheet, str(cell or "").replace("$", "").upper()


def cells_of(record: dict[str, Any]) -> list[str]:
    """Return every cell a record of the report names, whatever the shape of its `cells`."""
    found = [record["cell"]] if record.get("cell") else []
    cells = record.get("cells") or {}
    entries = cells.values() if isinstance(cells, dict) else cells
    for entry in entries:
        if isinstance(entry, dict):
            entry = entry.get("cell")
        if isinstance(entry, str):
            found.append(entry)
        elif isinstance(entry, list):
            found += [one for one in entry if isinstance(one, str)]
    return found


def row_of(record: dict[str, Any]) -> int | None:
    """Return the row a record stands on: said outright, or the most frequent row of its cells."""
    if record.get("row"):
        return int(record["row"])
    rows = [int(match[1]) for cell in cells_of(record) if (match := re.match(r"[A-Z]+(\d+)", cell))]
    return Counter(rows).most_common(1)[0][0] if rows else None


def _by_row(
    records: list[dict[str, Any]], one_sheet: bool
) -> dict[tuple[str | None, int | None], dict[str, Any]]:
    return {(_key(record, "", one_sheet)[0], row_of(record)): record for record in records}


def _lots(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    found = _by_row(report.get("lots") or [], one_sheet)
    beside = _beside(report, one_sheet)
    for lot in truth.get("lots") or []:
        got = found.pop((_key(lot, "", one_sheet)[0], lot["row"]), None)
        reading.judge(
            "lots found", got is not None, (lot["sheet"], f"row {lot['row']}"), lot.get("code"), None
        )
        for name in LOT_FIELDS:
            written = lot["cells"].get(name)
            if written is not None and name not in lot.get("not_compared", ()):
                _lot_field(reading, lot, got, name, written, beside, one_sheet)
    for (sheet, row), record in found.items():
        reading.extra["lots"] += 1
        reading.misses.append(Miss("a lot that is none", sheet, f"row {row}", None, record.get("code")))


def _lot_field(
    reading: Reading,
    lot: dict[str, Any],
    got: dict[str, Any] | None,
    name: str,
    written: dict[str, Any],
    beside: dict[Key, list[Any]],
    one_sheet: bool,
) -> None:
    value = (got or {}).get(name)
    right = got is not None and same_fact(name, lot.get(name), value)
    if name in ("verdict", "liking", "words") and not right:
        right = any(
            same_fact(name, lot[name], other) for other in beside[_key(lot, written["cell"], one_sheet)]
        )
    what = "first pass" if name in ("verdict", "liking", "words") else "lot fields"
    reading.judge(
        what, right, (lot["sheet"], written["cell"]), {name: lot.get(name), "raw": written["raw"]}, value
    )


def _beside(report: dict[str, Any], one_sheet: bool) -> dict[Key, list[Any]]:
    """Scores and notes by cell: a liking in the lots table may be kept as a score, words as a note."""
    values: dict[Key, list[Any]] = defaultdict(list)
    for record in [*(report.get("scores") or []), *(report.get("notes") or [])]:
        for cell in cells_of(record):
            values[_key(record, cell, one_sheet)] += [record.get("value"), record.get("text")]
    return values


def _scores(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    found = {_key(record, record.get("cell"), one_sheet): record for record in report.get("scores") or []}
    names = _importer_names(truth, found, one_sheet)
    for score in truth.get("scores") or []:
        got = found.pop(_key(score, score["cell"], one_sheet), None)
        place = (score["sheet"], score["cell"])
        if got is None and score["status"] == "missing" and score["raw"] is None:
            continue
        expected = {name: score.get(name) for name in ("taster", "sample", "status", "value", "raw")}
        seen = got and {name: got.get(name) for name in ("taster", "sample", "status", "value")}
        score = score if truth.get("lots") else _in_any_case(score, got)
        reading.judge("scores", got is not None and _same_score(score, got, names), place, expected, seen)
        if got is not None:
            same = _bare(got.get("attribute")) == _bare(score.get("attribute"))
            reading.judge("attributes", same, place, score.get("attribute"), got.get("attribute"))
            if score.get("replicate"):
                same = str(got.get("replicate")) == str(score["replicate"])
                reading.judge("replicates", same, place, score["replicate"], got.get("replicate"))
    lot_cells = {
        _key(lot, c["cell"], one_sheet) for lot in truth.get("lots") or [] for c in lot["cells"].values()
    }
    for key, record in found.items():
        if key not in lot_cells:
            reading.extra["scores"] += 1
            seen = {name: record.get(name) for name in ("taster", "sample", "attribute", "value", "status")}
            reading.misses.append(Miss("a score that is none", *key, None, seen))


def _in_any_case(score: dict[str, Any], got: dict[str, Any] | None) -> dict[str, Any]:
    """Without a list of lots nothing tells which case of a code is the right one: either will do."""
    same = got is not None and _folded(score["sample"]) == _folded(got.get("sample"))
    return {**score, "sample": got["sample"]} if got is not None and same else score


def _bare(attribute: Any) -> str:
    """Return an attribute without its scale and case: `Overall (0-100)` is Overall."""
    return re.sub(r"\s*[\(\[].*?[\)\]]", "", str(attribute or "")).strip().casefold()


def _importer_names(
    truth: dict[str, Any], found: dict[Key, dict[str, Any]], one_sheet: bool
) -> dict[str, Any]:
    """Return the name the importer gave each taster: any spelling will do if it is the same everywhere."""
    seen: dict[str, Counter[Any]] = defaultdict(Counter)
    for score in truth.get("scores") or []:
        got = found.get(_key(score, score["cell"], one_sheet))
        if got is not None and score["taster"]:
            seen[score["taster"]][got.get("taster")] += 1
    return {name: counter.most_common(1)[0][0] for name, counter in seen.items()}


def _same_score(score: dict[str, Any], got: dict[str, Any], names: dict[str, Any]) -> bool:
    taster = names.get(score["taster"], score["taster"]) if score["taster"] else None
    if got.get("taster") != taster or not same_text(score["sample"], got.get("sample")):
        return False
    if got.get("status") != score["status"]:
        return False
    bounds = all(same_fact("number", score.get(end), got.get(end)) for end in ("lower", "upper"))
    return bounds and same_fact("number", score["value"], got.get("value"))


def _notes(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    found: dict[Key, list[dict[str, Any]]] = defaultdict(list)
    for record in report.get("notes") or []:
        for cell in cells_of(record):
            found[_key(record, cell, one_sheet)].append(record)
    for note in truth.get("notes") or []:
        records = found.get(_key(note, note["cell"], one_sheet), [])
        right = any(_same_note(note, record) for record in records)
        seen = [{name: record.get(name) for name in ("taster", "sample", "text")} for record in records]
        reading.judge("notes", right, (note["sheet"], note["cell"]), note, seen)


def _same_note(note: dict[str, Any], got: dict[str, Any]) -> bool:
    who = note["taster"] is None or _folded(note["taster"]) == _folded(got.get("taster"))
    return (
        who
        and _folded(note["sample"]) == _folded(got.get("sample"))
        and note["text"].strip() in str(got.get("text"))
    )


def _first_passes(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    """Likings that stand on sheets of their own, by cell."""
    found = {
        _key(verdict, verdict.get("cell"), one_sheet): verdict for verdict in report.get("verdicts") or []
    }
    for wanted in truth.get("first_passes") or []:
        got = found.get(_key(wanted, wanted["cell"], one_sheet)) or {}
        right = all(
            str(got.get(name)) == str(value) or same_fact("number", value, got.get(name))
            for name, value in wanted.items()
            if name in ("sample", "verdict", "liking", "scale_high")
        )
        reading.judge("first pass", right, (wanted["sheet"], wanted["cell"]), wanted, got)


def _folded(name: Any) -> str:
    return str(name or "").strip().casefold()


_ROW_RECORDS = {
    "preferences": ("taster", "a", "b", "winner", "tie"),
    "triangles": ("taster", "cups", "odd_cup", "picked", "correct", "usable"),
    "retastes": ("lot", "roast_date", "taste_date", "days", "roast_aroma", "ready"),
}


def _row_records(
    reading: Reading,
    truth: dict[str, Any],
    report: dict[str, Any],
    one_sheet: bool,
    kind: str,
    fields: tuple[str, ...],
) -> None:
    found = _by_row(report.get(kind) or [], one_sheet)
    for record in truth.get(kind) or []:
        got = found.pop((_key(record, "", one_sheet)[0], record["row"]), None)
        wrong = {name: (got or {}).get(name) for name in fields if not _same_row_field(name, record, got)}
        expected = {name: record[name] for name in (wrong or fields)}
        reading.judge(
            kind, not wrong, (record["sheet"], f"row {record['row']}"), expected, wrong if got else None
        )
    reading.extra[kind] += len(found)
    for (sheet, row), record in found.items():
        reading.misses.append(Miss(f"{kind}: one that is none", sheet, f"row {row}", None, str(record)[:200]))


def _same_row_field(name: str, record: dict[str, Any], got: dict[str, Any] | None) -> bool:
    if got is None:
        return False
    wanted, seen = record[name], got.get(name)
    if name == "taster":
        return _folded(wanted) == _folded(seen)
    if name == "days" and isinstance(wanted, int) and wanted < 0:
        return seen in (wanted, None)
    if name == "ready":
        return (seen.get("state") if isinstance(seen, dict) else seen) == wanted["state"]
    if name == "cups":
        return [str(cup) for cup in wanted] == [str(cup) for cup in seen or []]
    if name == "winner":
        return seen == wanted or (wanted == "tie" and bool(got.get("tie")))
    if name == "tie":
        return bool(seen) == bool(wanted)
    return same_fact("number", wanted, seen) if name == "roast_aroma" else seen == wanted


def _columns(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    seen: dict[tuple[str | None, str], list[dict[str, Any]]] = defaultdict(list)
    for column in report.get("columns") or []:
        seen[_key(column, "", one_sheet)[0], str(column.get("column")).upper()].append(column)
    for sheet in truth.get("sheets") or []:
        for letter, meant in (sheet.get("columns") or {}).items():
            entries = seen[_key({"sheet": sheet["name"]}, "", one_sheet)[0], letter]
            right = any(same_role(meant, entry) for entry in entries)
            got = [(entry.get("header"), entry.get("read_as")) for entry in entries]
            reading.judge("column roles", right, (sheet["name"], letter), meant, got)


def _problems(reading: Reading, truth: dict[str, Any], report: dict[str, Any], one_sheet: bool) -> None:
    said: dict[Key, list[dict[str, Any]]] = defaultdict(list)
    for problem in report.get("problems") or []:
        said[_key(problem, problem.get("cell"), one_sheet)].append(problem)
    errors = {key for key, problems in said.items() if any(p.get("severity") == "error" for p in problems)}
    for problem in truth.get("problems") or []:
        _one_problem(reading, problem, said, errors, report, one_sheet)
    allowed = set(_allowed(truth, one_sheet))
    codes = {str(p["raw"]) for p in truth.get("problems") or [] if p["kind"] == "sample_code_ambiguous"}
    for key in sorted(errors - allowed, key=str):
        shown = [p for p in said[key] if p.get("severity") == "error"]
        if key[1] and not all(_folded(p.get("says")) in {_folded(c) for c in codes} for p in shown):
            reading.false_errors += 1
            got = [(p.get("says"), p.get("why")) for p in shown]
            reading.misses.append(Miss("false error", *key, _truth_said(truth, key, one_sheet), got))
    reading.good_cells += _good_cells(truth)


def _truth_said(truth: dict[str, Any], key: Key, one_sheet: bool) -> Any:
    return [
        p["kind"] for p in truth.get("problems") or [] if _key(p, p["cell"], one_sheet) == key
    ] or "a good cell"


def _one_problem(
    reading: Reading,
    problem: dict[str, Any],
    said: dict[Key, list[dict[str, Any]]],
    errors: set[Key],
    report: dict[str, Any],
    one_sheet: bool,
) -> None:
    place, wanted = (problem["sheet"], problem["cell"]), (problem["kind"], problem["raw"], problem["why"])
    if problem["cell"] is None:
        named = any(_names_code(p, str(problem["raw"])) for p in report.get("problems") or [])
        reading.judge("errors named", named, place, wanted, None)
        return
    keys = [_key(problem, cell, one_sheet) for cell in (problem["cell"], *problem.get("also", ()))]
    got = [(p.get("severity"), p.get("why")) for key in keys[:1] for p in said.get(key, [])]
    if problem["severity"] == "error" and not problem.get("either"):
        reading.judge("errors named", any(key in errors for key in keys), place, wanted, got)
        return
    what = "infos traced" if problem["severity"] == "info" else "warnings named"
    reading.judge(what, any(said.get(key) for key in keys), place, wanted, got)


def _names_code(problem: dict[str, Any], code: str) -> bool:
    text = " ".join(str(problem.get(name) or "") for name in ("says", "why", "do"))
    return problem.get("severity") == "error" and code.casefold() in text.casefold()


# A row that contradicts itself: any of its cells may be named.
_ROW_RIDDLES = ("taste_before_roast", "no_odd_cup", "odd_cup_contradicts_cups")


def _allowed(truth: dict[str, Any], one_sheet: bool) -> Iterator[Key]:
    """Cells at which an error can be argued for: also scores whose taster or sample must be asked about."""
    unsure = {s["code"] for s in truth.get("samples") or [] if s.get("ambiguous")}
    for problem in truth.get("problems") or []:
        if problem["cell"] and (problem["severity"] == "error" or problem.get("either")):
            for cell in (problem["cell"], *problem.get("also", ())):
                yield _key(problem, cell, one_sheet)
            if problem["kind"] in _ROW_RIDDLES:
                sheet, cell = _key(problem, problem["cell"], one_sheet)
                yield from ((sheet, f"{chr(c)}{re.sub('[A-Z]', '', cell)}") for c in range(65, 91))
    codes = Counter(lot.get("code") for lot in truth.get("lots") or [])
    for lot in truth.get("lots") or []:
        if codes[lot.get("code")] > 1:
            yield _key(lot, lot["cells"]["code"]["cell"], one_sheet)
    for score in truth.get("scores") or []:
        if score["sample"] in unsure or score["sample"] is None or score["taster"] is None:
            yield _key(score, score["cell"], one_sheet)


def _good_cells(truth: dict[str, Any]) -> int:
    wrong = sum(problem["severity"] == "error" for problem in truth.get("problems") or [])
    lots = sum(len(lot["cells"]) for lot in truth.get("lots") or [])
    widths = {"scores": 1, "notes": 3, "preferences": 4, "triangles": 6, "retastes": 6}
    return lots + sum(width * len(truth.get(kind) or []) for kind, width in widths.items()) - wrong
