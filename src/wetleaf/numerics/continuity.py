"""Is this year's lot last year's tea, or within its line's target? One answer from many differences.

Open `continuity`. The differences come from a profile or any other fit: estimate, standard error, df.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from wetleaf.trade.errors import BadInput

Answer = Literal["yes", "no", "can't tell"]

LEVEL: Final = 0.05
CHANCE_TO_SUCCEED: Final = 0.8  # that the brews asked for show sameness, if nothing has changed
MOST_BREWS: Final = 50
AGAINST_LAST_YEAR: Final = "last year's tea"
AGAINST_TARGET: Final = "the line's target"


@dataclass(frozen=True, slots=True)
class Change:
    """One attribute: this year less last year (or target), its standard error and degrees of freedom.

    `tolerance` is the change the house does not mind, fixed before tasting; None: not fixed. `lasting_se` is
    the part of `se` that more brews do not lessen (tasters who differ about it); 0 when not known.
    """

    attribute: str
    difference: float
    se: float
    df: float
    tolerance: float | None = None
    lasting_se: float = 0.0


@dataclass(frozen=True, slots=True)
class AttributeContinuity:
    """Has this attribute stayed? "yes": within the tolerance; "no": it differs; else can't tell.

    `low`..`high` is the 95 % interval, `low_90`..`high_90` the one held against the tolerance, `p` that of
    no difference, `adjusted_p` the same by Holm for all attributes, `p_outside` that of a change of the
    tolerance or more. `more_brews` are needed of each tea beyond those drunk; None when none are needed or
    would do.
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


@dataclass(frozen=True, slots=True)
class Continuity:
    """The overall answer: "yes" when all attributes are within tolerance, "no" when one differs.

    Else it can't be told, and `would_settle` says what would tell. `brews_each` and `tasters` are as asked.
    """

    question: str
    answer: Answer
    attributes: tuple[AttributeContinuity, ...]
    brews_each: int
    tasters: int
    words: str
    would_settle: str


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
    attribute is not shown to be within its tolerance; sameness when each is shown, at 5 % each, to be within
    its own. Raises BadInput for two changes of one name, a tolerance or standard error below 0, or no brews
    or tasters.

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
    attributes = tuple(_attribute(change, p, brews_each) for change, p in zip(changes, adjusted, strict=True))
    answer = _overall(attributes)
    return Continuity(
        question,
        answer,
        attributes,
        brews_each,
        tasters,
        _overall_words(attributes, answer, tasters, against, question),
        _would_settle(attributes, answer),
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


def _attribute(change: Change, adjusted_p: float, brews_each: int) -> AttributeContinuity:
    p_outside = _p_outside(change)
    low, high = _interval(change, 1 - LEVEL)
    low_90, high_90 = _interval(change, 1 - 2 * LEVEL)
    answer: Answer = "yes" if p_outside < LEVEL else "no" if adjusted_p < LEVEL else "can't tell"
    more = _more_brews(change, brews_each) if answer == "can't tell" else None
    words = _attribute_words(change, answer, more, low, high, adjusted_p)
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
    )


def _interval(change: Change, level: float) -> tuple[float, float]:
    from scipy.special import stdtrit

    if not _known(change):
        return float("nan"), float("nan")
    reach = float(stdtrit(change.df, (1 + level) / 2)) * change.se
    return change.difference - reach, change.difference + reach


def _more_brews(change: Change, brews_each: int) -> int | None:
    """The fewest further brews of each tea after which no change is shown to be none with a chance of 80 %.

    The part of the variance that brews lessen goes with 1 / brews, df rises by 2 with each brew of both.
    """
    if change.tolerance is None or not _known(change):
        return None
    lasting = min(change.lasting_se, change.se)
    for more in range(1, MOST_BREWS + 1):
        brews = brews_each + more
        se = np.sqrt(lasting**2 + (change.se**2 - lasting**2) * brews_each / brews)
        if _chance_within(change.tolerance / se, change.df + 2 * more) >= CHANCE_TO_SUCCEED:
            return more
    return None


def _chance_within(tolerance_in_se: float, df: float) -> float:
    """The chance that both one-sided tests pass if nothing has changed, with the spread taken as it is."""
    from scipy.special import ndtr, stdtrit

    room = tolerance_in_se - float(stdtrit(df, 1 - LEVEL))
    return max(0.0, 2 * float(ndtr(room)) - 1)


def _attribute_words(
    change: Change, answer: Answer, more: int | None, low: float, high: float, adjusted_p: float
) -> str:
    name = change.attribute
    if not _known(change):
        return f"{name}: can't tell, the scores never varied or are too few to know how far they stray."
    size = f"{_size(change)} ({_range(low, high)})"
    if answer == "yes":
        small = "; a small change is real" if adjusted_p < LEVEL else ""
        return f"{name}: within the tolerance of {change.tolerance:g}, {size}{small}."
    if answer == "no":
        return f"{name}: {size}{_against_tolerance(change, low, high)}."
    return f"{name}: can't tell yet, {size}; {_more_words(change, more)}."


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


def _more_words(change: Change, more: int | None) -> str:
    if change.tolerance is None:
        return "fix a tolerance before tasting, without it sameness can't be shown"
    if more is None:
        return f"even {MOST_BREWS} more brews of each would not do: ask more tasters or widen the tolerance"
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


def _would_settle(attributes: Sequence[AttributeContinuity], answer: Answer) -> str:
    if answer != "can't tell":
        return "Nothing is open."
    open_ = [attribute for attribute in attributes if attribute.answer == "can't tell"]
    needed = [attribute.more_brews for attribute in open_]
    if open_ and None not in needed:
        most = max(more for more in needed if more is not None)
        brews = "brew" if most == 1 else "brews"
        return f"About {most} more {brews} of each tea, side by side, if nothing has changed."
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
