"""Answers as they were given: scores, verdicts, remarks, preferences, difference trials, re-tastings.

Open `models.py` first. `intake.py` stores a workbook whole or not at all, `export.py` writes a season back.
Nothing here is computed and nothing is rewritten.
May import `flights` and what stands before it.
"""
