"""Where the tables of a sheet are: header rows, what stands above them, their data rows, side by
side or stacked.

Nothing is said here of what a column means (see `recognising.py`), only which row heads which rows.
"""

import re
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank
from wetleaf.lots.workbooks.headings import all_ways, fold, header_forms, known_ways, likenesses

LONGEST_HEAD = 60
STRONG = 0.7
_TOTALS = re.compile(
    r"^\W*(?:(?:grand |sub ?-?)?(?:sum|totals?)|average|avg|means?|median|count|summen?|gesamt|zwischensumme|mittel(?:wert)?"  # noqa: E501
    r"|durchschnitt|moyennes?|sommes?|totaux|std\.? ?dev|sd|[øΣ∑]|panel mean|合计|合計|总计|總計|平均|小计|小計|計)(?:\b|(?<=[\u3400-\u9fff]))"  # noqa: E501
    r"(?:\W.*|\s+(?:of|for|all|kg|value|stock|score|panel)\b.*)?$",
    re.IGNORECASE,
)
_UNIT_ROW = re.compile(
    r"^\W*(?:m|ft|masl|metres?|kg|g|grams?|%|nt\$.*|£.*|€.*|\$.*|usd.*|eur.*|gbp.*|twd.*|¥.*|元.*|円.*|jin|lb|dd.?mm.*|date|"
    r"text|0\s?[-–]\s?10.*|1\s?[-–]\s?\d+.*|/\s?\d+|per .*|y/n|code|c°|°c|斤|公斤|克|公尺)\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Head:
    """A column's head: its text, and the label of the group above it when there are two rows."""

    column: int
    text: str
    group: str = ""
    unit: str = ""

    @property
    def whole(self) -> str:
        """The text with the unit from a row below it, if there is one."""
        return f"{self.text} ({self.unit})" if self.unit else self.text


@dataclass
class Table:
    """One table on a sheet; `rows` are its data rows, `titles` the texts above it, nearest last."""

    grid: Grid
    header_rows: tuple[int, ...]
    heads: tuple[Head, ...]
    rows: list[int]
    titles: tuple[str, ...] = ()
    ignored: list[tuple[int, str]] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The sheet's name; "" in a CSV."""
        return self.grid.name


def text_of(grid: Grid, row: int, column: int) -> str:
    """Give what a cell says, stripped."""
    return as_text(grid.at(row, column).value).strip()


def header_strength(texts: dict[int, str]) -> float:
    """Rate a row as a header: the most field names, each once, that it holds as some kind of table."""
    best = 0.0
    for role in known_ways():
        taken: dict[str, float] = {}
        for text in texts.values():
            for like in likenesses(role, text)[:2]:
                if like.score >= STRONG and like.field not in taken:
                    taken[like.field] = like.score
                    break
        if len(taken) >= 2:
            share = len(taken) / len(texts)
            best = max(best, sum(taken.values()) * (0.65 + 0.35 * share))
    return best


@dataclass(frozen=True)
class _Strip:
    """A header on its way: its row and the columns it reaches over."""

    row: int
    first: int
    last: int
    tops: frozenset[int] = frozenset()
    heads: tuple[Head, ...] = ()

    def over(self, other: "_Strip") -> bool:
        return self.first <= other.last and other.first <= self.last


def find_tables(grid: Grid, header_row: int | None = None) -> list[Table]:
    """Find the tables of a sheet by rows that look like headers; `header_row` overrides the search."""
    strips = [_Strip(header_row, 1, grid.columns)] if header_row else _header_strips(grid)
    read = [_with_heads(grid, strip) for strip in strips]
    tables = [_table(grid, strip, read) for strip in read]
    return [table for table in tables if table.heads]


def _with_heads(grid: Grid, strip: _Strip) -> _Strip:
    heads, rows = _heads(grid, strip)
    last = max((head.column for head in heads), default=strip.last)
    return _Strip(strip.row, strip.first, max(last, strip.last), frozenset(rows), heads)


def _table(grid: Grid, strip: _Strip, strips: list[_Strip]) -> Table:
    first = max(strip.tops) + 1
    below = [min(other.tops) for other in strips if other.over(strip) and min(other.tops) >= first]
    last = min(below) - 1 if below else grid.rows
    last = _trim(grid, first, last, bool(below), strip.heads)
    columns = [head.column for head in strip.heads]
    data = [row for row in range(first, last + 1) if any(not is_blank(grid.at(row, c)) for c in columns)]
    above = [max(other.tops) for other in strips if other.over(strip) and max(other.tops) < min(strip.tops)]
    alone = len(strips) == 1
    reach = (1, grid.columns) if alone else (strip.first, strip.last)
    titles = titles_above(grid, min(strip.tops), max(above, default=0), *reach)
    return Table(grid, tuple(sorted(strip.tops)), strip.heads, data, titles)


def _texts(grid: Grid, row: int, first: int = 1, last: int | None = None) -> dict[int, str]:
    end = last or grid.columns
    return {
        column: text_of(grid, row, column)
        for column in grid.by_row.get(row, ())
        if first <= column <= end and not is_blank(grid.at(row, column))
    }


_NUMBER_LIKE = re.compile(r"^[\s\d.,;:/%½+<>=~-]*$")


def _is_label(grid: Grid, row: int, column: int) -> bool:
    value = grid.at(row, column).value
    if not isinstance(value, str) or len(value) > LONGEST_HEAD or grid.at(row, column).error:
        return False
    return not _NUMBER_LIKE.match(value)


def _is_small_number(grid: Grid, row: int, column: int) -> bool:
    return text_of(grid, row, column) in ("1", "2", "3", "4")


def _header_strips(grid: Grid) -> list[_Strip]:
    found: list[_Strip] = []
    weak: list[_Strip] = []
    for row in grid.filled_rows():
        if found and not _worth_a_look(grid, row):
            continue
        for strip in _strips_of(grid, row):
            labels = _labels(grid, strip)
            if not labels:
                continue
            if _may_start(grid, strip, labels, found) and header_strength(labels) >= 1.25:
                _keep(grid, strip, labels, found)
            elif not any(f.over(strip) for f in found) and not weak and _heads_numbers(grid, strip, labels):
                weak.append(strip)
    return found or weak[:1]


def _worth_a_look(grid: Grid, row: int) -> bool:
    """A cheap look that most rows of a long list fail: a header below the first names at least two
    fields plainly.
    """
    plain = 0
    for column in grid.by_row.get(row, ()):
        value = grid.cells[row, column].value
        if isinstance(value, str) and len(value) <= 30 and _plain(value):
            plain += 1
            if plain == 2:
                return True
    return plain == 1 and len(grid.by_row.get(row - 1, ())) <= 1


@lru_cache(maxsize=100_000)
def _plain(text: str) -> bool:
    return any(form in all_ways() or form in ("a", "b") for form, _ in header_forms(text)[:2])


def _labels(grid: Grid, strip: _Strip) -> dict[int, str]:
    """The texts of a strip, if it is made of labels; beside two labels, cups may be headed 1, 2, 3."""
    texts = _texts(grid, strip.row, strip.first, strip.last)
    labels = {c: t for c, t in texts.items() if _is_label(grid, strip.row, c)}
    numbered = {c: t for c, t in texts.items() if _is_small_number(grid, strip.row, c)}
    if len(labels) < 2:
        return {}
    if len(numbered) >= 3 and len(set(numbered.values())) == len(numbered):
        labels |= numbered
    return labels if len(labels) >= 0.8 * len(texts) else {}


def _strips_of(grid: Grid, row: int) -> list[_Strip]:
    """Cut a row where an empty column parts two things that can each stand alone."""
    texts = _texts(grid, row)
    strips: list[_Strip] = []
    for column in sorted(texts):
        end = _reach(grid, row, column)
        if strips and not _parted(grid, row, strips[-1].last + 1, column - 1):
            strips[-1] = _Strip(row, strips[-1].first, end)
        else:
            strips.append(_Strip(row, column, end))
    # An empty column inside one table: what stands left of it says which record, what stands right does not.
    heads_only = all(_is_label(grid, row, column) for column in texts)
    heads_only = heads_only and sum(_known(text) for text in texts.values()) >= 0.6 * len(texts)
    if (
        len(strips) > 1
        and heads_only
        and [_has_identity(grid, strip) for strip in strips] == [True] + [False] * (len(strips) - 1)
    ):
        return [_Strip(row, strips[0].first, strips[-1].last)]
    return strips


def _reach(grid: Grid, row: int, column: int) -> int:
    merge = grid.merge_of(row, column)
    return merge[3] if merge else column


def _parted(grid: Grid, row: int, left: int, right: int) -> bool:
    """Say whether the columns between are empty here and below, so that they part two tables."""
    if right < left:
        return False
    below = range(max(1, row - 1), min(row + 12, grid.rows) + 1)
    return any(all(is_blank(grid.at(r, c)) for r in below) for c in range(left, right + 1))


_IDENTITY = frozenset({"code", "sample", "lot", "taster", "name", "a", "cup1"})


def _has_identity(grid: Grid, strip: _Strip) -> bool:
    texts = _texts(grid, strip.row, strip.first, strip.last)
    return len(texts) >= 2 and any(
        like.score >= 0.9 and like.field in _IDENTITY
        for text in texts.values()
        for role in known_ways()
        for like in likenesses(role, text)[:2]
    )


def _may_start(grid: Grid, strip: _Strip, labels: dict[int, str], found: list[_Strip]) -> bool:
    """A row inside a table is a new header only after a gap, or when it plainly names fields.

    Cheap looks come first: a long list has thousands of rows that are nothing but text.
    """
    before = [f for f in found if f.over(strip)]
    if before and strip.row > before[-1].row + 1:
        gap = any(len(_texts(grid, r, strip.first, strip.last)) <= 1 for r in (strip.row - 1, strip.row - 2))
        plain = sum(1 for text in labels.values() if fold(text) in all_ways())
        if plain < (1 if gap else 3) or (not gap and plain < 0.6 * len(labels)):
            return False
        if _exact_fields(labels) < 2:
            return False
    return any(_known(text) for text in list(labels.values())[:6])


def _exact_fields(labels: dict[int, str]) -> int:
    """How many fields of one kind of table the labels name in so many words."""
    return max(
        len(
            {
                likes[0].field
                for text in labels.values()
                if (likes := likenesses(role, text)) and likes[0].score >= 0.9
            }
        )
        for role in known_ways()
    )


@lru_cache(maxsize=50_000)
def _known(text: str) -> bool:
    return any(like.score >= STRONG for role in known_ways() for like in likenesses(role, text)[:1])


def _keep(grid: Grid, strip: _Strip, labels: dict[int, str], found: list[_Strip]) -> None:
    """Of two header rows that stand together keep the one that names more; the other becomes its
    group row.
    """
    for number, other in enumerate(found):
        if other.over(strip) and strip.row == other.row + 1:
            if header_strength(labels) > header_strength(_texts(grid, other.row, other.first, other.last)):
                found[number] = strip
            return
    found.append(strip)


def _heads_numbers(grid: Grid, strip: _Strip, labels: dict[int, str]) -> bool:
    below = range(strip.row + 1, min(strip.row + 4, grid.rows + 1))
    cells = [grid.at(r, c) for r in below for c in labels]
    filled = [cell for cell in cells if not is_blank(cell)]
    numbers = [
        cell
        for cell in filled
        if not isinstance(cell.value, str) or re.match(r"^\s*[\d.,½]+\s*$", cell.value)
    ]
    return len(labels) >= 2 and len(filled) >= 2 and len(numbers) >= 0.4 * len(filled)


def _heads(grid: Grid, strip: _Strip) -> tuple[tuple[Head, ...], set[int]]:
    """Read a header together with a group row above, a row below that it spans, and a row of units."""
    row = strip.row
    own = _texts(grid, row, strip.first, strip.last)
    if not own:
        return (), {row}
    above = _group_row(grid, strip, own)
    below = _lower_row(grid, strip, own)
    units = _unit_row(grid, row + 1, own) if not below else {}
    groups = _spread(grid, row - 1, above) if above else _spread(grid, row, own) if below else {}
    rows = {row} | ({row - 1} if above else set()) | ({row + 1} if below or units else set())
    heads = []
    for column in sorted(set(own) | set(above) | set(below)):
        text = below.get(column) or own.get(column) or above.get(column, "")
        group = groups.get(column, "") if (below.get(column) or own.get(column)) else ""
        group = "" if below and column not in below else group
        heads.append(Head(column, text, group, units.get(column, "")))
    return tuple(heads), rows


def _group_row(grid: Grid, strip: _Strip, own: dict[int, str]) -> dict[int, str]:
    """The labels just above a header, if they group its columns rather than give the sheet a title."""
    row = strip.row - 1
    if row < 1:
        return {}
    texts = _texts(grid, row, strip.first, max(own))
    labels = {c: t for c, t in texts.items() if _is_label(grid, row, c)}
    if not labels or len(labels) != len(texts):
        return {}
    merged_over = [c for c in labels if (m := grid.merge_of(row, c)) and m[3] > m[1] and m[2] == row]
    merged_down = [c for c in labels if (m := grid.merge_of(row, c)) and m[2] > row]
    if len(labels) == 1:
        only = next(iter(labels))
        return labels if (merged_over and only > min(own)) or merged_down else {}
    return labels if merged_over or merged_down or len(labels) < len(own) else {}


def _lower_row(grid: Grid, strip: _Strip, own: dict[int, str]) -> dict[int, str]:
    """The labels just below a header row whose labels are merged over them, or down beside them."""
    row = strip.row
    merges = {c: m for c in own if (m := grid.merge_of(row, c))}
    wide = [m for m in merges.values() if m[3] > m[1]]
    down = {c for c, m in merges.items() if m[2] == row + 1}
    labels = _texts(grid, row + 1, strip.first, strip.last)
    if not labels or not (wide or down) or any(not _is_label(grid, row + 1, c) for c in labels):
        return {}
    covered = {c for m in wide for c in range(m[1], m[3] + 1)} | (set(labels) - down if down else set())
    return labels if set(labels) <= covered else {}


def _unit_row(grid: Grid, row: int, own: dict[int, str]) -> dict[int, str]:
    labels = {c: t for c, t in _texts(grid, row).items() if c in own}
    if not labels or any(not isinstance(grid.at(row, c).value, str) for c in labels):
        return {}
    units = {c: t.strip(" ()[]") for c, t in labels.items() if _UNIT_ROW.match(t)}
    return units if len(units) >= max(1, 0.8 * len(labels)) and len(labels) <= len(own) else {}


def _spread(grid: Grid, row: int, labels: dict[int, str]) -> dict[int, str]:
    """Give each column the group label over it: across a merge, or to the right until the next one."""
    merges = any((m := grid.merge_of(row, c)) and m[3] > m[1] for c in labels)
    spread: dict[int, str] = {}
    current = ""
    for column in range(1, grid.columns + 1):
        if column in labels:
            current = labels[column]
            spread[column] = current
        elif merges:
            merge = grid.merge_of(row, column)
            spread[column] = labels.get(merge[1], "") if merge else ""
        else:
            spread[column] = current
    return spread


def titles_above(
    grid: Grid, first_header: int, previous: int, first: int = 1, last: int | None = None
) -> tuple[str, ...]:
    """The texts that stand above a table, few to a row; two in a row are a word and what it says."""
    titles: list[str] = []
    for row in range(max(previous + 1, first_header - 12), first_header):
        texts = list(_texts(grid, row, first, last).values())
        if len(texts) == 2:
            titles.append(f"{texts[0].rstrip(' :：')}: {texts[1]}")
        if 1 <= len(texts) <= 4:
            titles.extend(texts)
    return tuple(titles)


def _trim(grid: Grid, first: int, last: int, another: bool, heads: tuple[Head, ...]) -> int:
    """Take the titles of the next table off the end of this one."""
    columns = [head.column for head in heads]
    while another and last >= first and columns:
        filled = sum(1 for c in range(min(columns), max(columns) + 1) if not is_blank(grid.at(last, c)))
        if filled > 1:
            break
        last -= 1
    return last


def is_totals_label(text: str) -> bool:
    """Say whether a text heads a row that sums up others.

    >>> is_totals_label("Sum (ignore)"), is_totals_label("Meanwhile Hill"), is_totals_label("SD/43")
    (True, False, False)
    """
    plain = text.strip()
    return bool(_TOTALS.match(plain)) and not re.fullmatch(r"[^\W\d_]{1,6}[-_/ .]?\d{1,5}\w?", plain)


def turned(grid: Grid) -> Grid:
    """Lay a sheet on its side: rows become columns; places are still named as they stand in the file."""
    flat = Grid(
        grid.name,
        {(column, row): cell for (row, column), cell in grid.cells.items()},
        [(c1, r1, c2, r2) for r1, c1, r2, c2 in grid.merged],
        grid.hidden,
        comments=grid.comments,
        is_csv=grid.is_csv,
    )
    flat.turned = True
    return flat
