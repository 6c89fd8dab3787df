"""Which facts go with which attributes: one answer for every pair, adjusted for how many were asked."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from scipy.stats import false_discovery_control

from wetleaf.numerics.associations.archive import Archive, Pair, pair_of
from wetleaf.numerics.associations.chances import FEWEST_MAKERS, chance_alone
from wetleaf.numerics.associations.shrunk import shrunk_fit, skill_without_makers, skill_without_seasons
from wetleaf.trade.errors import BadInput

FALSE_DISCOVERIES: Final = 0.05  # of the pairs said to go together, about so many by luck
FEWEST_LOTS: Final = 10


@dataclass(frozen=True, slots=True)
class Tie:
    """Does `fact` go with `attribute`?

    "yes" when luck would seldom do as well among all pairs asked (`p_adjusted` 0.05 or less, Benjamini and
    Hochberg) and makers left out were foretold better than by their season's mean. "no sign of it" is what
    it says: it is no proof that there is nothing. "can't tell" with fewer than ten lots or eight makers.

    `effects` are points of the attribute: for a number per `per` units of it, for names against the mean of
    all, drawn towards none. `skill_makers` and `skill_seasons` are shares of squares foretold, nan: not told.
    """

    fact: str
    attribute: str
    answer: Literal["yes", "no sign of it", "can't tell"]
    effects: dict[str, float]
    per: float | None
    lots: int
    makers: int
    seasons: int
    p: float
    p_adjusted: float
    skill_makers: float
    skill_seasons: float
    words: str


def what_goes_with_what(archive: Archive, *, rng: np.random.Generator) -> tuple[Tie, ...]:
    """Return for every fact and attribute of the archive whether they go together, the surest first.

    Raises BadInput for an archive without facts or attributes.

    >>> rng = np.random.default_rng(3)
    >>> makers = np.repeat(np.arange(10), 3)
    >>> metres = rng.uniform(200, 2000, 10)[makers]
    >>> archive = Archive(
    ...     attributes={"floral": metres / 500 + rng.normal(0, 0.4, 30)},
    ...     measured={"elevation": metres, "weeks old": rng.normal(8, 2, 30)},
    ...     named={},
    ...     makers=makers.astype(str),
    ...     seasons=["2025"] * 30,
    ... )
    >>> [(tie.fact, tie.answer) for tie in what_goes_with_what(archive, rng=rng)]
    [('elevation', 'yes'), ('weeks old', 'no sign of it')]
    """
    facts = [*archive.measured, *archive.named]
    if not facts or not archive.attributes:
        raise BadInput(
            "There are no facts or no attributes to lay side by side.", way_out="Give one of each or more."
        )
    asked = [(fact, name, pair_of(archive, fact, name)) for fact in facts for name in archive.attributes]
    chances = np.array(
        [np.nan if pair is None or _too_few(pair) else chance_alone(pair, rng=rng) for _, _, pair in asked]
    )
    adjusted = np.full(len(chances), np.nan)
    told = np.isfinite(chances)
    if told.any():
        adjusted[told] = false_discovery_control(chances[told])
    ties = [
        _tie(fact, name, pair, float(p), float(q))
        for (fact, name, pair), p, q in zip(asked, chances, adjusted, strict=True)
    ]
    return tuple(sorted(ties, key=lambda tie: (np.isnan(tie.p), tie.p, -_or_zero(tie.skill_makers))))


def _too_few(pair: Pair) -> bool:
    return len(pair.attribute) < FEWEST_LOTS or np.unique(pair.makers).size < FEWEST_MAKERS


def _or_zero(value: float) -> float:
    return 0.0 if np.isnan(value) else value


def _tie(fact: str, attribute: str, pair: Pair | None, p: float, adjusted: float) -> Tie:
    if pair is None:
        return _untold(fact, attribute, 0, 0, 0)
    lots, makers, seasons = len(pair.attribute), _count(pair.makers), _count(pair.seasons)
    if np.isnan(p):
        return _untold(fact, attribute, lots, makers, seasons)
    fit = shrunk_fit(pair.attribute, pair.columns, pair.seasons)
    by_maker, by_season = skill_without_makers(pair), skill_without_seasons(pair)
    together = adjusted <= FALSE_DISCOVERIES and by_maker > 0
    per = None if pair.labels != ("",) else pair.spread
    effects = {label: float(effect) for label, effect in zip(pair.labels, fit.effects, strict=True)}
    return Tie(
        fact=fact,
        attribute=attribute,
        answer="yes" if together else "no sign of it",
        effects=effects,
        per=per,
        lots=lots,
        makers=makers,
        seasons=seasons,
        p=p,
        p_adjusted=adjusted,
        skill_makers=by_maker,
        skill_seasons=by_season,
        words=_words(fact, attribute, effects, per, by_maker)
        if together
        else _no_sign(fact, attribute, lots),
    )


def _count(codes: np.ndarray) -> int:
    return int(np.unique(codes).size)


def _untold(fact: str, attribute: str, lots: int, makers: int, seasons: int) -> Tie:
    nan = float("nan")
    words = (
        f"{fact} and {attribute}: can't tell from {lots} lots of {makers} makers that differ in {fact}; "
        f"{FEWEST_LOTS} lots of {FEWEST_MAKERS} makers are the least."
    )
    return Tie(fact, attribute, "can't tell", {}, None, lots, makers, seasons, nan, nan, nan, nan, words)


def _words(fact: str, attribute: str, effects: dict[str, float], per: float | None, skill: float) -> str:
    foretold = f"(foretells {skill:.0%} of what sets unseen makers apart)"
    if per is not None:
        effect = effects[""]
        more = "more" if effect > 0 else "less"
        return f"More {fact} goes with {more} {attribute}: {abs(effect):.1f} points per {per:.3g} {foretold}."
    most, least = max(effects, key=effects.__getitem__), min(effects, key=effects.__getitem__)
    return (
        f"{attribute} goes with {fact}: most with {most} ({effects[most]:+.1f}), least with {least} "
        f"({effects[least]:+.1f}) {foretold}."
    )


def _no_sign(fact: str, attribute: str, lots: int) -> str:
    return f"No sign that {attribute} goes with {fact}, in {lots} lots; that is no proof that it does not."
