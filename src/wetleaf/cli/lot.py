"""`wetleaf lot`: a lot put on the books by mistake is withdrawn or restored; lots are made from lots."""

from decimal import Decimal
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.days import DayOption, day_of
from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace
from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.lots.makings import Part
    from wetleaf.lots.models import Season

lot_app = typer.Typer(
    help="Withdraw a lot that is a mistake, restore it, make a lot from others.", no_args_is_help=True
)
CodeArgument = Annotated[str, typer.Argument(help="The lot's code.", show_default=False)]


@lot_app.command("withdraw")
def withdraw(
    code: CodeArgument,
    season: SeasonOption,
    reason: Annotated[str, typer.Option("--reason", help='Why, as "typed twice".', show_default=False)],
    on: DayOption = None,
    workspace: WorkspaceOption = None,
) -> None:
    """Take a lot off the books that was put there by mistake; nothing of it is erased."""
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_lot, known_season
    from wetleaf.lots.withdrawals import withdraw_lot

    lot = known_lot(known_season(season), code)
    withdrawal = withdraw_lot(lot, reason, on=day_of(on))
    typer.echo(f"{lot.code} {lot.name} is withdrawn from {lot.season}: {withdrawal.reason}.")
    typer.echo(f'wetleaf lot restore {lot.code} --season "{lot.season}" brings it back.')


@lot_app.command("restore")
def restore(
    code: CodeArgument,
    season: SeasonOption,
    reason: Annotated[str, typer.Option("--reason", help="Why, if it is worth noting.")] = "",
    on: DayOption = None,
    workspace: WorkspaceOption = None,
) -> None:
    """Bring a withdrawn lot back with everything that was said of it."""
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_lot, known_season
    from wetleaf.lots.withdrawals import restore_lot

    lot = known_lot(known_season(season), code, also_withdrawn=True)
    restore_lot(lot, reason, on=day_of(on))
    typer.echo(f"{lot.code} {lot.name} is on the books of {lot.season} again.")


@lot_app.command("withdrawn")
def withdrawn(season: SeasonOption, workspace: WorkspaceOption = None) -> None:
    """List what is withdrawn of a season, with the reasons."""
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_season
    from wetleaf.lots.withdrawals import withdrawals_in

    book = known_season(season)
    held = withdrawals_in(book)
    for one in held:
        typer.echo(
            f"{one.lot.code} {one.lot.name}: withdrawn on {one.happened_on.isoformat()}, {one.reason}."
        )
    if not held:
        typer.echo(f"Nothing is withdrawn of {book}.")


@lot_app.command("make")
def make(
    kind: Annotated[str, typer.Argument(help="split, re-roast, sort, blend or repack.", show_default=False)],
    code: Annotated[str, typer.Argument(help="The new lot's code.", show_default=False)],
    season: SeasonOption,
    parents: Annotated[
        list[str],
        typer.Option(
            "--from", help='A lot it is made from, with what went in: "LU-07=600 g".', show_default=False
        ),
    ],
    out: Annotated[str, typer.Option("--out", help="What came out, as 570 g or 1.2 kg.")] = "",
    loss: Annotated[
        str, typer.Option("--loss", help="What was lost in per cent, if it was not weighed.")
    ] = "",
    name: Annotated[str, typer.Option("--name", help="The new lot's name. [default: its parent's]")] = "",
    on: DayOption = None,
    workspace: WorkspaceOption = None,
) -> None:
    """Make a lot from one lot, or a blend from several, with the grams in, out and lost."""
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_season
    from wetleaf.lots.makings import balance_of, make_child, making_kind

    book = known_season(season)
    parts = [_part(book, said) for said in parents]
    child = make_child(
        parts,
        making_kind(kind),
        code,
        name,
        grams_out=_grams(out) if out else None,
        loss_percent=_percent(loss) if loss else None,
        made_on=day_of(on),
    )
    typer.echo(f"{child.code} {child.name} is on the books of {book}: {balance_of(child).said}.")


def _part(season: "Season", said: str) -> "Part":
    from wetleaf.lots.actions import known_lot
    from wetleaf.lots.makings import Part

    code, _, grams = said.rpartition("=") if "=" in said else (said, "", "")
    return Part(known_lot(season, code.strip()), _grams(grams) if grams.strip() else None)


def _grams(text: str) -> Decimal:
    """Grams of a weight as written; a bare number is grams."""
    from wetleaf.trade.quantities import parse_weight

    read = parse_weight(text, header_unit="g", decimal=".").value
    if read is None or read.grams_max is not None:
        raise BadInput(f"'{text}' is not one weight.", way_out="Write it as 600 g or 1.2 kg.")
    return read.grams


def _percent(text: str) -> Decimal:
    from wetleaf.trade.numbers import parse_number

    read = parse_number(text, ".")
    if read is None or read.value is None or read.unit.strip(" %"):
        raise BadInput(f"'{text}' is not a loss in per cent.", way_out="Write it as 5 or 5 %.")
    return read.value
