"""`wetleaf design SAMPLES`: a flight laid out, in words for the one who pours, or as JSON."""

import os
import re
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

import typer

from wetleaf.trade.errors import BadInput

if TYPE_CHECKING:
    import numpy as np

    from wetleaf.numerics.designs.asked import Asked
    from wetleaf.numerics.designs.records import Design
    from wetleaf.numerics.designs.trials import AskedTrials, TrialDesign

_SAMPLES = typer.Argument(help="Names separated by commas, or how many samples.")
_BRIDGE = typer.Option([], help="A tea served in every sitting; may be given more than once.")
_GRAMS_LEFT = typer.Option([], help='Leaf left of a tea, such as "A=12.5"; may be repeated.')
_MOST_NAMES = 1_000


def design(
    samples: str = _SAMPLES,
    tasters: str = typer.Option("1", help="Names separated by commas, or how many tasters."),
    replicates: int = typer.Option(1, help="Brews of each sample; each is tasted by everybody."),
    purpose: str = typer.Option("profile", help="profile, ranking, difference or first_pass."),
    orders: str | None = typer.Option(None, help="row: one row of bowls for all (usual); private: own cups."),
    bridge: list[str] = _BRIDGE,
    limit: int | None = typer.Option(None, help="Most cups a sitting, instead of the purpose's own."),
    sittings: int | None = typer.Option(None, help="So many sittings in all."),
    per_taster: int | None = typer.Option(None, help="Each taster tastes only so many samples a sitting."),
    unlinked: bool = typer.Option(
        False, "--unlinked", help="Add no bridge cup where nothing links sittings."
    ),
    codes: str = typer.Option("brew", help="What carries a code: brew or cup."),
    not_codes: str = typer.Option("", help="Codes not to use again, separated by commas."),
    test: str | None = typer.Option(None, help="A difference test of two samples: triangle, tetrad, ..."),
    trials: int | None = typer.Option(None, help="Difference test: trials for each taster."),
    shared_brews: bool = typer.Option(
        False, "--shared-brews", help="Difference test: one set of pots a round."
    ),
    constant_reference: bool = typer.Option(
        False, "--constant-reference", help="Duo-trio: the first sample is always the reference."
    ),
    protocol: str = typer.Option("column_cup", help="The way of preparing."),
    tea_class: str | None = typer.Option(None, "--class", help="The class of tea, for the steeping time."),
    group: str | None = typer.Option(None, help="The group within the class, such as oolong_ball_light."),
    grams_left: list[str] = _GRAMS_LEFT,
    draw: int = typer.Option(1, help="The number of the draw: the same number gives the same design."),
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Lay out a flight: sittings, brews, cups, orders, codes and minutes, and what it costs."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only wait for each other
    from wetleaf.numerics.designs.asked import Asked
    from wetleaf.numerics.designs.trials import AskedTrials

    teas, people = _names("sample", samples), _names("taster", tasters)
    spent, grams = _listed(not_codes), _grams(grams_left)
    if test is None:
        _refuse_beside(trials is not None, "--trials", "a difference test (--test)")
        _refuse_beside(shared_brews, "--shared-brews", "a difference test (--test)")
        _refuse_beside(constant_reference, "--constant-reference", "a difference test (--test)")
        way = orders or ("row" if per_taster is None else "private")
        asked = Asked(
            teas, people, replicates, purpose, way, bridge, limit, sittings, per_taster, unlinked, codes,
            spent, protocol, tea_class, group, grams,
        )  # fmt: skip
        typer.echo(_flight(asked, draw, as_json=as_json))
        return
    flight_only = {
        "--replicates": replicates != 1, "--purpose": purpose != "profile", "--orders": orders is not None,
        "--bridge": bool(bridge), "--sittings": sittings is not None, "--per-taster": per_taster is not None,
        "--unlinked": unlinked, "--codes": codes != "brew",
    }  # fmt: skip
    for option, given in flight_only.items():
        _refuse_beside(given, option, "a flight, not a difference test")
    if trials is None:
        raise BadInput(f"How many trials of {test} is not said.", way_out="Give --trials.")
    asked_trials = AskedTrials(
        test, teas, people, trials, shared_brews, constant_reference, limit, spent, protocol, tea_class,
        group, grams,
    )  # fmt: skip
    typer.echo(_trials(asked_trials, draw, as_json=as_json))


def _refuse_beside(given: bool, option: str, belongs_to: str) -> None:
    if given:
        raise BadInput(f"{option} belongs to {belongs_to}.", way_out=f"Leave {option} out.")


def _names(what: str, text: str) -> list[str]:
    """Return the names of a list, or so many names when a number is given."""
    if not re.fullmatch(r"\s*[+-]?\d+\s*", text):
        return _listed(text)
    count = int(text)
    if not 1 <= count <= _MOST_NAMES:
        raise BadInput(f"{count} {what}s cannot be laid out.", way_out=f"Give at least one {what}.")
    return [_letters(number) if what == "sample" else f"taster {number + 1}" for number in range(count)]


def _letters(number: int) -> str:
    """Return A, B, ... Z, AA, AB, ..."""
    before, last = divmod(number, 26)
    return (_letters(before - 1) if before else "") + chr(ord("A") + last)


def _listed(text: str) -> list[str]:
    return [name.strip() for name in text.split(",")] if text.strip() else []


def _grams(given: Sequence[str]) -> dict[str, Decimal]:
    grams: dict[str, Decimal] = {}
    for text in given:
        name, sign, number = text.rpartition("=")
        try:
            left = Decimal(number.strip().replace(",", "."))
        except InvalidOperation:
            sign = ""
        if not sign:
            raise BadInput(f"{text!r} says no grams of a tea.", way_out='Write it as "A=12.5".')
        grams[name.strip()] = left
    return grams


def _chance(draw: int) -> "np.random.Generator":
    import numpy as np

    if draw < 0:
        raise BadInput(f"A draw of number {draw} cannot be.", way_out="Give a number from 0 up.")
    return np.random.default_rng(draw)


def _flight(asked: "Asked", draw: int, *, as_json: bool) -> str:
    from wetleaf.numerics.designs.lay_out import lay_out

    laid = lay_out(asked, _chance(draw))
    return _as_json(laid, draw) if as_json else _flight_in_words(laid)


def _trials(asked: "AskedTrials", draw: int, *, as_json: bool) -> str:
    from wetleaf.numerics.designs.trials import lay_out_trials

    laid = lay_out_trials(asked, _chance(draw))
    return _as_json(laid, draw) if as_json else _trials_in_words(laid)


def _as_json(laid: "Design | TrialDesign", draw: int) -> str:
    import json

    from wetleaf.numerics.designs.writing import as_mapping

    return json.dumps({"draw": draw, **as_mapping(laid)}, ensure_ascii=False, allow_nan=False)


def _flight_in_words(laid: "Design") -> str:
    lines = ["For the one who pours: tasters see only the codes.", ""]
    for sitting in laid.sittings:
        lines += _sitting_in_words(laid, sitting.number)
    return "\n".join([*lines, *_balance_in_words(laid), "", *_end(laid)])


def _sitting_in_words(laid: "Design", number: int) -> list[str]:
    sitting = laid.sittings[number - 1]
    brews = len(sitting.samples)
    title = f"Sitting {number}: {brews} brews, {sitting.cups_each} cups each, {sitting.minutes:g} minutes"
    return [title, *_columns(_brew_table(laid, number)), "", *_columns(_tasting_table(laid, number)), ""]


def _brew_table(laid: "Design", number: int) -> list[tuple[str, ...]]:
    where = "bowl" if laid.balance.way == "row" else "vessel"
    return [
        (where, "code", "tea", "brew", "water", "poured"),
        *(
            (
                str(brew.vessel),
                brew.code or "below",
                brew.sample + (" (bridge)" if brew.bridge else ""),
                str(brew.replicate),
                _minute(brew.water_minute),
                _minute(brew.poured_minute),
            )
            for brew in laid.brews
            if brew.sitting == number
        ),
    ]


def _tasting_table(laid: "Design", number: int) -> list[tuple[str, ...]]:
    """Return who begins where, and the codes in order; where each cup has a code, which vessel fills it."""
    walks = {walk.taster: walk for walk in laid.sittings[number - 1].walks}
    by_cup = laid.asked.coded == "cup"
    what = "cups in this order: code/vessel" if by_cup else "cups in this order"
    table: list[tuple[str, ...]] = [("taster", "begins", what) if walks else ("taster", what)]
    for taster in laid.asked.tasters:
        mine = [cup for cup in laid.cups if cup.sitting == number and cup.taster == taster]
        in_order = sorted(mine, key=lambda cup: cup.position)
        order = " ".join(cup.code + (f"/{cup.brew.split('.')[1]}" if by_cup else "") for cup in in_order)
        begins = (f"bowl {walks[taster].start} {_way(walks[taster].direction)}",) if walks else ()
        table.append((taster, *begins, order))
    return table


def _way(direction: int) -> str:
    return "forwards" if direction > 0 else "backwards"


def _minute(minute: float) -> str:
    return f"{int(minute)}:{round(minute % 1 * 60):02d}"


def _columns(table: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[place]) for row in table) for place in range(len(table[0]))]
    return [
        "  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in table
    ]


