"""`wetleaf add`: a lot typed in one line onto the books, with what is to be asked about it at once."""

import datetime as dt
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace
from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.lots.models import Lot
    from wetleaf.trade.facts import LotFacts
    from wetleaf.trade.onelines import LotLine


def add(
    line: Annotated[
        str,
        typer.Argument(
            help='With commas or without: "Lugu, qingxin, 18 Apr, 750 m, 1200 NT$/jin, from Gao, till 2 May".'
        ),
    ],
    season: SeasonOption,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Store it as read, with left-over words as a remark.")
    ] = False,
    workspace: WorkspaceOption = None,
) -> None:
    """Put a lot typed in one line onto the books; what is missing or doubtful comes back as questions.

    What was read is shown first. At a terminal you are asked before it is stored. Elsewhere it is stored
    at once, unless words were left over: that needs --yes.
    """
    open_workspace(workspace, writes=True)
    from django.utils import timezone

    from wetleaf.trade.onelines import read_line

    today = timezone.localdate()
    read = read_line(line, today=today)
    for said in _as_read(read):
        typer.echo(said)
    if not yes and not _is_agreed(read):
        typer.echo("Nothing was stored.")
        return
    lot, is_new = _store(season, read)
    new = " The season is new." if is_new else ""
    typer.echo(f"{lot.code} {lot.name} is on the books of {lot.season}.{new}")
    _print_doubts(lot, today)
    _print_questions(read.facts, today)


def _as_read(read: "LotLine") -> Iterator[str]:
    """Every fact with the words it came from; words that gave none last."""
    width = max((len(part.read_as) for part in read.parts), default=0)
    for part in sorted(read.parts, key=lambda part: not part.read_as):
        note = f" ({part.note})" if part.note else ""
        if part.read_as:
            yield f"  {part.read_as + ':':<{width + 1}} {part.meaning}, from '{part.text}'{note}"
        else:
            yield f"  left over: '{part.text}'{note}"


def _is_agreed(read: "LotLine") -> bool:
    """Ask at a terminal; elsewhere nobody can be asked, and left-over words need --yes."""
    if sys.stdin.isatty():
        return typer.confirm("Store it?", default=True)
    if read.unread and read.parts:
        raise BadInput(
            f"{_listed(read.unread)} was not understood. Nothing was stored.",
            way_out="Say it in other words, or add --yes to keep it as a remark.",
        )
    return True


def _listed(texts: tuple[str, ...]) -> str:
    return ", ".join(f"'{text}'" for text in texts)


def _store(season: str, read: "LotLine") -> "tuple[Lot, bool]":
    from django.db import transaction

    from wetleaf.lots.actions import season_named
    from wetleaf.lots.models import Season
    from wetleaf.lots.one_line import add_lot_in_one_line

    with transaction.atomic():
        is_new = not Season.objects.filter(name=season.strip()).exists()
        return add_lot_in_one_line(season_named(season), read), is_new


def _print_doubts(lot: "Lot", today: dt.date) -> None:
    from wetleaf.lots.doubts import doubts_of

    for doubt in doubts_of(lot, today=today):
        typer.echo(f"Look again: {doubt}")


def _print_questions(facts: "LotFacts", today: dt.date) -> None:
    from wetleaf.trade.provenance import check_lot
    from wetleaf.trade.questions import question

    doubts = check_lot(facts, today=today)
    if doubts:
        typer.echo("To ask the producer:")
    for doubt in doubts:
        typer.echo(f"  {question(doubt)} [{doubt.why}]")
