"""`wetleaf profile SCORES.csv`: the profile of lots from a plain file, in words or as JSON."""

import os
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from wetleaf.cli.score_file import ReadScores
    from wetleaf.numerics.profiles import (
        AttributeProfile,
        Components,
        Decision,
        Profiles,
        TasterMark,
        Verdict,
    )


_SCORES = typer.Argument(help="A plain table of scores: CSV of any common separator and encoding.")


def profile(
    scores: Path = _SCORES,
    lot: str = typer.Option(help="The column that names the lot."),
    taster: str = typer.Option(help="The column that names the taster."),
    replicate: str | None = typer.Option(None, help="The column that numbers repeated cups."),
    sitting: str | None = typer.Option(None, help="The column that names the sitting."),
    brew: str | None = typer.Option(None, help="The column that names the brew (pot) of a lot."),
    attributes: str | None = typer.Option(None, help="Wide table: columns of scores, separated by commas."),
    attribute: str | None = typer.Option(None, help="Long table: the column that names the attribute."),
    score: str | None = typer.Option(None, help="Long table: the column that holds the score."),
    baseline: str | None = typer.Option(None, help="The lot every other is held against."),
    tolerance: float | None = typer.Option(
        None, help='The difference that matters; without it no answer is "no".'
    ),
    as_json: bool = typer.Option(False, "--json", help="Print everything as JSON."),
) -> None:
    """Say what the cups say: which lots differ on which attribute, by how much, and what cannot be told."""
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # many small matrices: threads only wait for each other
    from wetleaf.cli.score_file import Columns, read_scores
    from wetleaf.numerics.profiles import fit_profiles, taster_marks, variance_components

    wanted = tuple(name.strip() for name in attributes.split(",") if name.strip()) if attributes else None
    columns = Columns(lot, taster, replicate, sitting, brew, wanted, attribute, score)
    read = read_scores(scores, columns)
    profiles = fit_profiles(read.scores, baseline=baseline, tolerance=tolerance)
    marks = taster_marks(read.scores)
    if as_json:
        typer.echo(_as_json(profiles, marks, variance_components(read.scores), read))
    else:
        typer.echo(_in_words(profiles, marks, read))


def _as_json(
    profiles: "Profiles",
    marks: tuple["TasterMark", ...],
    components: tuple["Components", ...],
    read: "ReadScores",
) -> str:
    import json
    from dataclasses import asdict

    from wetleaf.numerics.profiles import panel_of, scale_use

    whole = {
        "attributes": {
            one.name: {**_attribute(one), "variance_lots_random": dict(drawn.variance)}
            for one, drawn in zip(profiles.attributes, components, strict=True)
        },
        "lots": profiles.lots,
        "tasters": [asdict(mark) for mark in marks],
        "panel": asdict(panel_of(read.scores)),
        "scale_use": {one.attribute: asdict(one) for one in scale_use(read.scores)},
        "baseline": profiles.baseline,
        "tolerance": profiles.tolerance,
        "confidence": profiles.confidence,
        "note": profiles.note,
        "warnings": [*read.warnings, *profiles.warnings],
    }
    return json.dumps(whole, ensure_ascii=False, allow_nan=False)


def _attribute(one: "AttributeProfile") -> dict[str, Any]:
    return {
        "f": one.f,
        "df1": one.df1,
        "df2": one.df2,
        "p": one.p,
        "variance": dict(one.variance),
        "means": {mean.lot: _without(mean, "lot") for mean in one.means},
        "pairs": _differences(one.pairs, one.decision.pairs),
        "against": [{"lot": item["a"], **item} for item in _differences(one.against, one.decision.against)],
        "model": one.model,
        "decision": _decision(one.decision),
        "warnings": one.warnings,
        "converged": one.converged,
        "criterion": one.criterion,
        "n": one.n,
    }


def _without(record: Any, *names: str) -> dict[str, Any]:
    return {name: value for name, value in _fields(record).items() if name not in names}


def _fields(record: Any) -> dict[str, Any]:
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


def _decision(decision: "Decision") -> dict[str, Any]:
    plain = _without(decision, "pairs", "against", "means", "parts")
    return {**plain, "means": {mean.lot: _without(mean, "lot") for mean in decision.means}}


def _differences(fitted: tuple[Any, ...], verdicts: tuple["Verdict", ...]) -> list[dict[str, Any]]:
    """Lay each verdict beside the fitted difference of the same two lots; both come in the same order."""
    beside = [_verdict(one) for one in verdicts]
    if not fitted:
        empty = dict.fromkeys(("difference", "se", "df", "low", "high", "p"))
        return [
            {"a": one.a, "b": one.b, **empty, "decision": said}
            for one, said in zip(verdicts, beside, strict=True)
        ]
    return [{**_fields(one), "decision": said} for one, said in zip_longest(fitted, beside)]


def _verdict(one: "Verdict") -> dict[str, Any]:
    return {
        "answer": one.answer,
        "p": one.p,
        "difference": one.difference,
        "low_90": one.low_90,
        "high_90": one.high_90,
    }


def _in_words(profiles: "Profiles", marks: tuple["TasterMark", ...], read: "ReadScores") -> str:
    lines: list[str] = []
    for one in profiles.attributes:
        lines += _attribute_in_words(one)
    if len(marks) > 1:
        lines += ["The tasters", *(f"  {_taster_in_words(mark)}" for mark in marks), ""]
    lines += [text for text in (profiles.note, *read.warnings, *profiles.warnings) if text]
    if read.scores.brews is None:
        lines.append("To name them: --brew COLUMN, a column with the pot of each cup.")
    return "\n".join(lines).rstrip()


def _attribute_in_words(one: "AttributeProfile") -> list[str]:
    decision = one.decision
    doubt = f" (p = {_p(decision.p)})" if decision.p is not None else ""
    lines = [one.name, f"  Do the lots differ? {decision.answer}{doubt}", f"  {decision.rule}"]
    if decision.next_step:
        lines.append(f"  To settle it: {decision.next_step}")
    width = max(len(mean.lot) for mean in one.means)
    lines += [
        f"    {mean.lot:<{width}}  {_interval(mean.mean, mean.low, mean.high)}  ({mean.n})"
        for mean in one.means
    ]
    lines += [f"    {_verdict_in_words(verdict)}" for verdict in decision.against]
    if not decision.against:
        lines += [f"    {_verdict_in_words(pair)}" for pair in decision.pairs if pair.answer != "can't tell"]
    lines.append(f"  {one.model}")
    lines += [
        f"  {warning}" for warning in one.warnings if warning not in one.model and warning != decision.rule
    ]
    return [*lines, ""]


def _verdict_in_words(verdict: "Verdict") -> str:
    said = _interval(verdict.difference, verdict.low, verdict.high)
    return f"{verdict.a} less {verdict.b}: {said}, different? {verdict.answer}"


def _taster_in_words(mark: "TasterMark") -> str:
    level = _interval(mark.level.value, mark.level.low, mark.level.high)
    used = _interval(mark.range_used.value, mark.range_used.low, mark.range_used.high)
    return (
        f"{mark.taster}: {mark.cups} cups; level against the others {level}; range used {used}; "
        f"steady? {mark.steady}. {mark.rule}"
    )


def _interval(value: float | None, low: float | None, high: float | None) -> str:
    if value is None:
        return "not told"
    return f"{value:.2f}" if low is None or high is None else f"{value:.2f} ({low:.2f} to {high:.2f})"


def _p(p: float | None) -> str:
    return "?" if p is None else "below 0.0001" if p < 0.0001 else f"{p:.4f}"
