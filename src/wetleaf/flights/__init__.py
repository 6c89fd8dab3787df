"""Samples tasted together: a flight, its brews and its cups. Open `models.py` first.

May import `lots` and what stands before it.
"""
