"""`python -m wetleaf` is the command `wetleaf`."""

from wetleaf.cli.main import run

run()
