"""`wetleaf decide`: what the buyer decided of a lot, noted with its reason."""

import datetime as dt
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.days import DayOption, day_of
from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace

if TYPE_CHECKING:
    from wetleaf.sheets.models import Verdict


def decide(
    code: Annotated[str, typer.Argument(help="The lot's code.", show_default=False)],
    decision: Annotated[
        str,
        typer.Argument(
            help="keep, maybe, no; or a step: nothing-against, taste-again, ask, leave.", show_default=False
        ),
    ],
    season: SeasonOption,
    why: Annotated[str, typer.Option(help="The reason, in a line.")] = "",
    kilos: Annotated[str, typer.Option(help="How much of it, as 12.5.")] = "",
    price: Annotated[str, typer.Option(help='At what price, as "1200 NT$/jin".')] = "",
    on: DayOption = None,
    workspace: WorkspaceOption = None,
) -> None:
    """Note what you decided of a lot; what was noted before stays, and the book shows both."""
    open_workspace(workspace, writes=False)
    from django.utils import timezone

    from wetleaf.findings.resting import answers_now
    from wetleaf.lots.actions import known_lot, known_season
    from wetleaf.sheets import decisions
    from wetleaf.sheets.models import Verdict

    lot = known_lot(known_season(season), code)
    read, weight = decisions.read_decision(decision), decisions.read_kilos(kilos)
    noted = decisions.decide(
        lot,
        read,
        why=why,
        kilos=weight,
        price=price,
        rests_on=answers_now(lot, on=timezone.localdate()),
        on=day_of(on),
    )
    typer.echo(f"{lot.code} {lot.name}: {_said(noted)}.")
    for doubt in decisions.doubts_of_decision(noted):
        typer.echo(f"Look again: {doubt}")
    for before in Verdict.objects.filter(replaced_by=noted):
        typer.echo(f"Before: {_said(before)}; it stays on the books.")


def _said(noted: "Verdict") -> str:
    day = noted.given_on or dt.date.min
    step = f" ({noted.step.replace('_', ' ')})" if noted.step else ""
    kilos = f", {noted.kilos.normalize():f} kg" if noted.kilos is not None else ""
    price = f" at {noted.price}" if noted.price else ""
    why = f", because {noted.why}" if noted.why else ""
    return f"{noted.word}{step}{kilos}{price} on {day.isoformat()}{why}"
