"""`wetleaf lot`: wrong facts put right, a mistaken lot withdrawn or restored, lots made from lots."""

import re
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
    help="Correct a lot, withdraw one that is a mistake, restore it, make a lot from others.",
    no_args_is_help=True,
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


@lot_app.command("correct")
def correct(
    code: CodeArgument,
    facts: Annotated[
        list[str],
        typer.Argument(help='What is right: "class=oolong" "until=22 May 2026".', show_default=False),
    ],
    season: SeasonOption,
    because: Annotated[
        str, typer.Option("--because", help='Why, as "misread the label".', show_default=False)
    ],
    workspace: WorkspaceOption = None,
) -> None:
    """Put facts of a lot or its offer right; what was said before stays, and no old workbook undoes it.

    Fields: name, class, maker, contact, line, place, cultivar, elevation, harvest, picking, oxidation, roast,
    received, price, until, available, smallest order, remarks, and what else a lots sheet may say.
    """
    open_workspace(workspace, writes=False)
    from django.utils import timezone

    from wetleaf.lots.actions import known_lot, known_season
    from wetleaf.lots.corrections import correct_lot, read_correction
    from wetleaf.lots.doubts import doubts_of

    lot = known_lot(known_season(season), code)
    for change in correct_lot(lot, [read_correction(lot, said) for said in facts], because):
        before = f", before '{change.before}'" if change.before else ""
        typer.echo(f"{lot.code} {change.name}: {change.after}{before}, because {' '.join(because.split())}.")
    for doubt in doubts_of(lot, today=timezone.localdate()):
        typer.echo(f"Look again: {doubt}")


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
    out: Annotated[str, typer.Option("--out", help="What came out, as 570 g, 1.2 kg or 1 jin.")] = "",
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
        grams_out=_grams(out, _one_place(parts)) if out else None,
        loss_percent=_percent(loss) if loss else None,
        made_on=day_of(on),
    )
    typer.echo(f"{child.code} {child.name} is on the books of {book}: {balance_of(child).said}.")


def _part(season: "Season", said: str) -> "Part":
    from wetleaf.lots.actions import known_lot
    from wetleaf.lots.corrections import place_of
    from wetleaf.lots.makings import Part

    code, _, grams = said.rpartition("=") if "=" in said else (said, "", "")
    lot = known_lot(season, code.strip())
    return Part(lot, _grams(grams, place_of(lot)) if grams.strip() else None)


def _one_place(parts: "list[Part]") -> str:
    from wetleaf.lots.corrections import place_of

    places = {place_of(part.lot) for part in parts}
    return places.pop() if len(places) == 1 else ""


def _grams(text: str, place: str) -> Decimal:
    """Grams of a weight as written; a bare number is grams, and a jin is what it is at the lot's place."""
    from wetleaf.trade.quantities import parse_weight

    read = parse_weight(text, header_unit="g", place=place, decimal="," if _has_comma(text) else ".")
    if any(kind.startswith("ambiguous") for kind in read.noticed):
        raise BadInput(
            f"how much '{text}' is depends on where it was weighed, and the lot's place does not tell.",
            way_out="Write 600 g, or 1 台斤 (600 g in Taiwan) or 1 市斤 (500 g on the mainland).",
        )
    if read.value is None or read.value.grams_max is not None:
        raise BadInput(f"'{text}' is not one weight.", way_out="Write it as 600 g, 1.2 kg or 1 jin.")
    return read.value.grams


def _has_comma(text: str) -> bool:
    return re.fullmatch(r"\D*\d+,\d{1,2}\D*", text) is not None


def _percent(text: str) -> Decimal:
    from wetleaf.trade.numbers import parse_number

    read = parse_number(text, ".")
    if read is None or read.value is None or read.unit.strip(" %"):
        raise BadInput(f"'{text}' is not a loss in per cent.", way_out="Write it as 5 or 5 %.")
    return read.value
