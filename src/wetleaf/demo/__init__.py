"""An invented merchant's two years, made by a seeded script: what `make demo` shows and tests look for.

Everything here is invented: merchant, producers, tasters, teas, prices, scores and words; only the districts
are real. `scenario.toml` holds what papers and first passes say, `cups.py` draws the scores from a known
model, `workbooks.py` keeps both as a merchant would, and `truth.py` says what a book of them must find.
"""
