"""The questions asked of every lot, with one of the three answers or why they were not asked."""

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.kept import said_of_kept
from wetleaf.findings.assembling.sentences import counted, listed
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
_A_CLEAR_STEP = 0.1  # of the scale, where no tolerance says what matters


def last_year_answer(case: LotCase, grounds: Grounds) -> Answer:
    """Answer whether it is last year's tea; "no last year" and "not tasted" are no answers."""
    years = case.years
    if years is None:
        return Answer(LAST_YEAR, None, not_asked="no last year")
    if not case.tasted:
        return Answer(LAST_YEAR, None, not_asked="not tasted")
    ground = years_ground(years, grounds)
    beside = (*said_of_kept(case), *years.resting)
    return Answer(LAST_YEAR, years.answer, said_of_years(years), ground=ground, beside=beside)


def said_of_years(years: YearsRead) -> str:
    """Say in few words what moved and how clearly, what stayed, what is open; or why it cannot be told."""
    if years.profile is None or not years.changes or years.why == year_readings.ONE_POT:
        return years.why
    if years.faded:
        return f"{years.why}; {_said_now(years)}"
    if years.answer == "yes":
        return f"{years.why}{_excluded_in_all(years)}"
    parts = [_said_moved(years), _said_stayed(years), _said_open(years)]
    return "; ".join(part for part in parts if part)


def _said_now(years: YearsRead) -> str:
    """How it lies beside the kept sample as that is now, or as far as a tie goes that may have changed."""
    moved = [said_size(one, _scale(years)) for one in years.moved]
    found = listed([*moved[:_MOST_MOVED], *_more(moved)]) if moved else "no sure difference"
    beside = "beside that sample as it is now" if years.is_own_faded else "as far as that tie goes"
    return f"{beside}: {found}"


def _scale(years: YearsRead) -> tuple[float, float]:
    return years.profile.table.scale if years.profile else (0, 10)


def _more(names: list[str]) -> list[str]:
    rest = len(names) - _MOST_MOVED
    return [counted(rest, "more", "more")] if rest > 0 else []


def _said_moved(years: YearsRead) -> str:
    moved = [said_size(change, _scale(years)) for change in years.moved]
    if not moved:
        return "nothing surely moved" if years.has_tolerance else years.why
    return listed([*moved[:_MOST_MOVED], *_more(moved)])


def said_size(change: ChangeRead, scale: tuple[float, float]) -> str:
    """Say how far a thing moved, in words: clearly is by the tolerance or more, without one by a tenth.

    >>> said_size(ChangeRead("roast", 1.24, 0.6, 1.84, 0.6, "yes"), (0, 7))
    'clearly more roast'
    >>> said_size(ChangeRead("fruit", -0.4, -0.7, -0.1, 0.6, "yes"), (0, 7))
    'a little less fruit'
    """
    enough = change.tolerance or (scale[1] - scale[0]) * _A_CLEAR_STEP
    how = "clearly" if abs(change.difference) >= enough else "a little"
    return f"{how} {'more' if change.difference >= 0 else 'less'} {change.label}"


def _said_stayed(years: YearsRead) -> str:
    stayed = [change.label for change in years.changes if change.answer == "no"]
    return f"{_named(stayed)} the same" if stayed else ""


def _said_open(years: YearsRead) -> str:
    open_ = [change.label for change in years.changes if change.answer == "can't tell yet"]
    return f"can't tell: {_named(open_)}" if open_ else ""


def _named(labels: list[str]) -> str:
    return listed([*labels[:_MOST_MOVED], *_more(labels)])


def _excluded_in_all(years: YearsRead) -> str:
    sizes = [change.excluded for change in years.changes]
    known = [size for size in sizes if size is not None]
    return (
        f"; no change of {said_number(max(known))} or more in any"
        if known and len(known) == len(sizes)
        else ""
    )


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
            (f"The samples of {years.lot.key} and {years.before.key}", _said_lasting(years)),
        ),
    )


def _said_lasting(years: YearsRead) -> str:
    if years.faded:
        return f"{listed([one.lot.key for one in years.faded])}: kept, and changed for all we know"
    if years.left_out:
        out = listed([one.lot.key for one in years.left_out])
        return f"the kept sample of {out} may have changed: its cups are left out"
    return "kept samples have lasted by common practice" if years.kept else "no kept sample among them"


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
