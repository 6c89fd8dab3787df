"""The commands. Each calls an action of a step and prints what it answers; nothing is computed here.

Open `main.py` first: it lists every command.
"""