_WAYS = {"row": "one row for all", "private": "private orders"}


def _balance_in_words(laid: "Design") -> list[str]:
    table = [("how even", "positions", "previous cups", "together", "a bowl taken by another")]
    table += [
        (
            _WAYS[balance.way] + ("" if balance is laid.balance else ", for comparison"),
            f"{balance.position_variance:.3f} ({balance.position_bound:.3f})",
            f"{balance.previous_variance:.3f} ({balance.previous_bound:.3f})",
            f"{balance.unevenness:.3f} ({balance.bound:.3f})",
            str(balance.same_bowl_at_once),
        )
        for balance in (laid.balance, laid.beside)
        if balance is not None
    ]
    told = "Variance of the counts, in brackets the least that whole cups allow (it may be out of reach)."
    return [told, *_columns(table), *_efficiency_in_words(laid)]


def _efficiency_in_words(laid: "Design") -> list[str]:
    found = laid.efficiency
    if found.kind == "complete" or not found.connected:
        return []
    kept = f"{found.a_efficiency:.3f} of what complete sittings would tell (at most {found.bound:.3f})"
    least, most = found.together_least, found.together_most
    times = "once" if least == most == 1 else f"{most} times" if least == most else f"{least} to {most} times"
    return [f"Differences are known to {kept}. Two teas come side by side {times}; {found.kind}."]


