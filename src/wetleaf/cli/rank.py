"""`wetleaf rank fit | next | agree`: which lot is best, and which row to brew next, in words or as JSON."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.numerics.rankings import Evidence

rank_app = typer.Typer(
    help="Which lot is best, in the fewest cups? Rank pairs and rows, or name the next row to brew.",
    no_args_is_help=True,
)
_PAIRS = typer.Argument(
    help="A table: columns first, second, preferred (a lot, or tie); or ranking (A > B = C), served; "
    "or lot, liking or verdict; and taster, row."
)
_MODEL = typer.Option("plackett-luce", help="plackett-luce, bradley-terry or thurstone (pairs only).")
_SPREAD = typer.Option(
    None, help="How much lots are expected to differ: their standard deviation in the model's unit."
)
_RECOGNISED = typer.Option(
    0.5, help="The chance that a taster knows a row met before; each repeat counts as 1 less this."
)
_SHARED = typer.Option(
    None, help="How alike several tasters' answers to one row of bowls err, 0 to 1; needs the column row."
)
_LOTS = typer.Option(None, help='All lots in question, also untasted ones: "A,B,C".')
_SCALE = typer.Option("1-9", help="The scale of likings.")
_COLUMNS = typer.Option(None, help='Columns that are called otherwise: "first=left,preferred=winner".')
_LEAST_SPREAD, _MOST_SPREAD = 0.01, 20.0
_SEED = 1
"""Of the draws, so that the same file gives the same numbers."""


@rank_app.command("fit")
def fit(
    pairs: Path = _PAIRS,
    model: str = _MODEL,
    spread: float | None = _SPREAD,
    top: int = typer.Option(3, help="Give each lot's chance to be among so many best."),
    recognised: float = _RECOGNISED,
    shared_brews: float | None = _SHARED,
    lots: str | None = _LOTS,
    scale: str = _SCALE,
    columns: str | None = _COLUMNS,
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say how the lots stand, which may be the best, and what choosing now gives up."""
    _one_thread()
    import numpy as np

    from wetleaf.cli.rank_words import said_of_ranking
    from wetleaf.numerics.rankings import Unsettled, rank_lots

    evidence, warnings = _evidence(pairs, columns, model, spread, recognised, shared_brews, lots, scale)
    try:
        found = rank_lots(evidence, rng=np.random.default_rng(_SEED), top=top)
    except Unsettled as slip:
        raise _not_settled(pairs) from slip
    said = said_of_ranking(found, warnings)
    typer.echo(said.as_json() if as_json else said.in_words())


@rank_app.command("next")
def next_(
    pairs: Path = _PAIRS,
    bowls: int = typer.Option(4, help="Bowls of the row, 2 to 6."),
    who: str | None = typer.Option(None, help="Who will taste it."),
    chance: float = typer.Option(0.9, help="Stop when the leader is the best with this chance."),
    worth: float = typer.Option(
        0.05, help="Stop when choosing now gives up no more than this on average, in units of strength."
    ),
    model: str = _MODEL,
    spread: float | None = _SPREAD,
    recognised: float = _RECOGNISED,
    shared_brews: float | None = _SHARED,
    lots: str | None = _LOTS,
    scale: str = _SCALE,
    columns: str | None = _COLUMNS,
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Name the next pair and the next row to brew, or say that it is time to stop."""
    _one_thread()
    import numpy as np

    from wetleaf.cli.rank_words import said_of_next
    from wetleaf.numerics.rankings import Unsettled, next_row

    evidence, warnings = _evidence(pairs, columns, model, spread, recognised, shared_brews, lots, scale)
    try:
        found = next_row(
            evidence,
            rng=np.random.default_rng(_SEED),
            bowls=bowls,
            taster=who,
            stop_chance=chance,
            stop_loss=worth,
        )
    except Unsettled as slip:
        raise _not_settled(pairs) from slip
    said = said_of_next(found, warnings)
    typer.echo(said.as_json() if as_json else said.in_words())


@rank_app.command("agree")
def agree(
    pairs: Path = _PAIRS,
    upwards: str | None = typer.Option(
        None, help='The order expected before tasting, best first, such as "A,B,C": tests for it (Page).'
    ),
    columns: str | None = _COLUMNS,
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say whether rows of bowls agree that the lots differ, by exact rank sums."""
    from wetleaf.cli.rank_agreement import said_of_agreement
    from wetleaf.cli.rank_file import named_columns, read_preferences

    read = read_preferences(pairs, named_columns(columns), scale=(1, 9))
    said = said_of_agreement(read, upwards)
    typer.echo(said.as_json() if as_json else said.in_words())


def _not_settled(path: Path) -> BadInput:
    return BadInput(f"{path.name}: the fit did not settle, so there is no number.", way_out="Try --spread 1.")


def _one_thread() -> None:
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # many small matrices: threads only wait for each other


def _evidence(
    path: Path,
    columns: str | None,
    model: str,
    spread: float | None,
    recognised: float,
    shared_brews: float | None,
    lots: str | None,
    scale: str,
) -> tuple["Evidence", tuple[str, ...]]:
    """Read the file into evidence under what is assumed."""
    from dataclasses import replace
    from typing import cast

    from wetleaf.cli.rank_file import named_columns, read_preferences
    from wetleaf.numerics.rankings import Assumed, evidence_of, levels_from_ratings
    from wetleaf.numerics.rankings.evidence import ModelName
    from wetleaf.numerics.rankings.ratings import cup_sd_of

    assumed = Assumed.usual(cast(ModelName, model))
    if spread is not None and not _LEAST_SPREAD <= spread <= _MOST_SPREAD:
        raise BadInput(
            f"--spread {spread:g} is out of all reason: at 20 every preference would be certain.",
            way_out=f"Give {_LEAST_SPREAD:g} to {_MOST_SPREAD:g}; 1 is usual.",
        )
    assumed = replace(
        assumed,
        spread=assumed.spread if spread is None else spread,
        recognised=recognised,
        shared_brews=assumed.shared_brews if shared_brews is None else shared_brews,
    )
    ends = _scale(scale)
    read = read_preferences(path, named_columns(columns), scale=ends)
    rated = sorted({rating.lot for rating in read.ratings})
    met = sorted({*(name for answer in read.answers for name in answer.lots), *rated})
    named = [name.strip() for name in lots.split(",") if name.strip()] if lots is not None else met
    unknown = sorted(set(met) - set(named))
    if unknown:
        raise BadInput(f"{path.name}: {unknown[0]!r} is not among --lots.", way_out="Add it or correct it.")
    levels = levels_from_ratings(
        read.ratings,
        {},
        lots=named,
        scale=ends,
        cup_sd=cup_sd_of(assumed.model),
        shared_brews=assumed.shared_brews,
    )
    evidence = evidence_of(read.answers, assumed=assumed, lots=named, levels=levels, rated=rated)
    return evidence, read.warnings


def _scale(text: str) -> tuple[float, float]:
    low, _, high = text.replace(" ", "").partition("-")
    try:
        ends = float(low), float(high)
    except ValueError:
        ends = 0.0, 0.0
    if not ends[0] < ends[1]:
        raise BadInput(f"--scale {text!r} is no scale.", way_out="Write it as 1-9.")
    return ends
