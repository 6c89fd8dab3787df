"""What each table is and what its columns are: by the words of the heads and by what the cells
hold, with the reason.

Every kind of table is tried as a hypothesis; the one whose fields are best borne out wins. A column that no
hypothesis explains is read as `unknown` and its values are never used.
"""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import replace

from wetleaf.lots.workbooks.column_fit import (
    column_cells,
    is_number_like,
    is_score_like,
    share_of,
)
from wetleaf.lots.workbooks.fields_of_columns import Taken, fields_of
from wetleaf.lots.workbooks.first_pass_by_content import why_not_used
from wetleaf.lots.workbooks.grid import GridCell, as_text, is_code_like, letters
from wetleaf.lots.workbooks.headings import fold, known_ways, likenesses
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.judges_across import judges_across
from wetleaf.lots.workbooks.keys import recognise_key
from wetleaf.lots.workbooks.recognised import Known, Recognised, Understood, code_key
from wetleaf.lots.workbooks.score_heads import (
    ScoreHead,
    as_told,
    attribute_name,
    read_score_heads,
    remark_heads,
    told_score,
)
from wetleaf.lots.workbooks.tables import Table
from wetleaf.lots.workbooks.tasting_words import has_word

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
FEW_ROWS = 6  # too few to tell by them whether lots return
_BLIND_CODE = re.compile(r"[A-Z]\d?|\d{3}")
_COMPUTED = re.compile(
    r"^(?:total|sum|mean|average|avg|median|std|sd|stdev|range|min|max|summe|mittel|mittelwert|durchschnitt|schnitt|moyenne|somme|"
    r"ø|平均|合计|合計|总分|總分|总计|總計|rank|diff|difference|delta)\b.*",
    re.IGNORECASE,
)


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


_JUDGED = ("lots", "verdicts", "scores_wide")  # kinds of tables in which tasters judge side by side
_SKIP_WIDE = frozenset({"attribute", "score"})


def _try(table: Table, role: str, known: Known, forced: Mapping[str, str]) -> Recognised:
    family = {"scores_long": "scores", "scores_wide": "scores", "triangle": "triangle"}.get(role, role)
    skip = _SKIP_WIDE if role == "scores_wide" else frozenset()
    own = {k: v for k, v in forced.items() if v in known_ways()[family] or v == "unknown"}
    if role != "scores_long":
        own |= {k: "unknown" for k, v in forced.items() if told_score(v) is not None}
    if role == "key" and not forced:
        return recognise_key(table, known)
    judged = {} if forced or role not in _JUDGED else judges_across(table, known)
    taken = fields_of(table, family, skip, known, own, apart=frozenset(judged))
    if role == "scores_wide":
        return _wide(table, taken, known, forced, judged)
    if role == "scores_long":
        _long_by_content(table, known, taken)
    strength = _ROLES[role](taken)
    if role == "verdicts" and judged and "sample" in taken:
        strength = _sum(taken) + 0.25 + 0.85 * len(judged)
    if role == "lots" and not _one_lot_a_row(table, taken):
        strength = 0.0
    if role == "lots" and strength:
        strength += 0.85 * len(judged)  # facts beside them make a list of lots
    says = _told_scores(table, forced)
    columns = tuple(
        Understood(head, "score", says[head.column].why)
        if head.column in says
        else _of_a_judge(head, judged) or _understood(head, taken, table)
        for head in table.heads
    )
    by_field = {name: head for name, (head, _, _) in taken.items()}
    return Recognised(table, role, columns, strength, by_field, says=says, judged=judged)


def _of_a_judge(head: Head, judged: Mapping[int, ScoreHead]) -> Understood | None:
    said = judged.get(head.column)
    return Understood(head, said.attribute, said.why) if said is not None else None


def _told_scores(table: Table, forced: Mapping[str, str]) -> dict[int, ScoreHead]:
    """The columns that a mapping file calls scores."""
    return {
        head.column: as_told(ScoreHead(attribute_name(head), stage=head.group), meaning)
        for head in table.heads
        if told_score(meaning := forced.get(letters(head.column), "")) is not None
    }


def _one_lot_a_row(table: Table, taken: Taken) -> bool:
    """A list of lots names each lot about once; where the same few return in every row, they are samples
    and pots of a tasting.
    """
    columns = [taken[name][0].column for name in ("code", "name") if name in taken]
    rows = [tuple(as_text(table.grid.shown(row, c)[2].value).strip() for c in columns) for row in table.rows]
    named = [row for row in rows if any(row)]
    return len(named) < FEW_ROWS or len(set(named)) > 0.5 * len(named)


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
    cells = column_cells(table, head.column)
    numbers = share_of(cells, lambda c: is_score_like(c) and is_number_like(c))
    # A score can have become a date, a column of them is when it was tasted.
    dates = share_of(cells, lambda c: isinstance(c.value, dt.date))
    return len(cells) >= 3 and numbers >= 0.8 and dates < 0.5 and not _COMPUTED.match(head.text)


def _returning_words(table: Table, head: Head, known: Known) -> bool:
    texts = [as_text(table.grid.at(row, head.column).value).strip() for row in table.rows[:400]]
    words = [text for text in texts if text]
    distinct = {fold(text) for text in words}
    others = distinct & known.tasters or any(code_key(text) in known.codes for text in distinct)
    letters_only = all(re.search(r"[^\W\d_]", text) and len(text) <= 40 for text in distinct)
    return len(words) >= 4 and 2 <= len(distinct) <= 0.5 * len(words) and letters_only and not others


