"""`wetleaf demo`: load the invented season, write its decision book and serve both on this machine."""

import datetime as dt
import tempfile
from pathlib import Path
from typing import Annotated

import typer

from wetleaf.cli.workspace import open_workspace
from wetleaf.cli.writing import write_whole
from wetleaf.trade.errors import BadInput


def demo(
    workspace: Annotated[Path, typer.Option(help="The folder to keep the demo in.")] = Path("demo-season"),
    port: Annotated[int, typer.Option(min=1, max=65535, help="The port on this machine.")] = 8011,
    serve: Annotated[
        bool, typer.Option("--serve/--no-serve", help="Serve the pages once they are loaded.")
    ] = True,
    workbooks: Annotated[
        Path | None,
        typer.Option(help="Only write the invented workbooks into this folder, to try an import."),
    ] = None,
) -> None:
    """Load the invented season (once), write its book and serve it on this machine."""
    if workbooks is not None:
        _write_workbooks(workbooks)
        return
    folder = open_workspace(workspace, writes=True)
    typer.echo("Everything in this season is invented: merchant, makers, tasters, teas and prices.")
    book = folder / "book-2026.html"
    if _load() or not book.exists():
        _bind(book)
    typer.echo(f"The decision book: {book}")
    if serve:
        from wetleaf.cli.serve import serve_workspace

        serve_workspace(port, "The season is served")


def _write_workbooks(folder: Path) -> None:
    from wetleaf.demo.workbooks import write_workbooks

    if not folder.is_dir():
        raise BadInput(f"{folder} is not a folder.", way_out="Name a folder that exists.")
    for path in write_workbooks(folder):
        typer.echo(f"{path}: invented, made by a seeded script")


def _load() -> bool:
    """Take the invented workbooks in as any workbook is taken in; return whether that had to be done."""
    from wetleaf.demo.truth import BUYER, LEFT_OUT_2026
    from wetleaf.demo.workbooks import write_workbooks
    from wetleaf.lots.models import Season
    from wetleaf.lots.workbooks.reading import read_book
    from wetleaf.sheets.intake import store_book

    if Season.objects.filter(name="2026", is_invented=True).exists():
        return False
    now = dt.datetime.now(dt.UTC)
    with tempfile.TemporaryDirectory() as folder:
        last, this = (read_book(path) for path in write_workbooks(Path(folder)))
    typer.echo(store_book(last, season="2025", buyer=BUYER, now=now, invented=True).says)
    typer.echo(
        store_book(this, season="2026", before="2025", accept=LEFT_OUT_2026, now=now, invented=True).says
    )
    return True


def _bind(out: Path) -> None:
    from django.utils import timezone

    from wetleaf.findings.binding import bind
    from wetleaf.findings.opening import open_book
    from wetleaf.lots.actions import known_season

    season = open_book(known_season("2026"), shown_private=True, on=timezone.localdate())
    write_whole(out, bind(season, private=True).html.encode())
