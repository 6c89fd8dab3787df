"""From a file to a `ReadBook`: open it, find its tables, say what they are, read them, name every problem."""

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from wetleaf.lots.workbooks.context import Context, context_of
from wetleaf.lots.workbooks.copied_cups import ask_about_copies
from wetleaf.lots.workbooks.decisions_reading import read_decisions
from wetleaf.lots.workbooks.grid import Grid, Workbook, letters
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.house_reading import (
    date_in,
    read_ledger,
    read_lines,
    read_sittings,
)
from wetleaf.lots.workbooks.keys_reading import check_keys, read_keys
from wetleaf.lots.workbooks.lot_checks import check_harvests, duplicate_codes
from wetleaf.lots.workbooks.lots_reading import read_lots
from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.naming import SampleCodes, TasterNames
from wetleaf.lots.workbooks.notes_reading import (
    likings_of_notes,
    read_first_pass,
    read_loose_notes,
    read_notes,
)
from wetleaf.lots.workbooks.opening import open_workbook
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import (
    Cell,
    Column,
    LotRow,
    Note,
    ReadBook,
    SampleCode,
    Score,
    SheetReport,
    Sitting,
    Verdict,
)
from wetleaf.lots.workbooks.repeats import tell_scores_apart
from wetleaf.lots.workbooks.samples_reading import all_samples, read_samples
from wetleaf.lots.workbooks.score_names import Names, spellings, taster_of_sheet
from wetleaf.lots.workbooks.scores_reading import read_scores, read_wide_notes, scale_of
from wetleaf.lots.workbooks.seasons_apart import seasons_told
from wetleaf.lots.workbooks.sheet_reports import columns_of, lying_columns, public_role, report_of
from wetleaf.lots.workbooks.sittings_joined import joined_sittings, merged_sittings, sittings_of
from wetleaf.lots.workbooks.tables_of_book import TablesOfBook, read_grids
from wetleaf.lots.workbooks.trials_reading import read_preferences, read_retastes, read_triangles
from wetleaf.lots.workbooks.unread_tables import unread_scores
from wetleaf.trade.errors import BadInput

YEAR_UNSURE = dt.timedelta(days=330)


def read_book(path: Path | str, mapping: Mapping | None = None, *, today: dt.date | None = None) -> ReadBook:
    """Read a merchant's workbook or CSV: what would be stored, and every cell that could not be
    used as it stands.

    `mapping` overrides what recognition says; `today` is the day after which a harvest lies in the future.
    Raises `BadInput` for a file that is no readable table, or holds no record at all.
    """
    path = Path(path)
    book, digest = open_workbook(path)
    reader = _BookReader(book, path.name, mapping or Mapping(), today or dt.datetime.now(dt.UTC).date())
    return replace(reader.read(), digest=digest)


