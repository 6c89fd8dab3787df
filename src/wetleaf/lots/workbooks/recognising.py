"""What each table is and what its columns are: by the words of the heads and by what the cells
hold, with the reason.

Every kind of table is tried as a hypothesis; the one whose fields are best borne out wins. A column that no
hypothesis explains is read as `unknown` and its values are never used.
"""

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.lots.workbooks.grid import GridCell, as_text, is_blank, letters
from wetleaf.lots.workbooks.headings import fold, known_ways, likenesses
from wetleaf.lots.workbooks.lot_columns_by_content import infer_code_column, infer_lot_columns
from wetleaf.lots.workbooks.sample_kinds import sample_kind
from wetleaf.lots.workbooks.tables import Head, Table, is_totals_label
from wetleaf.trade.cultivars import find_cultivar
from wetleaf.trade.dates import parse_date
from wetleaf.trade.money import price_unit_in
from wetleaf.trade.numbers import DecimalMark, is_missing_mark, parse_number
from wetleaf.trade.quantities import DEGREE_WORDS, elevation_unit, parse_degree, place_in, weight_unit

LOT_FACTS = frozenset(
    [
        "producer",
        "region",
        "elev",
        "harvest",
        "cv",
        "ox",
        "roast",
        "price",
        "moq",
        "avail",
        "grade",
        "invoice",
        "garden_mark",
        "vintage",
        "press_year",
        "season",
        "tea_class",
        "competition",
        "offer_until",
        "sample_grams",
        "sample_received",
        "claims",
        "organic",
        "residue",
        "contact",
    ]
)
_NUMERIC = frozenset(
    [
        "elev",
        "price",
        "moq",
        "avail",
        "markup",
        "loss",
        "liking",
        "score",
        "days",
        "roast_aroma",
        "grams",
        "grams_in",
        "grams_out",
        "left",
        "wanted_kg",
        "target",
        "tolerance",
        "sample_grams",
    ]
)
_DATES = frozenset(
    ["harvest", "offer_until", "sample_received", "roast_date", "taste_date", "date", "opened"]
)
_NEAR_THE_LEFT = 3  # columns among which a code without a known head is looked for
INFERRED = 0.6  # how far a column counts that only its cells tell
_COMPUTED = re.compile(
    r"^(?:total|sum|mean|average|avg|median|std|sd|stdev|range|min|max|summe|mittel|mittelwert|durchschnitt|schnitt|moyenne|somme|"
    r"ø|平均|合计|合計|总分|總分|总计|總計|rank|diff|difference|delta)\b.*",
    re.IGNORECASE,
)
_CODE_LIKE = re.compile(r"^[^\W\d_]{0,6}[-_/ .#]?\d{1,5}[^\W\d_]?$")


@dataclass(frozen=True)
class Known:
    """What earlier tables of the book have told: codes of lots, tea names, names of tasters; folded."""

    codes: frozenset[str] = frozenset()
    tasters: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Understood:
    """How one column is understood."""

    head: Head
    read_as: str
    why: str


@dataclass
class Recognised:
    """A table with its kind and the meaning of each column; `strength` is how well the kind is borne out."""

    table: Table
    role: str
    columns: tuple[Understood, ...]
    strength: float = 0.0
    by_field: Mapping[str, Head] = field(default_factory=dict)
    decimals: dict[int, DecimalMark] = field(default_factory=dict)

    @property
    def score_heads(self) -> tuple[Head, ...]:
        """The columns of attributes, in a wide score sheet."""
        return tuple(column.head for column in self.columns if column.read_as == "score")

    def column_of(self, name: str) -> int | None:
        """Give the column of a field."""
        head = self.by_field.get(name)
        return head.column if head else None


@lru_cache(maxsize=200_000)
def code_key(text: str) -> str:
    """Reduce a sample code to what makes it the same: no case, no signs, no leading zeros.

    >>> code_key("FH-01 ") == code_key("fh 1"), code_key("QP-3") == code_key("QP-13")
    (True, False)
    """
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"[\W_]+", "", fold(text)))


