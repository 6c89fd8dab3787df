"""Who tastes: the tasters and every way their names are written. Open `models.py` first.

May import `trade` and Django.
"""
