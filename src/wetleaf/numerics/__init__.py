"""The mathematics: arrays and plain values in, frozen records out.

No files, no clock, no database, no global chance.

A file or a folder for each question. May import numpy, scipy and the plain values of `trade`.
Every method has its entry in docs/reference/methods.md: formula, assumptions, what it can claim, source.
"""