def recognise(
    table: Table, known: Known, forced_role: str = "", forced: Mapping[str, str] | None = None
) -> Recognised:
    """Say what a table is. `forced` maps column letters to fields, as a mapping file does."""
    hypotheses = [
        _try(table, role, known, forced or {}) for role in _ROLES if not forced_role or role == forced_role
    ]
    best = max(hypotheses, key=lambda one: one.strength)
    if best.strength <= 0 and forced_role:
        return Recognised(table, forced_role, best.columns, 0.1, best.by_field)
    if best.strength <= 0:
        return Recognised(
            table, "scratch", tuple(Understood(h, "unknown", "no kind of table fits") for h in table.heads)
        )
    return best


def _column_cells(table: Table, column: int, most: int = 60) -> list[GridCell]:
    cells: list[GridCell] = []
    step = max(1, len(table.rows) // (most * 2))
    for row in table.rows[::step]:
        cell = table.grid.at(row, column)
        if not is_blank(cell):
            cells.append(cell)
            if len(cells) >= most:
                break
    return cells


def _share(cells: Iterable[GridCell], test: Callable[[GridCell], object]) -> float:
    found = list(cells)
    return sum(bool(test(cell)) for cell in found) / len(found) if found else 0.0


def is_number_like(cell: GridCell) -> bool:
    """Say whether a cell holds a number, however written, or what a number has become in a spreadsheet."""
    if isinstance(cell.value, bool):
        return False
    if cell.error or not isinstance(cell.value, str):
        return True
    text = cell.value.strip()
    return text.casefold() in ("nan", "inf", "-inf") or (len(text) <= 16 and parse_number(text) is not None)


def is_score_like(cell: GridCell) -> bool:
    """Say whether a cell holds what a score column holds: a low number, a mark for none, a number
    gone wrong.
    """
    if isinstance(cell.value, str):
        if cell.error or is_missing_mark(cell.value):
            return True
        number = parse_number(cell.value.strip()) if len(cell.value) <= 12 else None
        return cell.value.strip().casefold() in ("nan", "inf") or (
            number is not None and len(number.unit) <= 4 and _low(number.value or number.lower)
        )
    return isinstance(cell.value, dt.date | dt.time) or (isinstance(cell.value, float) and _low(cell.value))


def _low(value: object) -> bool:
    return value is not None and -10 <= float(value) <= 100  # type: ignore[arg-type]


def _is_date_like(cell: GridCell) -> bool:
    if isinstance(cell.value, dt.date):
        return True
    if isinstance(cell.value, float):
        return 20_000 < cell.value < 80_000 or 1900 < cell.value < 2100
    return isinstance(cell.value, str) and parse_date(cell.value, day_first=True).value is not None


def _is_lettered_code(cell: GridCell) -> bool:
    return _is_code_like(cell) and any(sign.isalpha() for sign in as_text(cell.value))


def _is_code_like(cell: GridCell) -> bool:
    return len(as_text(cell.value)) <= 14 and bool(_CODE_LIKE.match(as_text(cell.value).strip()))


def _fit(name: str, cells: list[GridCell], known: Known, role: str) -> float:
    """How well the cells of a column bear a field out, 0 to 1."""
    if not cells:
        return 0.5
    if name in ("sample", "code", "lot", "a", "b", "cup1", "cup2", "cup3"):
        if known.codes and role != "lots":
            share = _share(cells, lambda c: code_key(as_text(c.value)) in known.codes)
            return max(share, 0.3 * _share(cells, _is_code_like))
        short = _share(cells, lambda c: len(as_text(c.value)) <= 14)
        return (
            0.4 * short + 0.6 * _share(cells, _is_code_like) if role == "lots" or name == "sample" else short
        )
    if name == "taster":
        named = _share(cells, lambda c: fold(as_text(c.value)) in known.tasters)
        wordy = _share(
            cells,
            lambda c: (
                isinstance(c.value, str)
                and len(c.value) <= 30
                and not _is_code_like(c)
                and not is_number_like(c)
            ),
        )
        return max(named, 0.8 * wordy)
    if name in _DATES:
        return _share(cells, _is_date_like)
    if name in _NUMERIC:
        return _share(cells, lambda c: is_number_like(c) or _has_digit(c) or _is_missing(c))
    if name in ("region", "producer"):
        places = _share(cells, lambda c: isinstance(c.value, str) and place_in(c.value))
        return 0.6 + 0.4 * places if name == "region" else 1.0 - places
    if name in ("cv", "tea_class"):
        bushes = _share(cells, lambda c: isinstance(c.value, str) and find_cultivar(c.value.rstrip("?")))
        return 0.6 + 0.4 * bushes if name == "cv" else 0.8 * (1.0 - bushes)
    if name == "currency":
        return _share(cells, lambda c: len(as_text(c.value).strip()) <= 4)
    if name in ("roast", "ox"):
        return _share(cells, lambda c: _is_missing(c) or not isinstance(c.value, str) or _is_degree(c.value))
    if name == "firing":
        return 0.9 * _share(cells, lambda c: isinstance(c.value, str) and not _is_degree(c.value))
    if name == "kind":
        return _share(cells, lambda c: sample_kind(as_text(c.value)))
    if name == "name":
        return _share(
            cells, lambda c: isinstance(c.value, str) and not is_number_like(c) and not _is_code_like(c)
        )
    if name in ("claims", "words", "text", "note"):
        return _share(cells, lambda c: isinstance(c.value, str) and not is_number_like(c))
    if name in ("replicate", "brew", "odd", "picked", "order"):
        return _share(cells, lambda c: len(as_text(c.value)) <= 12)
    return 0.8


def _is_degree(text: str) -> bool:
    degree = parse_degree(text).value
    return degree is not None and (
        degree.word.casefold() != text.strip().casefold() or degree.word in DEGREE_WORDS
    )


def _has_digit(cell: GridCell) -> bool:
    return any(sign.isdigit() for sign in as_text(cell.value))


def _is_missing(cell: GridCell) -> bool:
    return isinstance(cell.value, str) and is_missing_mark(cell.value)


def _assign(
    table: Table, role: str, skip: frozenset[str], known: Known, forced: Mapping[str, str]
) -> dict[str, tuple[Head, float, str]]:
    """Give each field the column that suits it best, the strongest claims first."""
    claims: list[tuple[float, int, str, Head, str]] = []
    cells = {head.column: _column_cells(table, head.column) for head in table.heads}
    for head in table.heads:
        if letters(head.column) in forced:
            name = forced[letters(head.column)]
            claims.append((9.0, head.column, name, head, "the mapping file says so"))
            continue
        for like in likenesses(role, head.whole):
            if like.field in skip:
                continue
            if role == "lots" and like.field != "price" and _is_price_head(head):
                continue
            fit = _fit(like.field, cells[head.column], known, role)
            if role == "lots" and like.field == "code" and fit < 0.35:
                continue  # long texts without numbers are no codes, whatever the head says
            why = f"headed {head.text!r}, a way of saying {like.field!r}" + (
                "" if like.score >= 0.9 else f" (like {like.by!r})"
            )
            claims.append(
                (
                    like.score * (0.5 + 0.5 * fit),
                    head.column,
                    like.field,
                    head,
                    _with_content(why, like.field, fit),
                )
            )
    taken: dict[str, tuple[Head, float, str]] = {}
    used: set[int] = set()
    for score, column, name, head, why in sorted(claims, key=lambda claim: (-claim[0], claim[1])):
        if score >= 0.42 and column not in used and name not in taken:
            taken[name] = (head, min(score, 1.0), why)
            used.add(column)
    if role == "lots":
        _prices_by_unit(table, cells, used, taken)
        _lots_by_content(table, cells, used, taken)
    _by_content(table, role, known, cells, used, taken)
    return taken


def _lots_by_content(
    table: Table,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """Where the heads have named some fields of a lot, tell the rest by their cells."""
    if len(taken) < 2:
        return
    heads = {head.column: head for head in table.heads if head.text.strip()}
    free = {column: cells[column] for column in heads if column not in used}
    fields = frozenset(known_ways()["lots"]) - set(taken)
    for name, column, why in infer_lot_columns(free, fields):
        taken[name] = (heads[column], INFERRED, why)
        used.add(column)
    if "code" not in taken:
        _code_by_content(table, used, taken)


def _code_by_content(table: Table, used: set[int], taken: dict[str, tuple[Head, float, str]]) -> None:
    """Where nothing else is the code, take the one unknown column at the left that tells the lots apart."""
    named = [head.column for head, _, _ in taken.values()]
    first = [taken[name][0].column for name in ("name", "producer") if name in taken] or named
    heads = [
        head
        for head in table.heads[:_NEAR_THE_LEFT]
        if head.text.strip() and head.column not in used and head.column < min(first)
    ]
    rows = [row for row in table.rows if sum(not is_blank(table.grid.at(row, c)) for c in named) >= 2]
    left = {head.column: _row_texts(table, head, rows) for head in heads if not _heads_a_measure(head)}
    found = infer_code_column(left)
    if found is not None:
        column, why = found
        taken["code"] = (next(head for head in heads if head.column == column), INFERRED, why)
        used.add(column)


def _row_texts(table: Table, head: Head, rows: Iterable[int]) -> list[str]:
    return [as_text(table.grid.shown(row, head.column)[2].value).strip() for row in rows]


def _heads_a_measure(head: Head) -> bool:
    """Say whether a head names money, a weight, a height or a share: what stands under it is no code."""
    words = re.findall(r"[^\W\d_]+", head.whole)
    units = any(weight_unit(word) or elevation_unit(word) for word in words)
    money = price_unit_in(head.whole)
    return units or "%" in head.whole or bool(money.currency) or "ambiguous_currency" in money.noticed


def _prices_by_unit(
    table: Table,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """A head that is only a currency for a weight, as `EUR/kg`, heads prices."""
    for head in table.heads:
        if "price" in taken or head.column in used or not _is_price_head(head):
            continue
        if _share(cells[head.column], lambda c: is_number_like(c) or _has_digit(c) or _is_missing(c)) >= 0.5:
            taken["price"] = (head, 0.9, f"headed {head.text!r}: a currency for a weight, so prices")
            used.add(head.column)


@lru_cache(maxsize=5_000)
def _is_price_head(head: Head) -> bool:
    """Say whether a head names a currency for a weight."""
    unit = price_unit_in(head.whole)
    money = unit.currency or "ambiguous_currency" in unit.noticed
    return bool(money) and (
        unit.per_g is not None or bool({"ambiguous_jin", "ambiguous_tael"} & set(unit.noticed))
    )


def _with_content(why: str, name: str, fit: float) -> str:
    if name in _DATES | _NUMERIC | {"sample", "code", "taster"}:
        return f"{why}; {round(fit * 100)} % of its cells fit"
    return why


def _by_content(
    table: Table,
    role: str,
    known: Known,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """Find the sample and the taster in columns whose heads do not say it, by cells that are known."""
    fields = known_ways()[role]
    if role == "scores" and "sample" in fields and "sample" not in taken and not known.codes:
        for head in table.heads:
            if head.column not in used and _share(cells[head.column], _is_lettered_code) >= 0.8:
                taken["sample"] = (head, 0.7, "its cells look like codes of samples")
                used.add(head.column)
                break
    for name, key, pool in (("sample", code_key, known.codes), ("taster", fold, known.tasters)):
        if name not in fields or name in taken or not pool:
            continue
        for head in table.heads:
            share = _share_known(cells[head.column], key, pool)
            if head.column not in used and share >= 0.6:
                what = "codes from the lots sheet" if name == "sample" else "names of tasters"
                taken[name] = (head, 0.8 * share, f"{round(share * 100)} % of its cells are {what}")
                used.add(head.column)
                break


def _share_known(cells: list[GridCell], key: Callable[[str], str], pool: frozenset[str]) -> float:
    return _share(cells, lambda cell: key(as_text(cell.value)) in pool)


_SKIP_WIDE = frozenset({"attribute", "score"})


Taken = Mapping[str, tuple[Head, float, str]]


def _try(table: Table, role: str, known: Known, forced: Mapping[str, str]) -> Recognised:
    family = {"scores_long": "scores", "scores_wide": "scores", "triangle": "triangle"}.get(role, role)
    skip = _SKIP_WIDE if role == "scores_wide" else frozenset()
    own = {k: v for k, v in forced.items() if v in known_ways()[family] or v in ("unknown", "score")}
    taken = _assign(table, family, skip, known, {k: v for k, v in own.items() if v != "score"})
    if role == "scores_wide":
        return _wide(table, taken, known, forced)
    if role == "scores_long":
        _long_by_content(table, known, taken)
    strength = _ROLES[role](taken)
    columns = tuple(_understood(head, taken) for head in table.heads)
    by_field = {name: head for name, (head, _, _) in taken.items()}
    return Recognised(table, role, columns, strength, by_field)


def _long_by_content(table: Table, known: Known, taken: dict[str, tuple[Head, float, str]]) -> None:
    """Beside a sample, a column of a few words that return is the attribute, one of numbers on a
    scale the score.
    """
    if "sample" not in taken:
        return
    for name, bears_out, why in (
        ("score", _numbers_on_a_scale, "its cells are numbers on a scale"),
        ("attribute", _returning_words, "a few words return in it, as attributes do"),
    ):
        used = {head.column for head, _, _ in taken.values()}
        free = [head for head in table.heads if head.column not in used]
        found = [head for head in free if name not in taken and bears_out(table, head, known)]
        if len(found) == 1:
            taken[name] = (found[0], 0.7, why)


def _numbers_on_a_scale(table: Table, head: Head, _known: Known) -> bool:
    cells = _column_cells(table, head.column)
    numbers = _share(cells, lambda c: is_score_like(c) and is_number_like(c))
    # A score can have become a date, a column of them is when it was tasted.
    dates = _share(cells, lambda c: isinstance(c.value, dt.date))
    return len(cells) >= 3 and numbers >= 0.8 and dates < 0.5 and not _COMPUTED.match(head.text)


def _returning_words(table: Table, head: Head, known: Known) -> bool:
    texts = [as_text(table.grid.at(row, head.column).value).strip() for row in table.rows[:400]]
    words = [text for text in texts if text]
    distinct = {fold(text) for text in words}
    others = distinct & known.tasters or any(code_key(text) in known.codes for text in distinct)
    letters_only = all(re.search(r"[^\W\d_]", text) and len(text) <= 40 for text in distinct)
    return len(words) >= 4 and 2 <= len(distinct) <= 0.5 * len(words) and letters_only and not others


def _understood(head: Head, taken: Mapping[str, tuple[Head, float, str]]) -> Understood:
    for name, (owner, _, why) in taken.items():
        if owner.column == head.column:
            return Understood(head, name, why)
    return Understood(head, "unknown", f"{head.text!r} is no known head here, so it is not used")


def _wide(
    table: Table, taken: dict[str, tuple[Head, float, str]], known: Known, forced: Mapping[str, str]
) -> Recognised:
    columns: list[Understood] = []
    used = {head.column for head, _, _ in taken.values()}
    for head in table.heads:
        told = forced.get(letters(head.column), "")
        if head.column in used:
            columns.append(_understood(head, taken))
        elif told == "score" or (not told and _is_score_column(table, head)):
            why = (
                "the mapping file says so"
                if told
                else "its cells are numbers on a scale; the head names the attribute"
            )
            columns.append(Understood(head, "score", why))
        else:
            columns.append(_understood(head, {}))
    scores = [column for column in columns if column.read_as == "score"]
    if "sample" not in taken or not scores or _lot_like(table, taken) or _lies(table, taken, scores, known):
        strength = 0.0
    else:
        strength = sum(score for _, score, _ in taken.values()) + 0.85 * len(scores)
    by_field = {name: head for name, (head, _, _) in taken.items()}
    return Recognised(table, "scores_wide", tuple(columns), strength, by_field)


def _lies(table: Table, taken: Taken, scores: list[Understood], known: Known) -> bool:
    """A sheet whose attributes would be codes, or whose samples are none, lies on its side."""
    if not known.codes or table.grid.turned:
        return False
    heads = sum(code_key(column.head.text) in known.codes for column in scores)
    cells = _column_cells(table, taken["sample"][0].column)
    samples = _share(cells, lambda c: code_key(as_text(c.value)) in known.codes)
    return heads >= 0.5 * len(scores) or (samples < 0.1 and _share(cells, _is_code_like) < 0.5)


def _lot_like(table: Table, taken: Mapping[str, object]) -> bool:
    """Without a taster, numbers under heads of prices and heights are facts of lots, not scores."""
    if "taster" in taken:
        return False
    facts = {
        like.field
        for head in table.heads
        for like in likenesses("lots", head.text)[:1]
        if like.score >= 0.9 and like.field in LOT_FACTS - {"roast", "ox", "claims", "tea_class"}
    }
    return len(facts) >= 2


def _is_score_column(table: Table, head: Head) -> bool:
    if _COMPUTED.match(head.text.strip()) or not head.text.strip():
        return False
    cells = _column_cells(table, head.column)
    if _share(cells, lambda cell: isinstance(cell.value, dt.date)) > 0.5:
        return False  # the day of the tasting
    return not cells or _share(cells, is_score_like) >= 0.5


def _sum(taken: Taken) -> float:
    return sum(score for _, score, _ in taken.values())


def _when(taken: Taken, needed: bool, bonus: float) -> float:
    return _sum(taken) + bonus if needed else 0.0


def _lots(taken: Taken) -> float:
    headed = {name for name, (_, _, why) in taken.items() if not why.startswith("its cells")}
    facts = LOT_FACTS & headed
    named = "code" in taken or "name" in taken
    enough = len(facts) >= 2 or {"code", "name"} <= headed
    if "name" not in headed and facts <= {"producer", "claims"}:
        enough = False  # who, which and some words: that is a sheet of notes
    return _when(taken, named and enough, 0.3)


def _ledger(taken: Taken) -> float:
    moved = {"grams", "grams_in", "grams_out"} & set(taken)
    told = {"what", "date", "left"} & set(taken)
    return _when(taken, "sample" in taken and bool(moved) and bool(told), 0.8)


def _retaste(taken: Taken) -> float:
    dates = {"roast_date", "taste_date", "days"} & set(taken)
    found = {"ready", "roast_aroma"} & set(taken)
    return _when(taken, "lot" in taken and len(dates) >= 2 and bool(found), 1.5)


def _lines(taken: Taken) -> float:
    has = set(taken)
    return _when(taken, "name" in has and bool({"target", "wanted_kg"} & has) and len(has) >= 2, 0.6)


def _sittings(taken: Taken) -> float:
    has = set(taken)
    return _when(taken, {"name", "date"} <= has and bool({"blind", "brewed", "purpose", "scale"} & has), 0.9)


def _samples(taken: Taken) -> float:
    sure = "kind" in taken and taken["kind"][1] >= 0.75  # half of its cells are kinds of samples
    return _when(taken, "sample" in taken and sure, 1.0)


def _long(taken: Taken) -> float:
    return _when(taken, {"sample", "attribute", "score"} <= set(taken), 0.6)


def _notes(taken: Taken) -> float:
    return _when(taken, {"sample", "text"} <= set(taken), 0.0)


def _verdicts(taken: Taken) -> float:
    found = {"verdict", "liking"} & set(taken)
    return _when(taken, "sample" in taken and bool(found), 0.25)


def _preferences(taken: Taken) -> float:
    sure = all(taken[name][1] >= 0.5 for name in ("a", "b") if name in taken)
    return _when(taken, {"a", "b", "preferred"} <= set(taken) and sure, 1.5)


def _triangle(taken: Taken) -> float:
    cups = {"cup1", "cup2", "cup3"} <= set(taken)
    return _when(taken, cups and bool({"odd", "picked"} & set(taken)), 2.0)


def _no_wide(_taken: Taken) -> float:
    return 0.0


_ROLES = {
    "lots": _lots,
    "scores_long": _long,
    "scores_wide": _no_wide,
    "notes": _notes,
    "verdicts": _verdicts,
    "preferences": _preferences,
    "triangle": _triangle,
    "retaste": _retaste,
    "ledger": _ledger,
    "lines": _lines,
    "sittings": _sittings,
    "samples": _samples,
}


def _only_sums(table: Table, row: int) -> bool:
    cells = [cell for head in table.heads if not is_blank(cell := table.grid.at(row, head.column))]
    return bool(cells) and all(
        re.match(r"=\s*(?:SUM|AVERAGE|SUBTOTAL|COUNT|MEDIAN|MIN|MAX)\w*\(", cell.formula) for cell in cells
    )


def drop_totals(recognised: Recognised) -> None:
    """Take totals and other rows that are no records out of a table, and keep the reason."""
    table = recognised.table
    labels = [
        head.column
        for name, head in recognised.by_field.items()
        if name in ("code", "name", "sample", "taster", "lot", "attribute", "producer")
    ] or [head.column for head in table.heads[:2]]
    kept: list[int] = []
    for row in table.rows:
        texts = [as_text(table.grid.at(row, c).value).strip() for c in labels]
        filled = [text for text in texts if text]
        if not filled and _only_sums(table, row):
            table.ignored.append((row, "sums of the rows above, not a record"))
        elif any(is_totals_label(text) for text in filled) and (
            len(filled) == 1 or recognised.role.startswith("scores")
        ):
            table.ignored.append((row, "totals row, not a record"))
        else:
            kept.append(row)
    table.rows[:] = kept
