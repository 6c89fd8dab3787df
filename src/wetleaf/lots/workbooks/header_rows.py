"""Which rows of a sheet are headers, and over which columns each reaches."""

import re
from functools import lru_cache

from wetleaf.lots.workbooks.grid import Grid, GridCell, is_blank, is_lettered_code
from wetleaf.lots.workbooks.headings import all_ways, fold, header_forms, known_ways, likenesses
from wetleaf.lots.workbooks.heads import Strip, is_label, text_of, texts_in
from wetleaf.lots.workbooks.verdict_words import is_verdict

STRONG = 0.7
FEWEST_UNDER_GROUPS = 4  # heads under a row that groups them


def header_strength(texts: dict[int, str]) -> float:
    """Rate a row as a header: the most field names, each once, that it holds as some kind of table."""
    best = 0.0
    for role in known_ways():
        taken: dict[str, float] = {}
        least = 0.9 if role == "key" else STRONG  # its words are short and like names: `truth`, Ruth
        for text in texts.values():
            for like in likenesses(role, text)[:2]:
                if like.score >= least and like.field not in taken:
                    taken[like.field] = like.score
                    break
        if len(taken) >= 2:
            share = len(taken) / len(texts)
            best = max(best, sum(taken.values()) * (0.65 + 0.35 * share))
    return best


def _is_small_number(grid: Grid, row: int, column: int) -> bool:
    return text_of(grid, row, column) in ("1", "2", "3", "4")


def header_strips(grid: Grid) -> list[Strip]:
    """The rows of a sheet that head tables. Where no row names known fields, a row of labels over numbers
    will do.
    """
    search = _HeaderSearch(grid)
    for row in grid.filled_rows():
        search.look_at(row)
    return _in_order([*search.found, *_standing_apart(grid, search)]) if search.found else search.weak


def _in_order(strips: list[Strip]) -> list[Strip]:
    return sorted(strips, key=lambda strip: (strip.row, strip.first))


def _standing_apart(grid: Grid, search: "_HeaderSearch") -> list[Strip]:
    """Of the rows that head numbers above the first known header, those that begin with a known head."""
    first = min(strip.row for strip in search.found)
    return [
        strip
        for strip in search.weak
        if strip.row < first - 1 and _begins_after_a_gap(grid, strip, _labels(grid, strip))
    ]


