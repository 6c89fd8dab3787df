"""The lots of a workbook onto the books; each file takes in one kind of thing. Open `book.py` first.

Called by `sheets.intake.store_book` inside its transaction. A later workbook adds only what it says anew.
"""
