"""Is this year's lot last year's tea, or within its line's target? One answer from many differences.

Open `continuity`. The differences come from a profile or any other fit: estimate, standard error, df.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from wetleaf.numerics.further_brews import EVER, Parts, chance_to_show_sameness
from wetleaf.trade.errors import BadInput

Answer = Literal["yes", "no", "can't tell"]

LEVEL: Final = 0.05
CHANCE_TO_SUCCEED: Final = 0.8  # that the brews asked for show sameness in all, if nothing has changed
FEWEST_TO_DISAGREE: Final = 3  # tasters whose own differences can be held against a pooled yardstick
SUSPICION: Final = 0.3  # level at which they are found to differ more about this pair; see methods.md
MOST_BREWS: Final = 50
NO_NUMBER: Final = (
    "no number of brews with these tasters is likely to tell: another taster or a wider tolerance would"
)
AGAINST_LAST_YEAR: Final = "last year's tea"
AGAINST_TARGET: Final = "the line's target"


@dataclass(frozen=True, slots=True)
class Change:
    """One attribute: this year less last year (or target), its standard error and degrees of freedom.

    `tolerance` is the change the house does not mind, fixed before tasting; None: not fixed. `lasting_se` is
    the part of `se` that more brews do not lessen (tasters who differ about it); 0 when not known. `parts`
    says it better, with what is known of each part. `by_taster` are the differences as each taster gave them.
    """

    attribute: str
    difference: float
    se: float
    df: float
    tolerance: float | None = None
    lasting_se: float = 0.0
    parts: Parts | None = None
    by_taster: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class AttributeContinuity:
    """Has this attribute stayed? "yes": within the tolerance; "no": it differs; else can't tell.

    `low`..`high` is the 95 % interval, `low_90`..`high_90` the one held against the tolerance, `p` that of
    no difference, `adjusted_p` the same by Holm for all attributes, `p_outside` that of a change of the
    tolerance or more. `more_brews` of each tea beyond those drunk would show this one alone; None when none
    are needed or would do. `is_divided`: three tasters or more differ about this pair more than about other
    lots, and their own differences do not bear a change out.
    """

    attribute: str
    difference: float
    low: float
    high: float
    low_90: float
    high_90: float
    p: float
    adjusted_p: float
    tolerance: float | None
    p_outside: float
    answer: Answer
    more_brews: int | None
    words: str
    is_divided: bool = False


@dataclass(frozen=True, slots=True)
class Continuity:
    """The overall answer: "yes" when all attributes are within tolerance, "no" when one differs.

    Else it can't be told, and `would_settle` says what would tell. `brews_each` and `tasters` are as asked.
    `more_brews` of each tea would show all attributes together with a chance of 80 %, if nothing has changed;
    None where no number would, or none is needed.
    """

    question: str
    answer: Answer
    attributes: tuple[AttributeContinuity, ...]
    brews_each: int
    tasters: int
    words: str
    would_settle: str
    more_brews: int | None = None


def continuity(
    changes: Sequence[Change],
    *,
    brews_each: int,
    tasters: int,
    tied: bool,
    against: str = AGAINST_LAST_YEAR,
) -> Continuity:
    """Return whether this year's lot is still the tea that `against` names.

    `changes` holds every attribute asked about, or liking alone. `brews_each` is the smaller number of brews
    of the two teas, `tied` whether they met in one sitting or by way of a bridge tea served in both. A
    difference is claimed when its p, adjusted for the number of attributes (Holm), is below 0.05 and the
    attribute is not shown to be within its tolerance; where three tasters or more differ about this pair more
    than about other lots (F at 30 %), a t test over them has to show it too (Holm). Sameness when each is
    shown, at 5 % each, to be within its own. Raises BadInput for two changes of one name, a tolerance or
    standard error below 0, or no brews or tasters.

    References
    ----------
    1. Holm (1979), Scandinavian Journal of Statistics 6: 65-70.
    2. Schuirmann (1987), Journal of Pharmacokinetics and Biopharmaceutics 15: 657-680.
    3. Berger (1982), Technometrics 24: 295-300, for "all within" without adjustment.

    >>> found = continuity([Change("roast", 0.1, 0.2, 20, tolerance=0.6)], brews_each=4, tasters=2, tied=True)
    >>> found.answer, found.words
    ('yes', "For these 2 tasters it is still last year's tea: roast is within tolerance.")
    """
    _check(changes, brews_each, tasters)
    question = _question(changes, against)
    if not tied:
        return _not_tied(changes, question, brews_each, tasters, against)
    adjusted = _holm([_p(change) for change in changes])
    judged = zip(changes, adjusted, _divided(changes), strict=True)
    attributes = tuple(_attribute(change, p, brews_each, divided) for change, p, divided in judged)
    answer = _overall(attributes)
    more = _more_brews(changes, brews_each) if answer == "can't tell" else None
    return Continuity(
        question,
        answer,
        attributes,
        brews_each,
        tasters,
        _overall_words(attributes, answer, tasters, against, question),
        _would_settle(attributes, changes, answer, more, brews_each),
        more,
    )


def _check(changes: Sequence[Change], brews_each: int, tasters: int) -> None:
    names = [change.attribute for change in changes]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise BadInput(f"{twice} is given twice.", way_out="Give each attribute once.")
    for change in changes:
        if change.se < 0 or change.lasting_se < 0 or (change.tolerance is not None and change.tolerance <= 0):
            raise BadInput(
                f"{change.attribute}: a standard error below 0 or a tolerance of 0 or less cannot be.",
                way_out="Give the tolerance as the largest change you would not mind.",
            )
    if brews_each < 1 or tasters < 1:
        raise BadInput(
            f"{brews_each} brews and {tasters} tasters cannot tell anything.",
            way_out="Taste both teas first.",
        )


def _question(changes: Sequence[Change], against: str) -> str:
    if [change.attribute for change in changes] == ["liking"]:
        return f"Is it liked as much as {against}?"
    return f"Is it still {against}?" if against == AGAINST_LAST_YEAR else f"Is it within {against}?"


def _known(change: Change) -> bool:
    """Whether there is a spread to judge the difference by; a constant attribute has none."""
    return bool(np.isfinite([change.difference, change.se]).all() and change.se > 0 and change.df > 0)


def _p(change: Change) -> float:
    from scipy.special import stdtr

    if not _known(change):
        return float("nan")
    return float(2 * stdtr(change.df, -abs(change.difference) / change.se))


def _p_outside(change: Change) -> float:
    """Two one-sided tests: the larger p of "the change is beyond the tolerance" above and below."""
    from scipy.special import stdtr

    if change.tolerance is None or not _known(change):
        return float("nan")
    return float(stdtr(change.df, (abs(change.difference) - change.tolerance) / change.se))


def _holm(p: Sequence[float]) -> list[float]:
    """Step-down adjustment; attributes without a p (nan) keep none but count, as they were asked about."""
    order = sorted(range(len(p)), key=lambda i: (np.isnan(p[i]), p[i]))
    adjusted, largest = [float("nan")] * len(p), 0.0
    for rank, i in enumerate(order):
        if not np.isnan(p[i]):
            largest = max(largest, min(1.0, (len(p) - rank) * p[i]))
            adjusted[i] = largest
    return adjusted


def _attribute(change: Change, adjusted_p: float, brews_each: int, is_divided: bool) -> AttributeContinuity:
    p_outside = _p_outside(change)
    low, high = _interval(change, 1 - LEVEL)
    low_90, high_90 = _interval(change, 1 - 2 * LEVEL)
    differs = adjusted_p < LEVEL and not is_divided
    answer: Answer = "yes" if p_outside < LEVEL else "no" if differs else "can't tell"
    more = _more_brews([change], brews_each) if answer == "can't tell" else None
    ever = more is None and _chance([change], brews_each, EVER) >= CHANCE_TO_SUCCEED
    words = _attribute_words(change, answer, more, low, high, adjusted_p, ever, is_divided)
    return AttributeContinuity(
        change.attribute,
        change.difference,
        low,
        high,
        low_90,
        high_90,
        _p(change),
        adjusted_p,
        change.tolerance,
        p_outside,
        answer,
        more,
        words,
        is_divided,
    )


def _divided(changes: Sequence[Change]) -> list[bool]:
    """Whether tasters differ about a pair more than about others, and their own t test shows no change."""
    own = _holm([_p_by_taster(change) for change in changes])
    return [_is_suspect(change) and not p < LEVEL for change, p in zip(changes, own, strict=True)]


def _p_by_taster(change: Change) -> float:
    """A t test over the tasters' own differences; nan with fewer than three, or when none differs at all."""
    from scipy.special import stdtr

    own = np.asarray(change.by_taster, dtype=float)
    if own.size < FEWEST_TO_DISAGREE or np.ptp(own) == 0:
        return float("nan")
    t = abs(own.mean()) / (own.std(ddof=1) / np.sqrt(own.size))
    return float(2 * stdtr(own.size - 1, -t))