class _HeaderSearch:
    """Goes down a sheet once: `found` are headers by their words, `weak` those that stand over numbers."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.found: list[Strip] = []
        self.weak: list[Strip] = []
        self.texts: list[tuple[Strip, tuple[str, ...]]] = []  # what the headers so far say
        self.firsts: set[object] = set()

    def look_at(self, row: int) -> None:
        repeated = self._repeated(row)
        if repeated is not None:
            self._again(repeated)
        elif not self.found or _worth_a_look(self.grid, row):
            for strip in _strips_of(self.grid, row):
                self._consider(strip)

    def _consider(self, strip: Strip) -> None:
        labels = _labels(self.grid, strip)
        if not labels:
            return
        if self._under_a_group_row(strip, labels):
            return
        if _may_start(self.grid, strip, labels, self.found) and header_strength(labels) >= 1.25:
            _keep(self.grid, strip, labels, self.found)
            self._remember(strip)
        elif not _heads_numbers(self.grid, strip, labels):
            return
        elif not any(f.over(strip) for f in self.found):
            self._consider_weak(strip)
        elif _begins_after_a_gap(self.grid, strip, labels):
            self.found.append(strip)
            self._remember(strip)

    def _under_a_group_row(self, strip: Strip, labels: dict[int, str]) -> bool:
        """Whether the header right above only groups the columns that this row heads: then this row takes
        its place.
        """
        for number, other in enumerate(self.found):
            if other.row == strip.row - 1 and other.over(strip) and _groups(self.grid, other, strip, labels):
                self.found[number] = Strip(
                    strip.row, min(strip.first, other.first), max(strip.last, other.last)
                )
                self._remember(self.found[number])
                return True
        return False

    def _consider_weak(self, strip: Strip) -> None:
        """The first row over numbers; a row of labels right under it is nearer and takes its place."""
        if self.weak and (len(self.weak) > 1 or self.weak[0].row != strip.row - 1):
            return
        if self.weak and _is_data(self.grid, strip, _labels(self.grid, strip)):
            return
        self.weak = [strip]
        self._remember(strip)

    def _remember(self, strip: Strip) -> None:
        texts = _all_texts(self.grid, strip.row)
        if len(texts) >= 3:
            self.texts.append((strip, texts))
            self.firsts.add(self.grid.cells[strip.row, self.grid.by_row[strip.row][0]].value)

    def _repeated(self, row: int) -> Strip | None:
        """The header that a row says again, word for word: the next table of the same columns."""
        if not self.texts or row - 1 <= self.texts[0][0].row:
            return None
        if self.grid.cells[row, self.grid.by_row[row][0]].value not in self.firsts:
            return None  # most rows of a long list end here
        texts = _all_texts(self.grid, row)
        return next((Strip(row, s.first, s.last) for s, said in self.texts if said == texts), None)

    def _again(self, strip: Strip) -> None:
        (self.found if self.found else self.weak).append(strip)


def _groups(grid: Grid, above: Strip, strip: Strip, labels: dict[int, str]) -> bool:
    """Whether a row labels only some of the columns that the row below heads one by one, over numbers."""
    grouping = texts_in(grid, above.row, above.first, above.last)
    if not set(grouping) < set(labels) or len(labels) < FEWEST_UNDER_GROUPS:
        return False
    return not _is_data(grid, strip, labels) and _heads_numbers(grid, strip, labels)


def _is_data(grid: Grid, strip: Strip, labels: dict[int, str]) -> bool:
    """Whether a row of labels begins with the code of a sample or holds verdicts: it heads nothing."""
    return is_lettered_code(grid.at(strip.row, min(labels))) or sum(map(is_verdict, labels.values())) >= 2


def _begins_after_a_gap(grid: Grid, strip: Strip, labels: dict[int, str]) -> bool:
    """Whether a row of labels under an empty row begins with a known head: a further table of scores.
    A row of groups may stand between.
    """
    return (
        len(labels) >= 3
        and fold(labels.get(strip.first, "")) in all_ways()
        and _gap_above(grid, strip.row, strip.first, strip.last)
    )


def _gap_above(grid: Grid, row: int, first: int = 1, last: int | None = None) -> bool:
    """Whether a row stands under an empty row or a lone title, or under groups with such a row above."""
    own, above, higher = (texts_in(grid, row - up, first, last) for up in range(3))
    groups = len(above) < len(own) and all(is_label(grid, row - 1, column) for column in above)
    return len(above) <= 1 or (groups and len(higher) <= 1)


def _all_texts(grid: Grid, row: int) -> tuple[str, ...]:
    """What stands in a row, if all of it is text, with its place."""
    columns = grid.by_row.get(row, ())
    if not all(isinstance(grid.cells[row, c].value, str) for c in columns):
        return ()
    return tuple(f"{c} {fold(text_of(grid, row, c))}" for c in columns)


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
    return plain == 1 and _gap_above(grid, row)


@lru_cache(maxsize=100_000)
def _plain(text: str) -> bool:
    return any(form in all_ways() or form in ("a", "b") for form, _ in header_forms(text)[:2])


def _labels(grid: Grid, strip: Strip) -> dict[int, str]:
    """The texts of a strip, if it is made of labels; beside two labels, cups may be headed 1, 2, 3."""
    texts = texts_in(grid, strip.row, strip.first, strip.last)
    labels = {c: t for c, t in texts.items() if is_label(grid, strip.row, c)}
    numbered = {c: t for c, t in texts.items() if _is_small_number(grid, strip.row, c)}
    if len(labels) < 2:
        return {}
    if len(numbered) >= 3 and len(set(numbered.values())) == len(numbered):
        labels |= numbered
    return labels if len(labels) >= 0.8 * len(texts) else {}


def _strips_of(grid: Grid, row: int) -> list[Strip]:
    """Cut a row where an empty column parts two things that can each stand alone."""
    texts = texts_in(grid, row)
    strips: list[Strip] = []
    for column in sorted(texts):
        end = _reach(grid, row, column)
        if strips and not _parted(grid, row, strips[-1].last + 1, column - 1):
            strips[-1] = Strip(row, strips[-1].first, end)
        else:
            strips.append(Strip(row, column, end))
    # An empty column inside one table: what stands left of it says which record, what stands right does not.
    return _joined(strips) if len(strips) > 1 and _are_one_header(grid, row, strips) else strips


def _joined(strips: list[Strip]) -> list[Strip]:
    return [Strip(strips[0].row, strips[0].first, strips[-1].last)]


def _are_one_header(grid: Grid, row: int, strips: list[Strip]) -> bool:
    """Whether the parts of a row are heads of one table, and no row of another table's data among them."""
    texts = texts_in(grid, row)
    if not all(is_label(grid, row, column) for column in texts):
        return False
    if [_has_identity(grid, strip) for strip in strips] != [True] + [False] * (len(strips) - 1):
        return False
    return all(_names_fields(grid, strip) and not _goes_on(grid, strip) for strip in strips[1:]) and (
        sum(_known(text) for text in texts.values()) >= 0.6 * len(texts)
    )