class _BookReader:
    """Walks the tables of one book in the order in which each helps to understand the next."""

    def __init__(self, book: Workbook, file: str, mapping: Mapping, today: dt.date) -> None:
        self.book, self.file, self.mapping = book, file, mapping
        self.grids = {grid.name: grid for grid in book.grids}
        self.certain_days: set[str] = set()  # sittings whose date is written with its year
        found = TablesOfBook(book, mapping)
        self.tables, self.loose, self.unread = found.tables, found.loose, found.unread
        self.known = found.known
        self.noted: set[str] = set()  # sheets whose loose lines were read as notes
        self.key = read_keys(self.tables, read_grids(book, self.mapping), found.known)
        self.context: Context = context_of(book, self.tables, file, today, mapping)

    def read(self) -> ReadBook:
        """Read every table."""
        lots, shared = self._lots()
        told = [s for one in self._of_role("samples") for s in read_samples(one, lots, self.context)]
        names = self._names(lots, told)
        scores, sittings, reports, wide_notes = self._scores(names)
        self._note_when_tasted(scores, sittings)
        lots = check_harvests(lots, self._lot_grids(), self.context)
        book = self._others(names, lots, scores, sittings, reports, wide_notes)
        book = replace(book, samples=all_samples(book, lots, told, shared, names.samples.exact))
        for sample in book.samples:
            if sample.ambiguous and any(score.sample == sample.code for score in book.scores):
                self.context.problems.about_book(sample.code, "sample_code_ambiguous")
        ask_about_copies(book, self.grids, self.context)
        self._name_unread()
        self._refuse_if_nothing(book)
        return replace(book, problems=self._sorted_problems())

    def _of_role(self, *roles: str) -> list[Recognised]:
        return [one for one in self.tables if one.role in roles]

    def _lot_grids(self) -> dict[str, Grid]:
        return {one.table.name: one.table.grid for one in self._of_role("lots")}

    def _lots(self) -> tuple[list[LotRow], set[str]]:
        lots = [lot for one in self._of_role("lots") for lot in read_lots(one, self.context)]
        return lots, duplicate_codes(lots, self._lot_grids(), self.context)

    def _names(self, lots: list[LotRow], told: list[SampleCode]) -> Names:
        tasters: Counter[str] = Counter()
        samples: Counter[str] = Counter()
        for one in self.tables:
            if one.role in ("lots", "key"):
                tasters.update(said.taster for said in one.judged.values())
                continue
            for kind, text in spellings(one):
                (tasters if kind == "taster" else samples)[text] += 1
        for one in self._of_role("scores_wide", "scores_long", "notes"):
            if one.column_of("taster") is None and not one.names_tasters:
                named = taster_of_sheet(one, None, self.mapping.sheet(one.table.name).taster)
                tasters[named] += len(one.table.rows) if named else 0
        named_sheets = self._sheets_named_after_tasters()
        tasters.update(named_sheets)
        codes = [(lot.code, lot.name) for lot in lots if lot.code]
        codes += [(sample.code, None) for sample in told if codes]
        codes = codes or [(line.lot, None) for line in self.key.lines]
        codes_of_book = SampleCodes(codes, samples, self.mapping.samples)
        check_keys(self.key, codes_of_book, self.context)
        return Names(TasterNames(tasters, self.mapping.tasters), codes_of_book, self.key)

    def _sheets_named_after_tasters(self) -> Counter[str]:
        """Two or more score sheets of the same shape without a taster column are named after their
        tasters.
        """
        wide = self._of_role("scores_wide")
        bare = [one for one in wide if one.column_of("taster") is None and not one.names_tasters]
        shapes = Counter(_shape(one) for one in bare)
        return Counter(
            {
                _without_date(one.table.name): len(one.table.rows)
                for one in bare
                if shapes[_shape(one)] >= 2
                and _is_a_name(_without_date(one.table.name))
                and not taster_of_sheet(one, None)
            }
        )

    def _scores(self, names: Names) -> tuple[list[Score], list[Sitting], list[SheetReport], list[Note]]:
        scores: list[Score] = []
        sittings: list[Sitting] = []
        reports: list[SheetReport] = []
        notes: list[Note] = []
        for one in self._of_role("scores_long", "scores_wide"):
            scale, here = scale_of(one, self.context), names.at(one)
            taster = self._taster_of(one, names)
            read = read_scores(one, here, self.context, scale, taster)
            scores += read
            notes += read_wide_notes(one, here, taster, self.context)
            held = sittings_of(one, scale, read, self.context)
            sittings += held
            texts = (one.table.name, *one.table.titles)
            self.certain_days |= {
                s.name for s in held if date_in((s.name, *texts), self.context, year_written=True)
            }
            reports.append(report_of(one, scale))
        grids = {one.table.name: one.table.grid for one in self._of_role("scores_long", "scores_wide")}
        scores = tell_scores_apart(scores, grids, self.context)
        return scores, merged_sittings(sittings), reports, notes

    def _taster_of(self, one: Recognised, names: Names) -> str:
        if one.column_of("taster") is not None or one.heads_name_all:
            return ""
        taster = taster_of_sheet(one, names.tasters, self.mapping.sheet(one.table.name).taster)
        if not taster:
            head = one.by_field.get("sample") or one.table.heads[0]
            self.context.problems.add(one.table.grid, max(one.table.header_rows), head.column, "no_taster")
        return taster

    def _note_when_tasted(self, scores: list[Score], sittings: list[Sitting]) -> None:
        """Keep for each sample the last day on which it can have been picked: that of its first tasting."""
        held = {sitting.name: sitting.held_on for sitting in sittings if sitting.held_on}
        for score in scores:
            day = held.get(score.sitting)
            if day is None or not score.sample or score.status == "missing":
                continue
            if score.sitting not in self.certain_days:
                day += YEAR_UNSURE  # its year is inferred and may be the next
            self.context.tasted[score.sample] = min(day, self.context.tasted.get(score.sample, day))

    def _others(
        self,
        names: Names,
        lots: list[LotRow],
        scores: list[Score],
        sittings: list[Sitting],
        reports: list[SheetReport],
        notes: list[Note],
    ) -> ReadBook:
        context = self.context
        verdicts, words = self._first_pass(names)
        remarks, said = self._notes(names)
        loose = {grid.name: read_loose_notes(grid, names) for grid in self._free()}
        notes = [*notes, *remarks, *words, *(note for found in loose.values() for note in found)]
        self.noted = {name for name, found in loose.items() if found}
        listed = [s for one in self._of_role("sittings") for s in read_sittings(one, context)]
        return ReadBook(
            self.file,
            "",
            self.book.kind,
            self._roles(loose),
            self._columns(),
            tuple(lots),
            (),
            tuple(joined_sittings(listed, sittings)),
            tuple(scores),
            tuple(notes),
            (*verdicts, *said),
            tuple(
                p
                for one in self._of_role("preferences")
                for p in read_preferences(one, names.at(one), context)
            ),
            tuple(
                t for one in self._of_role("triangle") for t in read_triangles(one, names.at(one), context)
            ),
            tuple(r for one in self._of_role("retaste") for r in read_retastes(one, names.at(one), context)),
            tuple(e for one in self._of_role("ledger") for e in read_ledger(one, names.at(one), context)),
            tuple(line for one in self._of_role("lines") for line in read_lines(one, context)),
            decisions=tuple(
                d for one in self._of_role("decisions") for d in read_decisions(one, names.at(one), context)
            ),
            comments=self._comments(),
            taster_aliases=names.tasters.aliases(
                t for one in self.tables for k, t in spellings(one) if k == "taster"
            ),
            season=context.season,
            sheets=tuple(self._sheet_reports(reports, loose)),
            encoding=self.book.encoding,
            separator=self.book.separator,
            sheet_seasons=seasons_told(self.tables, self.mapping, context.today),
        )

    def _notes(self, names: Names) -> tuple[list[Note], list[Verdict]]:
        """The remarks of tables of notes, and the likings that stand in them."""
        notes: list[Note] = []
        likings: list[Verdict] = []
        for one in self._of_role("notes"):
            read = read_notes(one, names.at(one), self.context, self._quiet_taster(one, names))
            notes += read
            likings += likings_of_notes(read, one.table.grid, self.context)
        return notes, likings

    def _first_pass(self, names: Names) -> tuple[list[Verdict], list[Note]]:
        """The verdicts over lots, and the words that stand beside them."""
        asked = [
            *self._of_role("lots", "verdicts"),
            *(one for one in self._of_role("scores_wide") if one.judged),
        ]
        first = [read_first_pass(one, names.at(one), self.context) for one in asked]
        return [v for found, _ in first for v in found], [n for _, found in first for n in found]

    def _quiet_taster(self, one: Recognised, names: Names) -> str:
        if one.column_of("taster") is not None:
            return ""
        return taster_of_sheet(one, names.tasters, self.mapping.sheet(one.table.name).taster)

    def _role_of(self, grid: Grid, loose: dict[str, list[Note]]) -> str:
        if grid.hidden:
            return "hidden_sheet"
        if not grid.cells:
            return "empty"
        roles = [public_role(one) for one in self.tables if one.table.name == grid.name]
        if roles:
            return roles[0]
        return "notes_free" if loose.get(grid.name) else "scratch"

    def _roles(self, loose: dict[str, list[Note]]) -> dict[str, str]:
        return {grid.name: self._role_of(grid, loose) for grid in self.book.grids}

    def _columns(self) -> tuple[Column, ...]:
        return tuple(
            column
            for one in self.tables
            for column in (lying_columns(one) if one.table.grid.turned else columns_of(one))
        )

    def _sheet_reports(self, scored: list[SheetReport], loose: dict[str, list[Note]]) -> list[SheetReport]:
        done = {(report.sheet, report.header_rows, report.role): report for report in scored}
        reports: list[SheetReport] = []
        for grid in self.book.grids:
            own = [one for one in self.tables if one.table.name == grid.name]
            reports += [
                done.get((one.table.name, one.table.header_rows, public_role(one))) or report_of(one, None)
                for one in own
            ]
            if not own:
                reports.append(SheetReport(grid.name, self._role_of(grid, loose)))
            if grid.hidden:
                self.context.problems.about_book(grid.name, "hidden_sheet", sheet=grid.name)
        return reports

    def _name_unread(self) -> None:
        """Warn of every sheet or table that looks like scores and is not read."""
        for grid, rows in self._not_read():
            found = unread_scores(grid, self.known, rows)
            if found is not None:
                self.context.problems.add(grid, *found, "table_not_read", says=grid.name or self.file)

    def _not_read(self) -> Iterator[tuple[Grid, list[int] | None]]:
        yield from ((grid, None) for grid in self._free() if grid.name not in self.noted)
        names = {grid.name for grid in self.loose}
        for table in self.unread:
            if table.name not in names and not table.grid.turned:
                yield table.grid, table.rows

    def _free(self) -> list[Grid]:
        """The sheets without a table, but not those that the mapping file calls scratch: these are unread."""
        return [grid for grid in self.loose if self.mapping.sheet(grid.name).role != "scratch"]

    def _comments(self) -> tuple[Cell, ...]:
        return tuple(
            Cell(grid.name, f"{letters(column)}{row}", text, native="comment")
            for grid in read_grids(self.book, self.mapping)
            for (row, column), text in sorted(grid.comments.items())
            if text
        )

    def _sorted_problems(self) -> tuple:  # type: ignore[type-arg]
        order = {grid.name: number for number, grid in enumerate(self.book.grids)}
        return tuple(
            sorted(
                self.context.problems.all(), key=lambda p: (order.get(p.sheet or "", 99), *_by_row(p.cell))
            )
        )

    def _refuse_if_nothing(self, book: ReadBook) -> None:
        if any(
            (
                book.lots,
                book.scores,
                book.notes,
                book.verdicts,
                book.preferences,
                book.triangles,
                book.retastes,
                book.ledger,
                book.lines,
                book.decisions,
            )
        ):
            return
        raise self._nothing_found()

    def _nothing_found(self) -> BadInput:
        if any(one.role != "key" for one in self.tables):
            return BadInput(
                f"{self.file}: there are headers but no rows, so no lots and no scores.",
                way_out="Fill in at least one row and retry.",
            )
        unread = [p for p in self.context.problems.all() if p.kind == "table_not_read"]
        where = "".join(
            f" {p.sheet or 'It'} looks like scores, but its heads are not known." for p in unread[:1]
        )
        return BadInput(
            f"{self.file}: no table of lots, scores or notes was found.{where}",
            way_out="Give the columns heads such as Lot, Tea, Price; or name them in a mapping file.",
        )


def _by_row(cell: str | None) -> tuple[int, int, str]:
    if cell is None:
        return (10**9, 0, "")
    name = cell.rstrip("0123456789")
    return (int(cell[len(name) :] or 0), len(name), name)


def _shape(one: Recognised) -> tuple[str, ...]:
    return tuple(sorted(fold(head.text) for head in one.score_heads))


def _without_date(name: str) -> str:
    return re.sub(r"\s*\d{1,2}\.?\s*[^\W\d_]{3,9}\.?(?:\s*\d{2,4})?$|\s*[\d./-]{4,}$", "", name).strip()


def _is_a_name(text: str) -> bool:
    words = text.split()
    return 1 <= len(words) <= 3 and all(word.strip(".").isalpha() for word in words)
