"""The books: producers, lots and their children, samples, the leaf ledger in grams, lines, offers.

`workbooks/` reads and writes what merchants keep in spreadsheets. Open `models.py` first, then `actions.py`.
May import `people` and what stands before it.
"""
