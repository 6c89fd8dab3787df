"""The book of a season put together: what the readings found, in sentences, each number with its ground.

Open `books.py` first: `assemble_season_book` calls the others in the order of the pages.
"""

from wetleaf.findings.assembling.books import assemble_season_book, book_of

__all__ = ["assemble_season_book", "book_of"]
