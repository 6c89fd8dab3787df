"""Merchants' workbooks: read whatever way they are kept, and written back so that they can be read again.

No database here: a file goes in, a `ReadBook` (see `records.py`) comes out, with every problem named by sheet
and cell. `sheets.intake` stores what was read; `wetleaf import --dry-run` only shows it.
"""
