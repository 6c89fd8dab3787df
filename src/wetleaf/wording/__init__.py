"""The reading of words: a note is split into its phrases, by stage, with what was denied kept apart.

May import the standard library and `trade`.
"""
