"""`wetleaf map lots | together | words`: where lots stand, from a plain file, in words or as JSON."""

from pathlib import Path

import typer

map_app = typer.Typer(
    help="Where do the lots stand? Places, distances, families and gaps; or words by lot.",
    no_args_is_help=True,
)
_SCORES = typer.Argument(help="A plain table of scores: CSV of any common separator and encoding.")
_WORDS = typer.Argument(help="A plain table of words: a row for each word a taster used of a lot.")
_LOT = typer.Option("lot", help="The column that names the lot.")
_TASTER = typer.Option("taster", help="The column that names the taster.")
_SITTING = typer.Option(None, help="The column that names the sitting.")
_REPLICATE = typer.Option(None, help="The column that numbers repeated cups: it is no score.")
_BREW = typer.Option(None, help="The column that names the brew (pot) of a lot.")
_WIDE = typer.Option(None, help="Wide table: columns of scores, separated by commas.")
_TABLES = typer.Option(help='A table of the common map: "taste: sweet, bitter". Give two or more.')
_SEED = typer.Option(1, help="The seed of the resamples: the same seed gives the same answer.")
_JSON = typer.Option(False, "--json", help="Print everything as JSON.")


@map_app.command("lots")
def lots(
    scores: Path = _SCORES,
    lot: str = _LOT,
    taster: str = _TASTER,
    replicate: str | None = _REPLICATE,
    sitting: str | None = _SITTING,
    brew: str | None = _BREW,
    attributes: str | None = _WIDE,
    attribute: str | None = typer.Option(None, help="Long table: the column that names the attribute."),
    score: str | None = typer.Option(None, help="Long table: the column that holds the score."),
    scaled: bool = typer.Option(True, help="Let every attribute count alike; else by how far it spreads."),
    seed: int = _SEED,
    as_json: bool = _JSON,
) -> None:
    """Say where the lots stand, which are near, whether they form families, and where nobody is."""
    from wetleaf.cli.map_lots import of_lots
    from wetleaf.cli.score_file import Columns, read_scores

    columns = Columns(lot, taster, replicate, sitting, brew, _names(attributes), attribute, score)
    said = of_lots(read_scores(scores, columns), scaled=scaled, seed=seed)
    typer.echo(said.as_json() if as_json else said.in_words())


@map_app.command("together")
def together(
    scores: Path = _SCORES,
    lot: str = _LOT,
    taster: str = _TASTER,
    table: list[str] = _TABLES,
    replicate: str | None = _REPLICATE,
    sitting: str | None = _SITTING,
    brew: str | None = _BREW,
    as_json: bool = _JSON,
) -> None:
    """Put several stages on one map, each with the same say however many attributes it has."""
    from wetleaf.cli.map_together import of_tables, tables_named
    from wetleaf.cli.score_file import Columns, read_scores

    named = tables_named(table)
    wanted = tuple(column for columns in named.values() for column in columns)
    read = read_scores(scores, Columns(lot, taster, replicate, sitting, brew, wanted))
    said = of_tables(read, named)
    typer.echo(said.as_json() if as_json else said.in_words())


@map_app.command("words")
def words(
    file: Path = _WORDS,
    lot: str = _LOT,
    taster: str = _TASTER,
    word: str = typer.Option("word", help="The column that holds the word."),
    seed: int = _SEED,
    as_json: bool = _JSON,
) -> None:
    """Count words by lot, test them from five tasters on, and say which lots go with which words."""
    from wetleaf.cli.map_words import of_words

    said = of_words(file, lot=lot, taster=taster, word=word, seed=seed)
    typer.echo(said.as_json() if as_json else said.in_words())


def _names(text: str | None) -> tuple[str, ...] | None:
    return tuple(name.strip() for name in text.split(",") if name.strip()) if text else None
