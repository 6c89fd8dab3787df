"""How often a list holds the best lot, and one named best is not: the table in docs/reference/methods.md.

    python benchmarks/best_lots.py [seasons per setting] [all]

Truths are drawn from the model with fixed spreads; a cup's is 0.4 to 1.2 points of a scale of 1 to 9 (the
prior's middle is 1), unlike between tasters. Likings stop at the ends of the scale. Beside each answer stands
one that knows all spreads: what the same cups could say at best. Without `all`: a quarter of
the settings.
"""

import sys
from collections.abc import Iterable
from dataclasses import dataclass, fields
from itertools import chain, product

import numpy as np

from wetleaf.numerics.liking_model import LikingTable, Spreads, draw_lots
from wetleaf.numerics.likings import Rating, Steadiness, table_of
from wetleaf.numerics.shortlists import shortlist

SEED = 20261125
SCALE = (1.0, 9.0)
UNLIKE = 0.3  # sd of the logarithm of a cup's spread between tasters
KNOWN_DF = 6.0
BEST_AT = 0.92


@dataclass(frozen=True)
class Setting:
    """One class of lots as tasted; `cup` in points, tau, pot and taste as multiples of it."""

    lots: int
    tasters: int
    pots: int
    shared: bool
    pot: float
    tau: float
    cup: float
    taste: float = 0.0
    steadiness_known: bool = False


@dataclass(frozen=True)
class Season:
    """What became of one season: whether the list held the best, its share of the lots, what was named."""

    held: bool
    share: float
    named: bool
    right: bool
    said: float
    held_if_known: bool
    share_if_known: float
    named_if_known: bool
    effective: float


def season(setting: Setting, rng: np.random.Generator) -> Season:
    """Return the answer on one invented season, and that of one who knows the spreads."""
    sigma = setting.cup * np.exp(rng.normal(0, UNLIKE, setting.tasters))
    lots, ratings = _tasted(setting, sigma, rng)
    known = _steadiness(setting, sigma, rng)
    names = [f"lot {i:02d}" for i in range(setting.lots)]
    found = shortlist(ratings, scale=SCALE, steadiness=known, rng=rng)
    best = names[int(lots.argmax())]
    chances = _chances_if_known(setting, ratings, sigma, names, rng)
    order = np.argsort(-chances, kind="stable")
    size = int(np.searchsorted(chances[order].cumsum(), BEST_AT)) + 1
    return Season(
        held=best in found.shortlist,
        share=len(found.shortlist) / setting.lots,
        named=found.best is not None,
        right=found.best == best,
        said=found.lots[0].chance_best,
        held_if_known=names.index(best) in order[:size],
        share_if_known=size / setting.lots,
        named_if_known=bool(chances.max() >= BEST_AT),
        effective=found.effective,
    )


def _tasted(setting: Setting, sigma: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, list[Rating]]:
    """The lots as these tasters like them on average, and the cups."""
    own = setting.cup * setting.taste * rng.normal(size=(setting.lots, setting.tasters))
    likes = setting.cup * setting.tau * rng.normal(size=(setting.lots, 1)) + own
    levels = 5 + setting.cup * rng.normal(size=setting.tasters)
    people = 1 if setting.shared else setting.tasters
    pots = setting.cup * setting.pot * rng.normal(size=(setting.lots, setting.pots, people))
    ratings = [
        Rating(
            f"lot {lot:02d}",
            f"taster {taster}",
            float(np.clip(likes[lot, taster] + pots[lot, pot, taster % people] + noise, *SCALE)),
            f"{pot}" if setting.shared else f"{taster}/{pot}",
        )
        for lot, taster, pot in product(range(setting.lots), range(setting.tasters), range(setting.pots))
        for noise in [levels[taster] + rng.normal(0, sigma[taster])]
    ]
    return likes.mean(axis=1), ratings


def _steadiness(setting: Setting, sigma: np.ndarray, rng: np.random.Generator) -> dict[str, Steadiness]:
    if not setting.steadiness_known:
        return {}
    both = np.sqrt(sigma**2 + (setting.cup * setting.pot) ** 2)
    seen = both * np.sqrt(rng.chisquare(KNOWN_DF, sigma.size) / KNOWN_DF)
    return {f"taster {j}": Steadiness(float(sd), KNOWN_DF, of_new_pots=True) for j, sd in enumerate(seen)}