def _understood(
    head: Head, taken: Mapping[str, tuple[Head, float, str]], table: Table | None = None
) -> Understood:
    for name, (owner, _, why) in taken.items():
        if owner.column == head.column:
            return Understood(head, name, why)
    may_be = why_not_used(head, column_cells(table, head.column)) if table is not None else ""
    not_used = f"{head.text!r} is no known head here, so it is not used"
    return Understood(head, "unknown", f"{not_used}; {may_be}" if may_be else not_used)


def _wide(
    table: Table,
    taken: dict[str, tuple[Head, float, str]],
    known: Known,
    forced: Mapping[str, str],
    judged: Mapping[int, ScoreHead],
) -> Recognised:
    columns: list[Understood] = []
    used = {head.column for head, _, _ in taken.values()}
    for head in table.heads:
        told = forced.get(letters(head.column), "")
        if head.column in used:
            columns.append(_understood(head, taken))
        elif (judge := _of_a_judge(head, judged)) is not None:
            columns.append(judge)
        elif told_score(told) is not None or (not told and _is_score_column(table, head)):
            why = (
                "the mapping file says so"
                if told
                else "its cells are numbers on a scale; the head names the attribute"
            )
            columns.append(Understood(head, "score", why))
        else:
            columns.append(_understood(head, {}))
    scores = [column for column in columns if column.read_as == "score"]
    titles = (table.name, *table.titles, *_corner(taken))
    says = read_score_heads([c.head for c in scores], titles, known.tasters, named="taster" in taken)
    says = {c: as_told(said, forced.get(letters(c), "")) for c, said in says.items()}
    people = {fold(said.taster) for said in says.values() if said.taster}
    remarks = remark_heads([c.head for c in columns if c.read_as in ("unknown", "note")], people)
    columns = [_with_reason(column, says, remarks) for column in columns]
    if "sample" not in taken or not scores or _lot_like(table, taken) or _lies(table, taken, scores, known):
        strength = 0.0
    else:
        strength = sum(score for _, score, _ in taken.values()) + 0.85 * len(scores)
    by_field = {name: head for name, (head, _, _) in taken.items()}
    return Recognised(
        table, "scores_wide", tuple(columns), strength, by_field, says=says | remarks, judged=judged
    )


def _corner(taken: Taken) -> tuple[str, ...]:
    """The head over the samples, where it names what was scored: `Sweetness` in the corner of a matrix."""
    head = taken["sample"][0].text if "sample" in taken else ""
    return (head,) if has_word("attributes", head) else ()


def _with_reason(
    column: Understood, says: Mapping[int, ScoreHead], remarks: Mapping[int, ScoreHead]
) -> Understood:
    if column.head.column in remarks:
        return Understood(column.head, "note", remarks[column.head.column].why)
    said = says.get(column.head.column)
    return replace(column, why=said.why) if said and said.why and column.read_as == "score" else column


def _lies(table: Table, taken: Taken, scores: list[Understood], known: Known) -> bool:
    """A sheet whose attributes would be codes, or whose samples are none, lies on its side."""
    if not known.codes or table.grid.turned:
        return False
    heads = sum(code_key(column.head.text) in known.codes for column in scores)
    cells = column_cells(table, taken["sample"][0].column)
    samples = share_of(cells, lambda c: known.is_sample(as_text(c.value)) or _is_blind_code(c))
    if heads >= 0.5 * len(scores):
        return True
    return "taster" not in taken and samples < 0.1 and share_of(cells, is_code_like) < 0.5


def _is_blind_code(cell: GridCell) -> bool:
    return bool(_BLIND_CODE.fullmatch(as_text(cell.value).strip()))


def _lot_like(table: Table, taken: Taken) -> bool:
    """Without a taster, numbers under heads of prices and heights are facts of lots, not scores."""
    if "taster" in taken and not _all_differ(table, taken["taster"][0]):
        return False
    facts = {
        like.field
        for head in table.heads
        for like in likenesses("lots", head.text)[:1]
        if like.score >= 0.9 and like.field in LOT_FACTS - {"roast", "ox", "claims", "tea_class"}
    }
    return len(facts) >= 2


def _all_differ(table: Table, head: Head) -> bool:
    """Whether no text returns in a column: names of teas do so, names of tasters hardly ever."""
    texts = [fold(as_text(cell.value)) for cell in column_cells(table, head.column)]
    return len(texts) >= FEW_ROWS - 2 and len(set(texts)) == len(texts)


def _is_score_column(table: Table, head: Head) -> bool:
    if _COMPUTED.match(head.text.strip()) or not head.text.strip():
        return False
    cells = column_cells(table, head.column)
    if share_of(cells, lambda cell: isinstance(cell.value, dt.date)) > 0.5:
        return False  # the day of the tasting
    return not cells or share_of(cells, is_score_like) >= 0.5


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


def _decisions(taken: Taken) -> float:
    sure = "decided" in taken and taken["decided"][1] >= 0.85  # the head says so: `decision` is a verdict too
    return _when(taken, "lot" in taken and sure and bool({"why", "kilos"} & set(taken)), 1.5)


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


def _key(taken: Taken) -> float:
    return _when(taken, {"blind", "lot"} <= set(taken), 4.0)  # a mapping file says so


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
    "decisions": _decisions,
    "key": _key,
}