def _is_suspect(change: Change) -> bool:
    """Whether the tasters' differences spread more than the taster by lot stratum has it of all lots."""
    from scipy.special import fdtrc

    own = np.asarray(change.by_taster, dtype=float)
    if own.size < FEWEST_TO_DISAGREE or not _known(change):
        return False
    kept = change.parts if change.parts is not None and change.parts.lasting_df > 0 else None
    share, df = (kept.lasting, kept.lasting_df) if kept else (1.0, change.df)
    pooled = share * change.se**2 * own.size
    return bool(pooled > 0 and fdtrc(own.size - 1, df, own.var(ddof=1) / pooled) < SUSPICION)


def _interval(change: Change, level: float) -> tuple[float, float]:
    from scipy.special import stdtrit

    if not _known(change):
        return float("nan"), float("nan")
    reach = float(stdtrit(change.df, (1 + level) / 2)) * change.se
    return change.difference - reach, change.difference + reach


def _more_brews(changes: Sequence[Change], brews_each: int) -> int | None:
    """The fewest further brews of each tea that show no change in any, chance 80 % if there is none."""
    if _chance(changes, brews_each, MOST_BREWS) < CHANCE_TO_SUCCEED:
        return None
    few, enough = 0, MOST_BREWS
    while enough - few > 1:
        middle = (few + enough) // 2
        if _chance(changes, brews_each, middle) >= CHANCE_TO_SUCCEED:
            enough = middle
        else:
            few = middle
    return enough