def _chances_if_known(
    setting: Setting, ratings: list[Rating], sigma: np.ndarray, names: list[str], rng: np.random.Generator
) -> np.ndarray:
    table: LikingTable = table_of(ratings, names)
    tau2 = setting.cup**2 * (setting.tau**2 + setting.taste**2 / setting.tasters)
    point = Spreads(
        np.array([np.sqrt(tau2)]),
        np.array([setting.cup * setting.pot]),
        np.array([setting.cup * setting.taste]),
        sigma[None, :],
    )
    drawn = draw_lots(table, point, np.zeros(2000, dtype=np.intp), rng)
    return np.bincount(drawn.argmax(axis=1), minlength=setting.lots) / len(drawn)


def settings() -> list[Setting]:
    """Return all settings of the table, shuffled, so that every fourth makes a fair sample."""
    rng = np.random.default_rng(SEED)
    crossed = [
        (tau, pot, pots, tasters, shared)
        for tau, pot, pots, tasters, shared in product(
            (0.2, 0.5, 1.0, 3.0), (0.0, 0.5, 1.2), (1, 2, 3), (1, 2, 4), (True, False)
        )
        if shared or tasters > 1
    ]
    lots, cups, tastes, known = (
        rng.permutation(np.resize(values, len(crossed)))
        for values in ([4, 8, 16], [0.4, 0.7, 1.2], [0.0, 0.0, 0.7], [0, 1])
    )
    found = [
        Setting(
            int(lots[i]),
            tasters,
            pots,
            shared,
            pot,
            tau,
            cup=0.4 if tau == 3 else float(cups[i]),  # more would not fit the scale
            taste=float(tastes[i]) if tasters > 1 else 0.0,
            steadiness_known=bool(known[i]),
        )
        for i, (tau, pot, pots, tasters, shared) in enumerate(crossed)
    ]
    return [found[i] for i in rng.permutation(len(found))]


def row(label: str, seasons: Iterable[Season]) -> str:
    """Return a row of the table: shares in percent."""
    s = list(seasons)
    named = [one for one in s if one.named]
    wrong = f"{np.mean([not one.right for one in named]):.1%}" if named else "-"
    said = f"{1 - np.mean([one.said for one in named]):.1%}" if named else "-"
    mean = {f.name: float(np.mean([getattr(one, f.name) for one in s])) for f in fields(Season)}
    return (
        f"| {label} | {mean['held']:.1%} ({mean['held_if_known']:.1%}) | {mean['share']:.0%} "
        f"({mean['share_if_known']:.0%}) | {mean['named']:.1%} ({mean['named_if_known']:.1%}) | {wrong} "
        f"| {said} |"
    )


HEAD = (
    "| of these | list holds the best (if spreads were known) | share of lots on it | a best is named "
    "| of these wrong | said |\n|---|---|---|---|---|---|"
)


def main() -> None:
    """Print the table as Markdown: by each part of a setting, then the settings where lists held least."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    run = settings() if "all" in sys.argv else settings()[::4]
    rng = np.random.default_rng(SEED)
    found = {setting: [season(setting, rng) for _ in range(n)] for setting in run}
    print(f"{len(run)} settings of {n} seasons\n\n{HEAD}")
    print(row("all", [one for seasons in found.values() for one in seasons]))
    for part in fields(Setting):
        for value in sorted({getattr(setting, part.name) for setting in run}):
            of_part = [seasons for s, seasons in found.items() if getattr(s, part.name) == value]
            print(row(f"{part.name.replace('_', ' ')} {value}", chain.from_iterable(of_part)))
    print(f"\nLeast held:\n\n{HEAD}")
    for setting in sorted(run, key=lambda s: np.mean([one.held for one in found[s]]))[:8]:
        print(row(str(setting), found[setting]))
    print(f"\nMost often named wrongly:\n\n{HEAD}")
    wrong = {s: sum(one.named and not one.right for one in seasons) for s, seasons in found.items()}
    for setting in sorted(run, key=lambda s: -wrong[s])[:8]:
        print(row(str(setting), found[setting]))
    low = min(one.effective for seasons in found.values() for one in seasons)
    print(f"\nFewest effective points behind an answer: {low:.0f}")


if __name__ == "__main__":
    main()
