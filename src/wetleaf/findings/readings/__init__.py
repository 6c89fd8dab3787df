"""Stored rows to arrays, and results back: the only files of this step that call `numerics` or `wording`.

`words.py` what was said, `liking.py` which lots are liked, `profiles.py` how strongly, `years.py` against
last year, `maps.py` where they stand, `panels.py` how each person tasted in a flight and `alone.py` over the
season, `trials.py` trials of difference and preferences, `preferred.py` lots ranked by pairs. `cups.py` says
which scores may stand in one table: one scale, blind or open, never both.
"""
