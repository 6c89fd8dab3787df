"""`wetleaf add`: a lot typed in one line onto the books, with what is to be asked about it at once."""

import datetime as dt
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace

if TYPE_CHECKING:
    from wetleaf.trade.facts import LotFacts


def add(
    line: Annotated[
        str, typer.Argument(help='As in "Lugu, qingxin, 18 Apr, 750 m, 1200 NT$/jin, till 22 May".')
    ],
    season: SeasonOption,
    workspace: WorkspaceOption = None,
) -> None:
    """Put a lot typed in one line onto the books; what is missing or doubtful comes back as questions."""
    open_workspace(workspace, writes=True)
    from django.db import transaction
    from django.utils import timezone

    from wetleaf.lots.actions import season_named
    from wetleaf.lots.models import Season
    from wetleaf.lots.one_line import add_lot_in_one_line
    from wetleaf.trade.onelines import read_line

    today = timezone.localdate()
    read = read_line(line, today=today)
    with transaction.atomic():
        known = Season.objects.filter(name=season.strip()).exists()
        lot = add_lot_in_one_line(season_named(season), read)
    new = "" if known else " The season is new."
    typer.echo(f"{lot.code} {lot.name} is on the books of {lot.season}.{new}")
    for part in read.parts:
        typer.echo(
            f"  {part.text}: {part.read_as or 'not understood'}{f' ({part.note})' if part.note else ''}"
        )
    _print_questions(read.facts, today)


def _print_questions(facts: "LotFacts", today: dt.date) -> None:
    from wetleaf.trade.provenance import check_lot
    from wetleaf.trade.questions import question

    doubts = check_lot(facts, today=today)
    if doubts:
        typer.echo("To ask the producer:")
    for doubt in doubts:
        typer.echo(f"  {question(doubt)} [{doubt.why}]")