def _names_fields(grid: Grid, strip: Strip) -> bool:
    texts = list(texts_in(grid, strip.row, strip.first, strip.last).values())
    return sum(_known(text) for text in texts) >= 0.6 * len(texts)


def _goes_on(grid: Grid, strip: Strip) -> bool:
    """Whether as many cells stand right above: then this row goes on with a table that began there."""
    above = texts_in(grid, strip.row - 1, strip.first, strip.last)
    return len(above) >= max(2, len(texts_in(grid, strip.row, strip.first, strip.last)))


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


def _has_identity(grid: Grid, strip: Strip) -> bool:
    texts = texts_in(grid, strip.row, strip.first, strip.last)
    return len(texts) >= 2 and any(
        like.score >= 0.9 and like.field in _IDENTITY
        for text in texts.values()
        for role in known_ways()
        for like in likenesses(role, text)[:2]
    )


def _may_start(grid: Grid, strip: Strip, labels: dict[int, str], found: list[Strip]) -> bool:
    """A row inside a table is a new header only after a gap, or when it plainly names fields.

    Cheap looks come first: a long list has thousands of rows that are nothing but text.
    """
    before = [f for f in found if f.over(strip)]
    if before and strip.row > before[-1].row + 1:
        gap = any(
            len(texts_in(grid, r, strip.first, strip.last)) <= 1 for r in (strip.row - 1, strip.row - 2)
        )
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


def _keep(grid: Grid, strip: Strip, labels: dict[int, str], found: list[Strip]) -> None:
    """Of two header rows that stand together keep the one that names more; the other becomes its
    group row.
    """
    for number, other in enumerate(found):
        if other.over(strip) and strip.row == other.row + 1:
            if header_strength(labels) > header_strength(texts_in(grid, other.row, other.first, other.last)):
                found[number] = strip
            return
    found.append(strip)


def _is_number_or_verdict(cell: GridCell) -> bool:
    if not isinstance(cell.value, str):
        return True
    return bool(re.match(r"^\s*[\d.,½]+\s*$", cell.value)) or is_verdict(cell.value)


def _heads_numbers(grid: Grid, strip: Strip, labels: dict[int, str]) -> bool:
    below = range(strip.row + 1, min(strip.row + 4, grid.rows + 1))
    cells = [grid.at(r, c) for r in below for c in labels]
    filled = [cell for cell in cells if not is_blank(cell)]
    numbers = [cell for cell in filled if _is_number_or_verdict(cell)]
    return len(labels) >= 2 and len(filled) >= 2 and len(numbers) >= 0.4 * len(filled)
