"""`wetleaf difference score | plan | next`: can two teas be told apart, in words or as JSON."""

from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import typer

from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    from wetleaf.cli.said import Said

difference_app = typer.Typer(
    help="Can two teas be told apart? Judge trials, plan them, or say after each whether to stop.",
    no_args_is_help=True,
)
_METHODS = (
    "2-afc (directed pair), triangle, duo-trio, tetrad, 3-afc, two-out-of-five, same-different, a-not-a."
)
_SPENDING = "How looks spend the error: obrien-fleming or pocock."
_SHARE = "The same as a share of discriminators, such as 0.3."
_USUAL_SIZE = 1.5
_INSTEAD = typer.Option(
    None, help="A table of trials instead: columns taster, correct (1 or 0), method if they differ."
)
_IN_ORDER = typer.Argument(help="A table of trials in the order tasted: columns taster, correct (1 or 0).")
_Given = TypeVar("_Given")


@difference_app.command("score")
def score(
    method: str | None = typer.Option(None, help=_METHODS),
    correct: int | None = typer.Option(None, help="Right answers."),
    trials: int | None = typer.Option(None, help="Trials in all."),
    file: Path | None = _INSTEAD,
    hits: str | None = typer.Option(
        None, help='Same-different, A-not-A: "different" ("not A") said of different teas, such as 14/20.'
    ),
    false_alarms: str | None = typer.Option(
        None, help="Same-different, A-not-A: the same said of one tea (of A), such as 5/20."
    ),
    tolerable: float | None = typer.Option(
        None, help='The d-prime that matters, fixed before tasting; without it no answer is "no".'
    ),
    tolerable_discriminators: float | None = typer.Option(None, help=_SHARE),
    planned: int | None = typer.Option(
        None, help="Trials planned before tasting, when this is a look on the way there."
    ),
    looks: str | None = typer.Option(
        None, help='Earlier looks, as trials tasted by then: "12,18". Without --planned the test is extended.'
    ),
    spending: str = typer.Option("obrien-fleming", help=_SPENDING),
    alpha: float = typer.Option(
        0.05, help="The chance of a wrong yes, and at the declared size of a wrong no."
    ),
    power: float = typer.Option(0.8, help="The power for what these trials would have found."),
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say whether the teas could be told apart: yes, no (with --tolerable) or can't tell."""
    from wetleaf.cli import difference_scores as scores

    earlier = _whole_numbers("--looks", looks)
    asked = scores.Asked(alpha, tolerable, tolerable_discriminators, planned, earlier, spending, power)
    counts = {"--correct": correct, "--trials": trials, "--hits": hits, "--false-alarms": false_alarms}
    if file is not None:
        _refuse_beside("--file", {name: given for name, given in counts.items() if given is not None})
        said = scores.of_file(file, method, asked)
    elif hits is not None or false_alarms is not None:
        _refuse_beside("--hits", {"--correct": correct, "--trials": trials})
        signals, noises = _fraction("--hits", hits), _fraction("--false-alarms", false_alarms)
        said = scores.of_two_kinds(_needed("--method", method), *signals, *noises, asked)
    else:
        said = scores.of_counts(
            _needed("--method", method), _needed("--correct", correct), _needed("--trials", trials), asked
        )
    _say(said, as_json)


@difference_app.command("plan")
def plan(
    method: str = typer.Option(help=_METHODS),
    d_prime: float | None = typer.Option(None, help="The size that matters, as a d-prime."),
    discriminators: float | None = typer.Option(None, help=_SHARE),
    power: float = typer.Option(0.8, help="The chance to get the answer."),
    alpha: float = typer.Option(0.05, help="The chance of the wrong answer."),
    similar: bool = typer.Option(
        False, "--similar", help="Plan to exclude a difference of this size, instead of finding one."
    ),
    true_d_prime: float = typer.Option(0.0, help="With --similar: how far apart the teas may truly be."),
    looks: int | None = typer.Option(None, help="Look so many times on the way, and stop when it is clear."),
    spending: str = typer.Option("obrien-fleming", help=_SPENDING),
    tasters: int = typer.Option(1, help="Tasters who share the trials."),
    shared_brews: bool = typer.Option(
        False, "--shared-brews", help="All tasters of a round drink from the same brews."
    ),
    protocol: str = typer.Option("column_cup", help="The way of preparing."),
    grams: str | None = typer.Option(None, help="Grams a brew, instead of the protocol's."),
    grams_left: str | None = typer.Option(
        None, help="Leaf left of the scarcer tea: says what that can find at the most."
    ),
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say how many trials answer the question, and what they cost in brews, cups, grams and sittings."""
    from wetleaf.cli import difference_plans as plans

    left = _grams("--grams-left", grams_left)
    table = plans.Table(tasters, shared_brews, protocol, _grams("--grams", grams), left)
    wanted = plans.Wanted(d_prime, discriminators, power, alpha, similar, true_d_prime, looks, spending)
    _say(plans.plan(method, wanted, table), as_json)


@difference_app.command("next")
def next_trial(
    file: Path = _IN_ORDER,
    method: str | None = typer.Option(None, help="The method; else the file's column, else triangle."),
    d_prime: float | None = typer.Option(
        None, help=f'The size that matters, fixed before tasting; else {_USUAL_SIZE}, and never "no".'
    ),
    discriminators: float | None = typer.Option(None, help=_SHARE),
    alpha: float = typer.Option(0.05, help="The chance of a wrong yes."),
    beta: float = typer.Option(0.1, help="The chance of a wrong no at the declared size."),
    most: int | None = typer.Option(None, help="Stop after so many trials in any case."),
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say after each trial whether to stop (yes, no) or to taste one more."""
    from wetleaf.cli import difference_sequences as sequences

    declared = d_prime is not None or discriminators is not None
    size = sequences.Size(d_prime if declared else _USUAL_SIZE, discriminators, declared)
    _say(sequences.follow_file(file, method, size, alpha, beta, most), as_json)


def _say(said: "Said", as_json: bool) -> None:
    typer.echo(said.as_json() if as_json else said.in_words())


def _needed(option: str, given: _Given | None) -> _Given:
    if given is None:
        raise BadInput(f"{option} is missing.", way_out="Give --method, --correct and --trials, or --file.")
    return given


def _refuse_beside(option: str, others: dict[str, object]) -> None:
    given = [name for name, value in others.items() if value is not None]
    if given:
        raise BadInput(f"{option} and {given[0]} say the same thing twice.", way_out="Give one of them.")


def _fraction(option: str, text: str | None) -> tuple[int, int]:
    """ "14/20" as (14, 20)."""
    said, _, of = (text or "").partition("/")
    if not (said.strip().isdecimal() and of.strip().isdecimal()):
        raise BadInput(f"{option}: '{text or ''}' is no count of a number.", way_out='Write it as "14/20".')
    return int(said), int(of)


def _whole_numbers(option: str, text: str | None) -> tuple[int, ...]:
    parts = [part.strip() for part in (text or "").split(",") if part.strip()]
    for part in parts:
        if not part.isdecimal():
            raise BadInput(f"{option}: '{part}' is no number of trials.", way_out='Write them as "12,18".')
    return tuple(int(part) for part in parts)


def _grams(option: str, text: str | None) -> Decimal | None:
    if text is None:
        return None
    try:
        return Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        raise BadInput(f"{option}: '{text}' is no number.", way_out="Write grams, such as 3.") from None
