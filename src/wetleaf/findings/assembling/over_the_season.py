"""What belongs to no flight: trials of difference, preferences and their ranking, each taster alone."""

from wetleaf.findings.assembling.anchors import anchor_of
from wetleaf.findings.assembling.sentences import counted, is_or_are, listed, said_chance, sentence
from wetleaf.findings.assembling.tasters import alone_row
from wetleaf.findings.assembling.trials import preference_ground, said_preference, size_key, trial_pair
from wetleaf.findings.book import Answer, AnswerWord, Estimate, FlightPage, Ground, RankedLots, RankedRow
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import preferred
from wetleaf.findings.readings.preferred import RankedLot, RankedRead
from wetleaf.findings.readings.seasons import SeasonRead

OVER_THE_SEASON = "Over the season"


def has_something_over_the_season(season: SeasonRead) -> bool:
    """Whether there is anything to tell beside the flights."""
    return bool(season.differences or season.preferences or season.alone)


def over_the_season(season: SeasonRead, grounds: Grounds) -> FlightPage:
    """The page of what belongs to no flight."""
    pairs = tuple(trial_pair(one, grounds) for one in season.differences)
    ranked = tuple(_ranked(one, grounds) for one in season.ranked)
    alone = tuple(alone_row(one, grounds) for one in season.alone)
    kept = [pair.answer.ground for pair in pairs]
    kept += [preference_ground(one, grounds) for one in season.preferences]
    kept += [one.answer.ground for one in ranked]
    kept += [row.steady.ground for row in alone]
    asked = [*(one.pair for one in season.differences), *(one.pair for one in season.preferences)]
    lots = sorted({key for pair in asked for key in pair})
    return FlightPage(
        name=OVER_THE_SEASON,
        anchor=anchor_of("flight", OVER_THE_SEASON),
        held_on=None,
        how="as answered; the claims are about these tasters",
        say=_say(season),
        lots=tuple(named_lot(season, key) for key in lots),
        tasters=(),
        profile=None,
        trials=pairs,
        preferences=tuple(said_preference(one) for one in season.preferences),
        grounds=tuple(ground for ground in kept if ground is not None),
        trials_key=size_key() if any(pair.size for pair in pairs) else "",
        ranked=ranked,
        alone=alone,
    )


def named_lot(season: SeasonRead, key: str) -> str:
    """A lot's code and name."""
    names = {lot.key: lot.name for lot in season.records.lot_of.values()}
    return f"{key} {names[key]}" if key in names else key


def _say(season: SeasonRead) -> str:
    asked_of: list[AnswerWord] = [one.answer for one in season.differences]
    asked_of += [one.answer for one in season.preferences]
    parts = []
    if asked_of:
        found = sum(answer != "can't tell yet" for answer in asked_of)
        answered = counted(found, "has an answer", "have an answer") if found else "none has an answer yet"
        parts.append(f"{counted(len(asked_of), 'pair')} {is_or_are(len(asked_of))} asked about; {answered}")
    steady = [one.taster for one in season.alone if one.steady == "yes"]
    if steady:
        names = list(dict.fromkeys(steady))
        parts.append(f"{listed(names)} {is_or_are(len(names))} steady over the season")
    elif season.alone:
        parts.append("how steady anybody alone is can't be told yet")
    return " ".join(map(sentence, parts))


def _ranked(read: RankedRead, grounds: Grounds) -> RankedLots:
    question = f"Which is the best of {counted(len(read.lots), 'lot')}, by pairs?"
    ground: Ground = grounds.of(
        f"{question} {read.group}",
        method=preferred.METHOD,
        digest=read.digest,
        rests_on=(
            (counted(read.choices, "choice"), f"made by {listed(read.tasters) or 'people not named'}"),
        ),
    )
    reach = max(abs(end) for lot in read.lots for end in (lot.low, lot.high))
    return RankedLots(
        name=read.group,
        answer=Answer(question, read.answer, _said_best(read), ground=ground),
        rows=tuple(_row(lot, reach) for lot in read.lots),
        about=_about(read),
        settle="" if read.best else _settle(read),
    )


def _row(lot: RankedLot, reach: float) -> RankedRow:
    ties = f", {counted(lot.ties, 'level', 'level')}" if lot.ties else ""
    return RankedRow(
        lot.lot,
        Estimate(lot.strength, lot.low, lot.high, -reach, reach),
        lot.chance_best,
        f"{lot.wins} won, {lot.losses} lost{ties}",
    )


def _said_best(read: RankedRead) -> str:
    if read.best:
        return f"{read.best} is the best for these tasters"
    if len(read.shortlist) == len(read.lots):
        return f"any of them may be; {read.lots[0].lot} leads"
    often = said_chance(read.holds_best).replace(" in ", " times in ")
    return f"{listed(read.shortlist, 'or')} (it is among them {often})"


def _about(read: RankedRead) -> str:
    leader = read.lots[0].lot
    others = sorted({read.at_half, read.at_twice} - {leader})
    stands = f"{listed(others)} would lead" if others else f"{leader} leads too"
    return (
        "Strength against the mean of these lots, drawn in where pairs are few; one unit more is preferred "
        f"73 times in 100. Should lots differ half or twice as much as is usual, {stands}. "
        f"For {listed(read.tasters) or 'who answered'} only."
    )


def _settle(read: RankedRead) -> str:
    rivals = [lot for lot in read.shortlist if lot != read.lots[0].lot]
    beside = f" beside {listed(rivals)}" if rivals else ""
    return f"Brew {read.lots[0].lot} again{beside}; wetleaf rank next names the row."
