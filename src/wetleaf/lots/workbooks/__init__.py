"""Merchants' workbooks: read whatever way they are kept, and written back so that they can be read again.

No database here: a file goes in, a `ReadBook` comes out, with every problem named by sheet and cell.
`sheets.intake` stores what was read; `wetleaf import --dry-run` only shows it.

Open `reading.py` first: `read_book` walks a file from its bytes to its records. What it makes is in
`records.py`. Then, in the order of the work:

1. Opening a file: `opening.py`, and `containers.py`, `opening_xlsx.py`, `opening_ods.py`,
   `opening_csv.py` (`other_text.py` refuses what is no table), `safe_xml.py`; all give the same `grid.py`.
2. Finding its tables: `tables_of_book.py` asks `tables.py` (with `header_rows.py`, `heads.py`) where
   they are, and `lying.py` for those on their side; what they tell each other is in `known_of_book.py`.
3. Saying what they are: `recognising.py` tries every kind of table. `headings.py` knows the words of
   `headers.toml`, `column_fit.py` rates the cells, `fields_of_columns.py` weighs both,
   `lot_columns_by_content.py` and `first_pass_by_content.py` help where no head is known, `score_heads.py`
   parts who from what (`tasting_words.py`), `keys.py` knows keys of blind codes, `scores_beside_lots.py`
   scores in a list of lots, `unread_tables.py` what is left; `totals.py` drops sums. The answer is in
   `recognised.py`; a person overrides it by `mapping.py`.
4. Reading them, each kind in its file: `lots_reading.py` (a cell in `lot_values.py`, a date in
   `dates_reading.py`, what is odd beside other rows in `lot_checks.py`), `samples_reading.py`
   (`sample_kinds.py`), `keys_reading.py`, `scores_reading.py` (`score_rows.py`, `repeats.py`,
   `score_names.py`, `score_values.py`), `verdict_words.py`, `likings_in_words.py`,
   `notes_reading.py`, `trials_reading.py`, `house_reading.py`, `sittings_joined.py`. `context.py` holds
   what the whole book tells, `naming.py` who and what a spelling means, `kinds.py` every kind of
   problem.
5. Showing it: `sheet_reports.py`, `as_text.py`, `as_json.py` (`values_as_json.py`).
6. Writing one: `writing.py`, with `layout.py` for the sheets and `written_forms.py` for the values.
"""
