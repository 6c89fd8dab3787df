"""The workspace: one folder with database, media and backups. Found, made on the first write, or refused."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer

from wetleaf.trade.errors import BadInput

WorkspaceOption = Annotated[
    Path | None,
    typer.Option(
        "--workspace",
        envvar="WETLEAF_WORKSPACE",
        help="The folder that holds the database. [default: workspace in the current folder]",
        show_default=False,
    ),
]
SeasonOption = Annotated[str, typer.Option("--season", "-s", help="The season, as it is named on the books.")]


def open_workspace(given: Path | None, *, writes: bool) -> Path:
    """Make Django ready on a workspace and return its folder; call it before anything touches the database.

    A command that `writes` makes the folder and its database when there are none; one that only reads is
    refused with `BadInput`. A database of an older version is brought up to date.
    """
    folder = (given or Path("workspace")).resolve()
    _refuse_other_than_folders(folder)
    if writes:
        _make_folder(folder)
    elif not has_books(folder):
        raise BadInput(
            f"there is no workspace at {folder}.",
            way_out="Import a workbook first (wetleaf import BOOK), which makes one, "
            "or name the folder with --workspace.",
        )
    _set_up_django(folder)
    _bring_up_to_date(folder)
    return folder


def open_to_serve(given: Path | None) -> Path:
    """Open a workspace for its pages: one that is there, or an empty folder that was made for one.

    A name mistyped must not become a workspace, so a folder that is missing or holds other things is refused.
    """
    folder = (given or Path("workspace")).resolve()
    is_empty = folder.is_dir() and not any(folder.iterdir())
    return open_workspace(folder, writes=is_empty)


def has_books(given: Path | None) -> bool:
    """Whether a workspace with a database is there, without opening it."""
    folder = given or Path("workspace")
    return (folder / "wetleaf.sqlite3").exists() or (
        folder.is_dir() and bool(os.environ.get("WETLEAF_DATABASE_URL"))
    )


def _refuse_other_than_folders(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise BadInput(
            f"{folder} is a file, a workspace is a folder.", way_out="Name a folder with --workspace."
        )


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as refusal:
        raise BadInput(
            f"the workspace {folder} cannot be made: {refusal.strerror}.",
            way_out="Choose another with --workspace.",
        ) from refusal


def _set_up_django(folder: Path) -> None:
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # many small matrices: threads only wait for each other
    import django
    from django.conf import settings
    from django.core.exceptions import ImproperlyConfigured

    if not settings.configured:
        os.environ["WETLEAF_WORKSPACE"] = str(folder)
        os.environ["DJANGO_SETTINGS_MODULE"] = "wetleaf.site.settings"
    try:
        django.setup()
    except ImproperlyConfigured as refusal:
        raise BadInput(str(refusal)) from refusal
    if folder != settings.WORKSPACE:
        raise RuntimeError(
            f"this process already works in {settings.WORKSPACE}, it cannot also open {folder}"
        )


def _bring_up_to_date(folder: Path) -> None:
    from django.db import DatabaseError

    try:
        if _migrations_wait():
            _migrate(folder)
    except DatabaseError as refusal:
        raise BadInput(
            f"the database of {folder} cannot be used: {' '.join(str(refusal).split()).rstrip('.')}.",
            way_out="Check that the folder may be written and that the file is not damaged; "
            "backups lie in its folder backups.",
        ) from refusal


def _migrations_wait() -> bool:
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _migrate(folder: Path) -> None:
    """Migrate while no other process does: two first commands may come at once.

    The lock is an exclusive transaction on a file of its own, since SQLite locks files on every system.
    """
    from django.core.management import call_command

    with closing(sqlite3.connect(folder / "migrating.lock", timeout=60, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        if _migrations_wait():
            call_command("migrate", verbosity=0, interactive=False)
