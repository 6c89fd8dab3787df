"""The option `--on`: a day, as 2026-05-12, or today when it is left out."""

import datetime as dt
from typing import Annotated

import typer

DayOption = Annotated[
    dt.datetime | None,
    typer.Option(
        "--on", formats=["%Y-%m-%d"], help="The day, as 2026-05-12. [default: today]", show_default=False
    ),
]


def day_of(given: dt.datetime | None) -> dt.date | None:
    """Return the day that was given, or None."""
    return given.date() if given is not None else None
