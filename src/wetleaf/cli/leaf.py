"""`wetleaf leaf`: the leaf ledger: what is left, what came in, what was brewed."""

import datetime as dt
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Annotated

import typer

from wetleaf.cli.workspace import SeasonOption, WorkspaceOption, open_workspace
from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.lots.ledger import LeafLeft
    from wetleaf.lots.models import Sample, Season


def leaf(
    season: SeasonOption,
    code: Annotated[str, typer.Argument(help="A lot's or a sample's code; all samples if left out.")] = "",
    received: Annotated[str, typer.Option(help="Grams that came in.")] = "",
    brewed: Annotated[int, typer.Option(help="How many brews were poured.")] = 0,
    grams_each: Annotated[str, typer.Option(help="Grams of one brew, if not the sample's usual ones.")] = "",
    left: Annotated[str, typer.Option(help="Grams found when the packet was weighed again.")] = "",
    on: Annotated[
        dt.datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The day, as 2026-05-12.")
    ] = None,
    workspace: WorkspaceOption = None,
) -> None:
    """Show the leaf of a season, or enter grams received, brewed or weighed again for one sample."""
    writes = bool(received or brewed or left)
    open_workspace(workspace, writes=False)
    from wetleaf.lots.actions import known_season

    book = known_season(season)
    if not writes:
        _show(book, code)
        return
    if not code:
        raise BadInput("whose leaf is meant is not said.", way_out="Give a code, as in wetleaf leaf LU-07.")
    if sum(map(bool, (received, brewed, left))) > 1:
        raise BadInput("one entry at a time.", way_out="Give one of --received, --brewed and --left.")
    sample = _sample(book, code)
    _print(sample, _enter(sample, received, brewed, grams_each, left, on.date() if on else None))


def _enter(
    sample: "Sample", received: str, brewed: int, grams_each: str, left: str, on: dt.date | None
) -> "LeafLeft":
    from wetleaf.lots import ledger

    if received:
        return ledger.receive(sample, _grams(received), on=on)
    if left:
        return ledger.correct(sample, _grams(left), on=on)
    return ledger.brew(sample, brewed, grams_each=_grams(grams_each) if grams_each else None, on=on)


def _grams(text: str) -> Decimal:
    try:
        grams = Decimal(text.strip().lower().removesuffix("g").strip().replace(",", "."))
    except InvalidOperation:
        grams = Decimal("NaN")
    if not grams.is_finite():
        raise BadInput(f"'{text}' is not a weight in grams.", way_out="Write it as 25 or 12.5.")
    return grams


def _sample(season: "Season", code: str) -> "Sample":
    from wetleaf.lots.actions import known_lot
    from wetleaf.lots.models import Sample, withdrawn_lots

    here = Sample.objects.filter(lot__season=season).exclude(lot__in=withdrawn_lots()).select_related("lot")
    samples = list(here.filter(code=code)) or list(here.filter(lot=known_lot(season, code)))
    if len(samples) != 1:
        codes = ", ".join(str(sample) for sample in samples) or "none"
        raise BadInput(f"'{code}' does not mean one sample.", way_out=f"Its samples are: {codes}.")
    return samples[0]


def _show(season: "Season", code: str) -> None:
    from wetleaf.lots.ledger import leaf_left_of
    from wetleaf.lots.models import Sample, withdrawn_lots

    here = Sample.objects.filter(lot__season=season).exclude(lot__in=withdrawn_lots())
    samples = [_sample(season, code)] if code else list(here)
    left = leaf_left_of(samples)
    for sample in samples:
        _print(sample, left[sample.pk])


def _print(sample: "Sample", left: "LeafLeft") -> None:
    if left.grams is None:
        typer.echo(f"{sample.code}: never weighed in")
        return
    brews = f"{left.brews} brew{'' if left.brews == 1 else 's'} of {left.grams_per_brew.normalize():f} g"
    typer.echo(f"{sample.code}: {left.grams:f} g left, {brews}.{f' {left.warning}' if left.warning else ''}")
    if left.doubt:
        typer.echo(f"Look again: {left.doubt}")