def _chance(changes: Sequence[Change], brews_each: int, more: int) -> float:
    """The chance that all pass, attributes apart from each other given the teas."""
    return float(np.prod([_chance_of_one(change, brews_each, more) for change in changes]))


def _chance_of_one(change: Change, brews_each: int, more: int) -> float:
    """Without parts: what lasts is as given, the rest of the variance goes with 1 / brews, df stay."""
    if change.tolerance is None or not _known(change):
        return 0.0
    if change.parts is not None:
        return chance_to_show_sameness(
            change.parts,
            difference=change.difference,
            se=change.se,
            tolerance=change.tolerance,
            brews_each=brews_each,
            more=more,
        )
    lasting = min(change.lasting_se, change.se)
    se = np.sqrt(lasting**2 + (change.se**2 - lasting**2) * brews_each / (brews_each + more))
    return _chance_within(change.tolerance / se, change.df)


def _chance_within(tolerance_in_se: float, df: float) -> float:
    """The chance that both one-sided tests pass if nothing has changed, with the spread taken as it is."""
    from scipy.special import ndtr, stdtrit

    room = tolerance_in_se - float(stdtrit(df, 1 - LEVEL))
    return max(0.0, 2 * float(ndtr(room)) - 1)


def _attribute_words(
    change: Change,
    answer: Answer,
    more: int | None,
    low: float,
    high: float,
    adjusted_p: float,
    ever: bool,
    is_divided: bool,
) -> str:
    name = change.attribute
    if not _known(change):
        return f"{name}: can't tell, the scores never varied or are too few to know how far they stray."
    size = f"{_size(change)} ({_range(low, high)})"
    if answer == "yes":
        small = "; a small change is real" if adjusted_p < LEVEL else ""
        return f"{name}: within the tolerance of {change.tolerance:g}, {size}{small}."
    if answer == "no":
        return f"{name}: {size}{_against_tolerance(change, low, high)}{_of_two(change)}."
    divided = ", and the tasters are divided about it" if is_divided and adjusted_p < LEVEL else ""
    return f"{name}: can't tell yet, {size}{divided}; {_more_words(change, more, ever)}."


def _of_two(change: Change) -> str:
    """Two tasters cannot show that they disagree about this pair: then other lots say how far they do."""
    return " (by how far both tasters differ over all lots)" if len(change.by_taster) == 2 else ""


