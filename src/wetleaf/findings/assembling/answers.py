"""The questions asked of every lot, with one of the three answers or why they were not asked."""

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.kept import said_of_kept
from wetleaf.findings.assembling.sentences import listed
from wetleaf.findings.book import Answer, Ground
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import targets as target_readings
from wetleaf.findings.readings import years as year_readings
from wetleaf.findings.readings.years import ChangeRead, YearsRead

LAST_YEAR = "Is it last year's tea?"
TARGET = "Is it what its line should be?"
PAPERS = "Do its papers add up?"
THEIR_SCALE = (
    "The means stand on these tasters' own use of the scale; a target set by others may lie elsewhere on it."
)
_MOST_MOVED = 3


def last_year_answer(case: LotCase, grounds: Grounds) -> Answer:
    """Answer whether it is last year's tea; "no last year" and "not tasted" are no answers."""
    years = case.years
    if years is None:
        return Answer(LAST_YEAR, None, not_asked="no last year")
    if not case.tasted:
        return Answer(LAST_YEAR, None, not_asked="not tasted")
    ground = years_ground(years, grounds)
    return Answer(LAST_YEAR, years.answer, said_of_years(years), ground=ground, beside=said_of_kept(case))


def said_of_years(years: YearsRead) -> str:
    """Say in few words what moved, or why it cannot be told."""
    if years.answer != "no":
        return years.why
    moved = [change.label for change in years.moved]
    named = listed(moved[:_MOST_MOVED]) if moved else "something"
    rest = "" if len(moved) <= _MOST_MOVED else f" and {len(moved) - _MOST_MOVED} more"
    return f"{named}{rest} moved"


def years_ground(years: YearsRead, grounds: Grounds) -> Ground | None:
    """What a comparison of years rests on; None where the two never met in a cup."""
    if years.profile is None:
        return None
    table = years.profile.table
    return grounds.of(
        f"Is {years.lot.key} the tea that {years.before.key} was?",
        method=year_readings.METHOD,
        digest=years.digest,
        rests_on=(
            (f"{len(years.changes)} differences of {years.lot.key} and {years.before.key}", years.how_met),
            (f"{len(table.cups)} cups of {listed(table.lots)}", listed([f.told for f in table.flights])),
            (f"The samples of {years.lot.key} and {years.before.key}", "a kept sample may have faded"),
        ),
    )


def said_change(change: ChangeRead) -> str:
    """Say a change with its doubt.

    >>> said_change(ChangeRead("roast", 1.24, 0.6, 1.84, None, "yes"))
    'about 1.2 more roast (0.6 to 1.8)'
    >>> said_change(ChangeRead("flower", -1.1, -1.7, -0.5, None, "yes"))
    'about 1.1 less flower (0.5 to 1.7)'
    """
    more = "more" if change.difference >= 0 else "less"
    size = said_number(abs(change.difference))
    if change.low is None or change.high is None:
        return f"about {size} {more} {change.label}"
    ends = (change.low, change.high) if change.difference >= 0 else (-change.high, -change.low)
    return f"about {size} {more} {change.label} ({said_number(ends[0])} to {said_number(ends[1])})"


def target_answer(case: LotCase, grounds: Grounds) -> Answer:
    """Answer whether it lies within its line's target."""
    target = case.target
    if not case.lot.line:
        return Answer(TARGET, None, not_asked="no line named")
    if target is None:
        return Answer(TARGET, None, not_asked="no target yet" if case.tasted else "not tasted")
    ground = grounds.of(
        f"Is {case.lot.key} what {case.lot.line} should be?",
        method=target_readings.METHOD,
        digest=target.digest,
        rests_on=(
            (
                f"The target of {case.lot.line}",
                "said by the buyer, dated before the tasting or not as stored",
            ),
        ),
    )
    return Answer(TARGET, target.answer, target.why, ground=ground, beside=(THEIR_SCALE,))


def papers_answer(case: LotCase) -> Answer:
    """Answer whether the papers add up: no where facts are at odds, yes where nothing weighty is missing."""
    if case.doubts:
        fields = list(dict.fromkeys(doubt.field.replace("_", " ") for doubt in case.doubts))
        return Answer(PAPERS, "no", f"to be asked: {listed(fields)}")
    missing = listed([gap_name(gap.what) for gap in case.gaps])
    if not missing:
        return Answer(PAPERS, "yes", "nothing is missing")
    says = f"nothing contradicts; still missing: {missing}"
    return Answer(PAPERS, "can't tell yet" if case.heavy_gaps else "yes", says)


def gap_name(what: str) -> str:
    """Name what is missing: "no harvest date" is a missing harvest date.

    >>> gap_name("no harvest date"), gap_name("residue paper not asked for")
    ('harvest date', 'residue paper')
    """
    return what.removeprefix("no ").removesuffix(" not asked for")
