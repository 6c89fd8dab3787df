"""`wetleaf book`: a season's decision book as one file that opens anywhere and asks for nothing."""

from pathlib import Path
from typing import Annotated

import typer

from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace
from wetleaf.cli.writing import write_whole


def book(
    season: SeasonOption,
    out: Annotated[Path, typer.Option("--out", "-o", help="The file to write, as in book.html.")],
    private: Annotated[
        bool, typer.Option("--private", help="Put makers and prices into the file, hidden until asked for.")
    ] = False,
    workspace: WorkspaceOption = None,
) -> None:
    """Write the decision book of a season: a line and a page a lot, flights and grounds, in one file."""
    open_workspace(workspace, writes=False)
    from django.utils import timezone

    from wetleaf.findings.actions import record_findings
    from wetleaf.findings.binding import bind
    from wetleaf.findings.opening import open_book
    from wetleaf.lots.actions import known_season

    asked = known_season(season)
    bound = bind(open_book(asked, shown_private=private, on=timezone.localdate()), private=private)
    record_findings(asked)  # what a printed book says stays on record
    write_whole(out, bound.html.encode())
    typer.echo(f"{out}: {len(bound.html.encode()) / 1024:,.0f} kB. {_told(private)}")
    if bound.signs_without_a_face:
        signs = " ".join(sorted(bound.signs_without_a_face))
        typer.echo(
            f"No packed font has these signs, so the reader’s own fonts must show them: {signs}", err=True
        )


def _told(private: bool) -> str:
    if private:
        return "Makers and prices are in it, hidden until asked for: keep it to yourself."
    return "Makers and prices are not in it."
