"""What the cups say: profiles, continuity, shortlists, and the decision book with its drawings.

`readings.py` turns stored rows into arrays and is the only file that calls `numerics` and `wording`.
May import `sheets`, `numerics`, `wording` and what stands before them.
"""
