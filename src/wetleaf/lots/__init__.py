"""The books: producers, lots and their children, samples, the leaf ledger in grams, lines, offers.

`workbooks/` reads and writes what merchants keep in spreadsheets. Open `models.py` first, then `actions.py`,
`offers.py`, `makings.py` (lots from lots), `ledger.py` (grams), `facts.py` (what holds now),
`corrections.py` (facts put right), `doubts.py` (what to look at again), `intake/`.
May import `people` and what stands before it.
"""
