"""`wetleaf export`: a season written back to a workbook, whole or without what is private."""

import io
from pathlib import Path
from typing import Annotated

import typer

from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace
from wetleaf.cli.writing import write_whole
from wetleaf.trade.errors import BadInput


def export(
    season: SeasonOption,
    out: Annotated[Path, typer.Option("--out", "-o", help="The workbook to write, as in spring.xlsx.")],
    shared: Annotated[
        bool, typer.Option("--shared", help="Leave out makers, contacts, places and prices, for others.")
    ] = False,
    workspace: WorkspaceOption = None,
) -> None:
    """Write a season to an XLSX workbook; importing that gives the same season again."""
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_season
    from wetleaf.lots.workbooks.writing import write_book
    from wetleaf.sheets.export import LEFT_OUT_FOR_OTHERS, season_as_book

    if out.suffix.lower() != ".xlsx":
        raise BadInput(f"{out} does not end in .xlsx.", way_out="Name a workbook, as in spring.xlsx.")
    book = season_as_book(known_season(season), shared=shared)
    workbook = io.BytesIO()
    write_book(book, workbook)
    write_whole(out, workbook.getvalue())
    counts = {"lot": len(book.lots), "score": len(book.scores), "note": len(book.notes)}
    typer.echo(f"{out}: {', '.join(_counted(n, what) for what, n in counts.items())}.")
    typer.echo(LEFT_OUT_FOR_OTHERS if shared else "Makers, places and prices are in it: keep it to yourself.")


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