def _trials_in_words(laid: "TrialDesign") -> str:
    first, second = laid.asked.samples
    lines = [f"For the one who pours. A is {first}, B is {second}; tasters see only the codes.", ""]
    for sitting in range(1, laid.cost.sittings + 1):
        lines += [f"Sitting {sitting}", *_columns(_trial_table(laid, sitting)), ""]
    balance = laid.balance
    used = ", ".join(f"{order} {count}" for order, count in balance.counts.items())
    lines += [
        f"Orders used: {used}.",
        f"Variance of their counts {balance.variance:.3f} (at least {balance.bound:.3f}); for a taster at "
        f"most {balance.worst_taster_variance:.3f} (at least {balance.taster_bound:.3f}).",
        "",
    ]
    return "\n".join([*lines, *_end(laid)])


def _trial_table(laid: "TrialDesign", sitting: int) -> list[tuple[str, ...]]:
    table: list[tuple[str, ...]] = [("taster", "trial", "minute", "codes", "teas", "from brews")]
    letter = dict(zip(laid.asked.samples, "AB", strict=True))
    for taster in laid.asked.tasters:
        mine = [cup for cup in laid.cups if cup.sitting == sitting and cup.taster == taster]
        for trial in dict.fromkeys(cup.trial for cup in mine):
            cups = sorted((cup for cup in mine if cup.trial == trial), key=lambda cup: cup.position)
            table.append(
                (
                    taster,
                    str(trial) if trial else "known",
                    _minute(cups[0].minute),
                    " ".join(cup.code for cup in cups),
                    " ".join(letter[cup.sample] for cup in cups),
                    " ".join(cup.brew for cup in cups),
                )
            )
    return table


def _sittings(count: int) -> str:
    return "1 sitting" if count == 1 else f"{count} sittings"


def _end(laid: "Design | TrialDesign") -> list[str]:
    from wetleaf.trade.protocols import SCALD_CAUTION

    cost = laid.cost
    leaf = ", ".join(f"{one.sample} {one.grams} g" for one in cost.leaf)
    return [
        f"Cost: {cost.brews} brews, {cost.cups} cups, {_sittings(cost.sittings)}, {cost.grams} g of leaf, "
        f"{cost.litres:.1f} L of water, about {cost.minutes:.0f} minutes with breaks (cooling, tasting, "
        "pauses and breaks by common practice).",
        f"Leaf: {leaf}.",
        *laid.notes,
        SCALD_CAUTION,
    ]
