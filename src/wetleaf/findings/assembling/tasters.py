"""How each person tasted, in words: in a flight beside the others, and alone over the season."""

import math

from wetleaf.findings.assembling.sentences import counted, listed, sentence
from wetleaf.findings.book import AloneRow, Answer, Estimate, Ground, TasterRow
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import alone, panels
from wetleaf.findings.readings.alone import AloneRead
from wetleaf.findings.readings.panels import (
    HALF_OF_THE_SCALE,
    MUCH_OF_THE_SCALE,
    FlightRead,
    TasterRead,
)
from wetleaf.numerics.profiles.tasters import Measured

_MOST_NAMED = 3


def panel_ground(read: FlightRead, how: str, grounds: Grounds) -> Ground:
    """What is said of the tasters of a flight rests on this."""
    return grounds.of(
        f"How did each person taste in {read.flight.told}?",
        method=panels.METHOD,
        digest=read.digest,
        rests_on=((listed([f"{t.name} {counted(t.cups, 'cup')}" for t in read.tasters]), how),),
    )


def taster_row(taster: TasterRead, scale: tuple[float, float]) -> TasterRow:
    """One person beside the others of a flight."""
    return TasterRow(
        name=taster.name,
        cups=taster.cups,
        cups_possible=max(taster.cups_possible, taster.cups),
        level=_level(taster, scale),
        spread=_spread(taster),
        same_cup=_same_cup(taster),
        steady=Answer("Steady?", taster.steady, taster.rule.rstrip(".")),
        says=_says(taster),
        agrees=_measured(taster.agreement),
        gains="" if taster.gain is None else _signed(taster.gain),
    )


def panel_notes(read: FlightRead) -> tuple[str, ...]:
    """Who takes larger steps, what the table's averages are worth, and that nobody was weighed."""
    table = read.table
    if table is None:
        return ()
    notes = [_steps(read.tasters)] if any(taster.slopes for taster in read.tasters) else []
    if table.trust is not None:
        notes.append(
            f"How far the table’s averages can be trusted: {_share(table.trust)} of 1, the share of their "
            "spread that is not disagreement. A taster’s gain is that share with the taster less without."
        )
    if table.weights:
        told = listed([f"{name} {said_number(weight)}" for name, weight in table.weights])
        notes.append(f"{table.said} They would be {told}.")
    else:
        notes.append(table.said)
    return tuple(notes)


def _steps(tasters: tuple[TasterRead, ...]) -> str:
    """How large a step each takes for one of the table, on the attributes where the lots surely differ."""
    named = list(dict.fromkeys(attribute for taster in tasters for attribute, _ in taster.slopes))
    more = len(named) - _MOST_NAMED
    where = listed(named) if more <= 0 else f"{', '.join(named[:_MOST_NAMED])} and {more} more"
    steps = [
        f"{taster.name} {said_number(sum(step for _, step in taster.slopes) / len(taster.slopes))}"
        for taster in tasters
        if taster.slopes
    ]
    return f"Where the lots surely differ ({where}), a step of the table is for {listed(steps)}."


def alone_row(read: AloneRead, grounds: Grounds) -> AloneRow:
    """One person alone over the season."""
    scale = f"{read.scale[0]:g} to {read.scale[1]:g}"
    return AloneRow(
        name=read.taster,
        how=f"{'blind' if read.blind else 'open or first pass'}, on {scale}",
        pairs=read.pairs,
        strays=_measured(read.strays, decimals=1),
        alike=_alike(read),
        steady=Answer(f"Is {read.taster} steady?", read.steady, ground=alone_ground(read, grounds)),
        says=sentence(_after_the_number(read.rule)),
    )


def alone_ground(read: AloneRead, grounds: Grounds) -> Ground:
    """What is said of one taster over the season rests on this."""
    return grounds.of(
        f"How steadily did {read.taster} like the same tea twice?",
        method=alone.METHOD,
        digest=read.digest,
        rests_on=((f"{counted(read.pairs, 'pair')} of repeated cups", "blind" if read.blind else "open"),),
    )


def _alike(read: AloneRead) -> Estimate | None:
    """How alike two cups of a lot are, from unlike (0) to the same (1): below 0 is drawn at 0."""
    if read.alike.value is None:
        return None
    low = math.nan if read.alike.low is None else max(read.alike.low, 0.0)
    high = math.nan if read.alike.high is None else max(read.alike.high, 0.0)
    return Estimate(max(read.alike.value, 0.0), low, high, 0, 1)


def _level(taster: TasterRead, scale: tuple[float, float]) -> Estimate | None:
    if taster.level.value is None:
        return None
    reach = max(1.0, (scale[1] - scale[0]) / 4, abs(taster.level.value))
    low = math.nan if taster.level.low is None else max(taster.level.low, -reach)
    high = math.nan if taster.level.high is None else min(taster.level.high, reach)
    return Estimate(taster.level.value, low, high, -reach, reach)


def _spread(taster: TasterRead) -> str:
    used = taster.spread.value
    if used is None:
        return "can't tell"
    share = f"{used:.0%}".replace("%", " %")
    if used < HALF_OF_THE_SCALE:
        return f"narrower, {share}"
    return f"wider, {share}" if used > MUCH_OF_THE_SCALE else f"as the table, {share}"


def _same_cup(taster: TasterRead) -> str:
    if taster.repeat_sd is None:
        return "no tea twice"
    # Two cups of one tea lie sqrt(2) standard deviations apart, as a root mean square.
    return f"{said_number(math.sqrt(2) * taster.repeat_sd)} apart"


def _says(taster: TasterRead) -> str:
    words = {
        "yes": "agrees with the table",
        "no": "does not follow the table",
        "can't tell yet": _too_uncertain(taster.rule),
    }
    used = taster.spread.value
    narrow = used is not None and used < HALF_OF_THE_SCALE
    return words[taster.steady] + ("; uses about half of the scale" if narrow else "")


def _too_uncertain(rule: str) -> str:
    """Why it can't be told; an agreement and its interval stand in a column of their own."""
    return "whether they agree can't be told yet" if ": neither clearly" in rule else _after_the_number(rule)


def _after_the_number(rule: str) -> str:
    """A rule without the number it begins with, which stands in a column of its own."""
    number, joint, rest = rule.rstrip(".").partition("): ")
    return rest if joint and "(" in number else rule.rstrip(".")


def _measured(found: Measured, *, decimals: int = 2) -> str:
    if found.value is None:
        return ""
    if found.low is None or found.high is None:
        return _share(found.value, decimals)
    return (
        f"{_share(found.value, decimals)} ({_share(found.low, decimals)} to {_share(found.high, decimals)})"
    )


def _signed(value: float) -> str:
    said = _share(abs(value))
    return said if float(said) == 0 else f"{'−' if value < 0 else '+'}{said}"


def _share(value: float, decimals: int = 2) -> str:
    text = f"{value:.{decimals}f}"
    return (text.removeprefix("-") if float(text) == 0 else text).replace("-", "−")