def _size(change: Change) -> str:
    return f"about {abs(change.difference):.1f} {'more' if change.difference >= 0 else 'less'}"


def _range(low: float, high: float) -> str:
    """In the direction of the change, as a buyer says it: 0.6 to 1.8, not -1.8 to -0.6."""
    return f"{-high:.1f} to {-low:.1f}" if low + high < 0 else f"{low:.1f} to {high:.1f}"


def _against_tolerance(change: Change, low: float, high: float) -> str:
    if change.tolerance is None:
        return ", with no tolerance fixed beforehand"
    if max(low, -high) > change.tolerance:
        return f", beyond the tolerance of {change.tolerance:g}"
    return f"; whether beyond the tolerance of {change.tolerance:g} can't be told"


def _more_words(change: Change, more: int | None, ever: bool) -> str:
    if change.tolerance is None:
        return "fix a tolerance before tasting, without it sameness can't be shown"
    if more is None:
        return NO_NUMBER if not ever else f"more than {MOST_BREWS} more brews of each would be needed"
    return f"about {more} more {'brew' if more == 1 else 'brews'} of each would tell, if nothing has changed"


def _overall(attributes: Sequence[AttributeContinuity]) -> Answer:
    if any(attribute.answer == "no" for attribute in attributes):
        return "no"
    return (
        "yes" if attributes and all(attribute.answer == "yes" for attribute in attributes) else "can't tell"
    )


def _overall_words(
    attributes: Sequence[AttributeContinuity], answer: Answer, tasters: int, against: str, question: str
) -> str:
    who = "this taster" if tasters == 1 else f"these {tasters} tasters"
    liking_only = question.startswith("Is it liked")
    if answer == "yes":
        if liking_only:
            return (
                f"{who.capitalize()} liked it as much as {against}; liking can't say if it is the same tea."
            )
        kept = _listed([attribute.attribute for attribute in attributes])
        still = "still" if against == AGAINST_LAST_YEAR else "within"
        verb = "is" if len(attributes) == 1 else "are all"
        return f"For {who} it is {still} {against}: {kept} {verb} within tolerance."
    if answer == "no":
        changed = _listed(
            [attribute.words.rstrip(".") for attribute in attributes if attribute.answer == "no"]
        )
        return f"For {who} it is not {'liked as much as ' if liking_only else ''}{against}: {changed}."
    open_ = [attribute.attribute for attribute in attributes if attribute.answer == "can't tell"]
    return (
        f"Can't tell yet for {who}: open are {_listed(open_)}."
        if open_
        else "Can't tell: nothing was compared."
    )


def _would_settle(
    attributes: Sequence[AttributeContinuity],
    changes: Sequence[Change],
    answer: Answer,
    more: int | None,
    brews_each: int,
) -> str:
    if answer != "can't tell":
        return "Nothing is open."
    if changes and more is not None:
        brews = "brew" if more == 1 else "brews"
        return f"About {more} more {brews} of each tea, side by side, if nothing has changed."
    if all(change.tolerance is not None and _known(change) for change in changes) and changes:
        together = (
            "" if _chance(changes, brews_each, EVER) >= CHANCE_TO_SUCCEED else f"Together: {NO_NUMBER}."
        )
        return together or f"More than {MOST_BREWS} more brews of each tea would be needed."
    open_ = [attribute for attribute in attributes if attribute.answer == "can't tell"]
    return (
        " ".join(attribute.words for attribute in open_) or "Taste both teas in one sitting and score them."
    )


def _not_tied(
    changes: Sequence[Change], question: str, brews_each: int, tasters: int, against: str
) -> Continuity:
    nan = float("nan")
    why = f"it and {against} were tasted in different sittings and no tea was served in both"
    attributes = tuple(
        AttributeContinuity(
            change.attribute, nan, nan, nan, nan, nan, nan, nan, change.tolerance, nan, "can't tell", None,
            f"{change.attribute}: can't tell, {why}.",
        )
        for change in changes
    )  # fmt: skip
    return Continuity(
        question,
        "can't tell",
        attributes,
        brews_each,
        tasters,
        f"Can't tell: {why}, so a change of tea and a change of day look alike.",
        "Serve a kept sample of last year's tea beside this year's in one sitting.",
    )


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
