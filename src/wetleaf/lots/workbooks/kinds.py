"""The kinds of problems a cell can have: how much each matters, why, and what to do about it.

error: must not be used before a person has answered. warn: usable, but shown as inferred or asked.
info: tidied without a question, and traceable to the cell.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from wetleaf.lots.workbooks.grid import Grid, as_text
from wetleaf.lots.workbooks.records import Problem, Severity


@dataclass(frozen=True)
class Kind:
    """A kind of problem: its usual severity, why it is one, what to do."""

    severity: Severity
    why: str
    do: str


_KEEP = "Nothing: it is read so. Change the cell if that is not meant."
_WRITE_NUMBER = "Write the number, or leave the cell empty."

KINDS: Mapping[str, Kind] = {
    # tidied
    "stray_space": Kind("info", "a space stands before or after it", _KEEP),
    "decimal_comma": Kind("info", "a decimal comma", _KEEP),
    "decimal_point": Kind("info", "a decimal point where the column uses commas", _KEEP),
    "thousands_dot": Kind("info", "a dot parts the thousands", _KEEP),
    "number_as_text": Kind("info", "a number stored as text", _KEEP),
    "fraction_of_scale": Kind("info", "written as a share of the scale", _KEEP),
    "vulgar_fraction": Kind("info", "a fraction written as a sign", _KEEP),
    "formula": Kind("info", "a formula; its last value is used", _KEEP),
    "two_digit_year": Kind("info", "the year has two digits", _KEEP),
    "era_year": Kind("info", "a year of another calendar", _KEEP),
    "date_as_text": Kind("info", "a date written as text", _KEEP),
    "jin": Kind("info", "a jin: 600 g in Taiwan, 500 g on the mainland", _KEEP),
    "tael": Kind("info", "a tael: 37.5 g in Taiwan, 50 g on the mainland", _KEEP),
    "multiplied": Kind("info", "a count times a weight", _KEEP),
    "further_words": Kind("info", "words stand beside the number; only the number is used", _KEEP),
    "unit_differs_from_header": Kind(
        "info", "another unit than the column's head says; the cell's own is used", _KEEP
    ),
    "preference_by_code": Kind("info", "the winner is written as a code, not as A or B", _KEEP),
    "tie": Kind("info", "no preference", _KEEP),
    "hidden_sheet": Kind(
        "info", "the sheet is hidden, so it is not read", "Show the sheet and import again if it counts."
    ),
    "unit_in_cell": Kind("info", "a unit stands beside the number", _KEEP),
    "liking_in_words": Kind(
        "info", "a liking stands in the remark; it is kept as one, the words as words", _KEEP
    ),
    "unit_from_title": Kind("info", "what the head leaves out of the price stands in a title", _KEEP),
    "section_of_class": Kind("info", "a lone text that names a class: that of the lots below it", _KEEP),
    "not_a_row": Kind("info", "a lone text between the rows, not a record", "Nothing, if it is a heading."),
    # inferred, or to be asked
    "thousands_dot_alone": Kind(
        "warn", "the dot is taken for thousands, as the column and the size suggest", "Check the number."
    ),
    "ambiguous_number": Kind(
        "warn", "the sign before three digits may part thousands or decimals", "Check the number."
    ),
    "missing_mark": Kind("warn", "marked as having no value", "Fill in the value if it is known."),
    "missing": Kind("warn", "no answer", "Fill in the answer if there was one."),
    "no_year": Kind("warn", "no year is written", "Add the year."),
    "unknown_unit": Kind("warn", "a unit of no fixed weight", "Write the weight in kg or g."),
    "no_unit": Kind(
        "warn", "a number without its unit", "Write the unit, in the cell or in the column's head."
    ),
    "no_currency": Kind(
        "warn",
        "no currency is written, in the cell or in the column's head",
        "Write the currency in the column's head.",
    ),
    "no_price_weight": Kind(
        "warn",
        "the weight that the price buys is not written",
        "Write it in the column's head: /kg, /jin, /100 g.",
    ),
    "currency_differs_from_header": Kind(
        "warn", "another currency than the column's head says", "Check that the cell's own currency is meant."
    ),
    "currency_inferred": Kind(
        "warn",
        "the sign stands for several currencies; the place or the column tells which",
        "Write the currency out.",
    ),
    "serial_without_date_format": Kind(
        "warn", "a spreadsheet's day number shown as a plain number", "Format the cell as a date."
    ),
    "ambiguous_date": Kind(
        "warn",
        "day and month could be swapped; the book's other dates say which comes first",
        "Write the month as a word.",
    ),
    "doubtful": Kind("warn", "marked as doubtful", "Ask, or take the mark away."),
    "bound": Kind("warn", "a bound, not a number", "Write the number if it is known."),
    "range": Kind("warn", "two numbers, not one", "Write one number if one is meant."),
    "censored": Kind(
        "warn", "a bound, not a number; it never becomes one in silence", "Write the number if it is known."
    ),
    "taster_alias": Kind("warn", "another spelling of a taster", "Confirm that it is the same person."),
    "sample_alias": Kind(
        "warn", "another spelling of a sample's code", "Confirm that it is the same sample."
    ),
    "sample_by_name": Kind("warn", "the tea's name stands where its code should", "Write the code."),
    "zero_price": Kind("warn", "a price of nothing", "Write the price, or leave the cell empty."),
    "year_only": Kind("warn", "only a year: days cannot be counted", "Write the day."),
    "filled_from_above": Kind(
        "warn", "empty; the name above is taken to hold on", "Write the name in every row."
    ),
    "ditto": Kind("warn", "a ditto mark; the cell above is repeated", "Write the words out."),
    "formula_as_text": Kind(
        "warn",
        "a text that begins like a formula; it is kept as text and never computed",
        "Check that this is the name.",
    ),
    "scale_inferred": Kind(
        "warn", "no scale is written; the numbers suggest one", "Write the scale in the title, as (0-100)."
    ),
    "no_taster": Kind(
        "warn", "nobody is named on this sheet", "Add a column with the taster, or name them in the title."
    ),
    "no_code": Kind("warn", "the lot has no code; it can be tasted only under one", "Give it a code."),
    "remark_in_cell": Kind("warn", "words stand beside the score", "Move the words to a note."),
    "percent_from_fraction": Kind(
        "warn", "a number between 0 and 1, taken for a share of one", "Write it as a percentage."
    ),
    "days_contradict_dates": Kind(
        "warn", "the days do not agree with the dates; the dates are used", "Correct one of them."
    ),
    "lone_lot_cell": Kind(
        "warn", "a row with nothing but this; it is not read as a lot", "Fill in the row, or delete it."
    ),
    "unknown_verdict": Kind("warn", "the verdict is none of keep, maybe, no", "Write keep, maybe or no."),
    "repeats_counted": Kind(
        "warn",
        "each taster scored each sample more than once and no column says which pot; the rows are counted",
        "Add a column Pot.",
    ),
    "sample_code_twice": Kind(
        "warn",
        "two samples of this list carry the same code, so what is scored under it cannot be told apart",
        "Give each sample a code of its own.",
    ),
    "same_cup_twice": Kind(
        "warn",
        "scored before by the same taster: a second pot, or two samples that share this code",
        "Give each sample a code of its own, or number the pots in a column Pot.",
    ),
    "lot_under_two_codes": Kind(
        "warn",
        "two blind codes are the same lot; each is kept as a pot of its own",
        "Nothing, if it was poured twice; else correct the key.",
    ),
    "further_cup": Kind(
        "warn",
        "this cup has another score already; this one is kept as a further cup",
        "Number the pots in a column Pot, or correct one of the two.",
    ),
    "copied_cups": Kind(
        "warn",
        "these cups repeat others of the same lot and taster in every answer, more than chance would",
        "Delete the rows if they were pasted twice.",
    ),
    "cups_told_twice": Kind(
        "warn",
        "the same pot of the same lot, scored the same by the same taster: it counts once",
        "Nothing, if it is the same cup; else give each pot a number of its own.",
    ),
    "copied_taster": Kind(
        "warn",
        "all scores of this taster equal another's, more than chance would",
        "Join the two names in a mapping file if it is one person.",
    ),
    "cross_taken_for": Kind("warn", "an x may mark a tea or cross it out", "Write keep, maybe or no."),
    "table_not_read": Kind(
        "warn",
        "this looks like a table of scores, but its heads are not known, so nothing of it is read",
        "Name its columns in a mapping file, or head them Sample and by what was scored.",
    ),
    "column_not_read": Kind(
        "warn", "this may be meant, but is not sure enough to be used", "Name the column in a mapping file."
    ),
    "uncertain_column": Kind(
        "warn", "the column's head is not certain to mean this", "Confirm it, or name it in a mapping file."
    ),
    # must be answered first
    "implausible_elevation": Kind(
        "error", "no tea grows there", "Ask for the elevation; a zero too many, or feet?"
    ),
    "implausible_percent": Kind("error", "a percentage below 0 or above 100", "Ask for it."),
    "implausible_date": Kind("error", "no tea on offer is that old", "Ask for the date."),
    "future_date": Kind("error", "the date lies in the future, or after the tasting", "Ask for the date."),
    "negative_price": Kind("error", "a price below zero", "Ask for the price."),
    "negative_weight": Kind("error", "a weight below zero", "Ask for the weight."),
    "ambiguous_currency": Kind(
        "error",
        "the sign stands for several currencies and nothing here tells which",
        "Write the currency as its three letters.",
    ),
    "ambiguous_jin": Kind(
        "error",
        "a jin is 600 g in Taiwan and 500 g on the mainland; nothing here tells which",
        "Write the place, or the grams.",
    ),
    "ambiguous_tael": Kind(
        "error",
        "a tael is 37.5 g in Taiwan and 50 g on the mainland; nothing here tells which",
        "Write the place, or the grams.",
    ),
    "no_unit_weight": Kind(
        "error",
        "a weight without its unit, and no other cell tells it",
        "Write kg or g in the column's head.",
    ),
    "not_a_date": Kind(
        "error",
        "this is not read as a date",
        "Write it as 2025-04-18, or as precisely as it is known: late April 2025.",
    ),
    "no_such_day": Kind("error", "there is no such day", "Correct the date."),
    "not_understood": Kind(
        "error", "this is not read as a value of its column", "Write the number with its unit."
    ),
    "duplicate_lot_code": Kind(
        "error",
        "two lots carry the same code; they are never merged in silence",
        "Give each lot a code of its own.",
    ),
    "sample_code_ambiguous": Kind(
        "error", "tasted under a code that two lots carry", "Say which of the lots was in the cup."
    ),
    "sample_kind_unknown": Kind(
        "warn",
        "this is no known kind of sample; it is taken for an offer sample",
        "Write offer, roast trial, pre-shipment, arrival or kept.",
    ),
    "blind_code_twice": Kind(
        "error", "the key gives this code to more than one lot", "Say which lot stood under it."
    ),
    "unknown_sample": Kind("error", "no lot carries this code", "Correct the code, or add the lot."),
    "ambiguous_sample": Kind("error", "this may be one of several samples", "Write the whole code."),
    "ambiguous_taster": Kind("error", "this may be one of several tasters", "Write the whole name."),
    "missing_taster": Kind("error", "a score with no taster", "Write who gave it."),
    "missing_sample": Kind("error", "a score with no sample", "Write which sample it was."),
    "missing_attribute": Kind("error", "a score with no attribute", "Write what was scored."),
    "other_season": Kind(
        "error", "the sheet speaks of another season than the one asked for", "Leave it out, or map it."
    ),
    "scored_twice": Kind("error", "this cup has two scores", "Say which of the two is right."),
    "out_of_range": Kind("error", "outside the scale", _WRITE_NUMBER),
    "not_a_number": Kind("error", "not a number, in a score cell", _WRITE_NUMBER),
    "other_scale": Kind(
        "error", "a share of another scale than the sheet's", "Write the score on the sheet's scale."
    ),
    "error_value": Kind("error", "the formula gives an error", "Mend the formula or write the value."),
    "score_became_date": Kind(
        "error", "the spreadsheet has turned a score into a date; the score cannot be told", _WRITE_NUMBER
    ),
    "winner_not_in_pair": Kind(
        "error", "the winner is neither A nor B", "Write A, B, or = for no preference."
    ),
    "same_pair": Kind("error", "A and B are the same sample", "Write which two were compared."),
    "no_odd_cup": Kind(
        "error", "all three cups hold the same sample", "Correct the cups, or leave the trial out."
    ),
    "odd_cup_contradicts_cups": Kind(
        "error", "the cups tell another odd cup than the sheet says", "Say which of the two is right."
    ),
    "three_samples": Kind(
        "error",
        "three different samples: a triangle has two cups alike",
        "Correct the cups, or leave the trial out.",
    ),
    "taste_before_roast": Kind("error", "tasted before it was roasted", "Correct one of the two dates."),
}

_SHOWN_AS = {"thousands_dot_alone": "thousands_dot", "no_unit_weight": "no_unit"}


class Problems:
    """The list that every reader adds to; each cell keeps each kind once."""

    def __init__(self) -> None:
        self._found: dict[tuple[str | None, str | None, str, str], Problem] = {}

    def add(
        self,
        grid: Grid,
        row: int,
        column: int,
        kind: str,
        *,
        severity: Severity | None = None,
        why: str = "",
        do: str = "",
        says: str | None = None,
    ) -> None:
        """Name a cell's problem; a merged cell is named where its value stands."""
        home_row, home_column, cell = grid.shown(row, column)
        known = KINDS[kind]
        text = (
            says
            if says is not None
            else (cell.formula and f"{cell.formula} → {as_text(cell.value)}") or as_text(cell.value)
        )
        place = grid.name_of(home_row, home_column)
        self._keep(
            Problem(
                None if grid.is_csv else grid.name,
                place,
                text,
                _SHOWN_AS.get(kind, kind),
                severity or known.severity,
                why or known.why,
                do or known.do,
                record=str(grid.row_in_file(home_row, home_column)),
            )
        )

    def about_book(self, says: str, kind: str, *, sheet: str | None = None, why: str = "") -> None:
        """Name a problem of no one cell."""
        known = KINDS[kind]
        self._keep(Problem(sheet, None, says, kind, known.severity, why or known.why, known.do))

    def _keep(self, problem: Problem) -> None:
        self._found.setdefault(
            (problem.sheet, problem.cell, problem.kind, problem.says if not problem.cell else ""), problem
        )

    def all(self) -> tuple[Problem, ...]:
        """Give every problem found so far, in the order found."""
        return tuple(self._found.values())
