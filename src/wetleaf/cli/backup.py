"""`wetleaf backup`: a copy of the database that is whole even while others write."""

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path

import typer

from wetleaf.cli.workspace import WorkspaceOption, open_workspace
from wetleaf.trade.errors import BadInput


def backup(workspace: WorkspaceOption = None) -> None:
    """Copy the database into the workspace's folder backups and check the copy."""
    folder = open_workspace(workspace, writes=False)
    from django.db import connection

    if connection.vendor != "sqlite":
        raise BadInput("this workspace keeps its data in PostgreSQL.", way_out="Back it up with pg_dump.")
    now = dt.datetime.now(dt.UTC)
    copy = folder / "backups" / f"wetleaf-{now:%Y-%m-%d-%H%M%S}.sqlite3"
    copy_database(Path(connection.settings_dict["NAME"]), copy)
    typer.echo(f"Backed up to {copy}")


def copy_database(database: Path, copy: Path) -> None:
    """Copy an SQLite database page by page, as one moment saw it, and check that the copy is sound.

    SQLite's own backup interface is used, since copying the file would miss what still lies in its WAL.
    Raises BadInput, and leaves no half copy, when it cannot be written or is not sound.
    """
    copy.parent.mkdir(parents=True, exist_ok=True)
    try:
        verdict = _copied(database, copy)
    except sqlite3.Error as refusal:
        if copy.is_file():
            copy.unlink()
        raise BadInput(
            f"{copy} cannot be written: {refusal}.", way_out="Look at the rights and the room on the disk."
        ) from refusal
    if verdict != "ok":
        copy.unlink()
        raise BadInput(
            f"the database {database} is damaged: {verdict}.", way_out="Go back to an earlier backup."
        )


def _copied(database: Path, copy: Path) -> str:
    with closing(sqlite3.connect(database)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)
        return str(target.execute("PRAGMA integrity_check").fetchone()[0])
