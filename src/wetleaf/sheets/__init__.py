"""Answers as they were given: scores, verdicts, remarks, preferences, difference trials, re-tastings.

Open `models.py` first. Nothing here is computed and nothing is rewritten.
May import `flights` and what stands before it.
"""
