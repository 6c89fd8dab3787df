"""What goes wrong outside of the program, said in one line: bad input, files, disks, a busy database."""

import os
import sys
from typing import TextIO

# typer carries its own click; this is the base of every "no such option" and "missing argument".
from typer._click.exceptions import ClickException

from wetleaf.trade.errors import BadInput


def refusal_of(slip: BaseException) -> BadInput | None:
    """Return what to say of a slip; None for one that is the program's own fault, which must stay loud."""
    if isinstance(slip, BadInput):
        return slip
    if isinstance(slip, ClickException):
        return _of_usage(slip)
    if isinstance(slip, OSError):
        return _of_files(slip)
    return _of_database(slip)


def _of_usage(slip: ClickException) -> BadInput:
    if not slip.format_message():  # the help was asked for by saying nothing, and is printed already
        return BadInput("")
    context = getattr(slip, "ctx", None)
    command = context.command_path if context is not None else "wetleaf"
    why = " ".join(slip.format_message().split())
    return BadInput(why if why.endswith((".", "?", "!")) else f"{why}.", way_out=f"See {command} --help.")


def _of_files(slip: OSError) -> BadInput:
    what = slip.filename if isinstance(slip.filename, str) and slip.filename else "what is to be printed"
    verb = "used" if slip.filename else "written"
    return BadInput(
        f"{what} cannot be {verb}: {slip.strerror or slip}.",
        way_out="Look at its name, its rights and the room on the disk.",
    )


def _of_database(slip: BaseException) -> BadInput | None:
    django_db = sys.modules.get("django.db")  # a command that asked no database has not loaded it
    if django_db is None or not isinstance(slip, django_db.OperationalError):
        return None
    said = " ".join(str(slip).split()).rstrip(".")
    if "locked" in said or "lock timeout" in said:
        return BadInput(
            f"the database is busy: another command has held it too long ({said}).",
            way_out="Nothing was stored. Wait until the other is done and try again.",
        )
    return BadInput(
        f"the database cannot be used: {said}.",
        way_out="Check that the workspace may be written, that the disk has room and that the server runs.",
    )


def leave_quietly(stream: TextIO) -> None:
    """Let Python not try once more to print what could not be printed."""
    try:
        number = stream.fileno()
        os.dup2(os.open(os.devnull, os.O_WRONLY), number)
    except (OSError, ValueError):  # a stream that is no file
        return
