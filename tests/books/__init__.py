"""Seeded makers of messy buyers' workbooks, the truth about each, and a scorer of what the importer read.

Everything in the books is invented: every tea, producer, taster and price; only districts and cultivars
are real.
The books are a held-out trial of `wetleaf import`: nothing here knows how the importer works.

Open first: `maker.py` (`make_book`), then `score_reading.py` (`python -m tests.books.score_reading
--seeds 1-40`), `broken.py` (files that must be refused in one line). The shape of the truth follows the
development set's README.
"""
