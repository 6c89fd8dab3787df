"""`wetleaf import`: a merchant's workbook read, shown, and stored once every cell that matters is settled."""

import datetime as dt
import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.workspace import WorkspaceOption
from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.lots.workbooks.mapping import Mapping
    from wetleaf.lots.workbooks.records import ReadBook


def import_book(
    book: Annotated[Path, typer.Argument(help="The workbook: XLSX, ODS or CSV.", show_default=False)],
    season: Annotated[
        str, typer.Option("--season", "-s", help="The season it belongs to. [default: as its title says]")
    ] = "",
    before: Annotated[
        str, typer.Option("--before", help="The season to compare with, as it is named on the books.")
    ] = "",
    buyer: Annotated[
        str, typer.Option("--buyer", help="Who answered the rows that name nobody: your own name.")
    ] = "",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be stored, store nothing.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON; only with --dry-run.")] = False,
    mapping: Annotated[
        Path | None,
        typer.Option(
            "--mapping", help="A file that says what columns mean; it is remembered.", show_default=False
        ),
    ] = None,
    accept: Annotated[
        str,
        typer.Option(
            "--accept",
            help="Cells with an error to leave out: 'all', or \"Sheet!D36,Sheet!E4\"; 'copies' leaves out "
            "cups that repeat others.",
        ),
    ] = "",
    workspace: WorkspaceOption = None,
) -> None:
    """Read a workbook as it is kept, name every bad cell in one go, and store it."""
    from wetleaf.lots.workbooks.reading import read_book

    if as_json and not dry_run:
        raise BadInput("--json shows what would be stored.", way_out="Give it together with --dry-run.")
    known = _mapping(mapping, book, workspace)
    try:
        read = read_book(book, known)
    except BadInput:
        raise
    except Exception as slip:  # a workbook nobody has thought of: say so in one line, store nothing
        raise BadInput(
            f"{book.name}: the workbook could not be understood ({type(slip).__name__}: {slip}).",
            way_out="Save its sheets as plain CSV and import those; and please report this message.",
        ) from slip
    if dry_run:
        _show(_with_the_books(read, season, before, workspace), as_json=as_json)
        return
    _store(read, known, book, season=season, before=before, buyer=buyer, accept=accept, workspace=workspace)


def _with_the_books(read: "ReadBook", season: str, before: str, workspace: Path | None) -> "ReadBook":
    """Let a dry run know the codes that are on the books already, where there are books."""
    from wetleaf.cli.workspace import has_books, open_workspace
    from wetleaf.lots.workbooks.seasons_apart import with_seasons_apart

    read = with_seasons_apart(read, season or read.season, dt.datetime.now(dt.UTC).date())
    if not any(problem.kind == "unknown_sample" for problem in read.problems) or not has_books(workspace):
        return read
    open_workspace(workspace, writes=False)
    from wetleaf.sheets.known_codes import with_known_codes

    return with_known_codes(read, season=season or read.season, before=before or None)


def _show(read: "ReadBook", *, as_json: bool) -> None:
    from wetleaf.lots.workbooks.as_json import book_as_json
    from wetleaf.lots.workbooks.as_text import book_as_text

    if as_json:
        typer.echo(json.dumps(book_as_json(read), ensure_ascii=False, indent=1))
    else:
        typer.echo(book_as_text(read))


def _remembered(book: Path, workspace: Path | None) -> Path:
    return (workspace or Path("workspace")) / "mappings" / f"{book.name}.toml"


def _mapping(given: Path | None, book: Path, workspace: Path | None) -> "Mapping":
    """Take the mapping that is given, else the one remembered for a book of this name, else none."""
    from wetleaf.lots.workbooks.mapping import Mapping, read_mapping

    if given is not None:
        return read_mapping(given)
    remembered = _remembered(book, workspace)
    if not remembered.is_file():
        return Mapping()
    typer.echo(f"The mapping remembered for {book.name} is used: {remembered}", err=True)
    return read_mapping(remembered)


def _store(
    read: "ReadBook",
    mapping: "Mapping",
    book: Path,
    *,
    season: str,
    before: str,
    buyer: str,
    accept: str,
    workspace: Path | None,
) -> None:
    from wetleaf.cli.workspace import open_workspace
    from wetleaf.lots.workbooks.mapping import Mapping, write_mapping

    name = season or read.season
    if not name:
        raise BadInput(f"{read.file}: its titles name no season.", way_out='Name it: --season "Spring 2026".')
    open_workspace(workspace, writes=True)
    from wetleaf.sheets.intake import store_book

    cells = [cell.strip() for cell in accept.split(",") if cell.strip()]
    now = dt.datetime.now(dt.UTC)
    intake = store_book(read, season=name, now=now, accept=cells, before=before or None, buyer=buyer or None)
    if mapping != Mapping():
        remembered = _remembered(book, workspace)
        remembered.parent.mkdir(parents=True, exist_ok=True)
        write_mapping(mapping, remembered)
    typer.echo(intake.says)
