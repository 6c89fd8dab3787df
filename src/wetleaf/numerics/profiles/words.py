"""The sentences a profile is told in: the model as fitted, why a number is missing, what would settle the
rest."""

from typing import Literal

import numpy as np

from wetleaf.numerics.profiles.results import Answer
from wetleaf.numerics.profiles.strata import Stratum

Pots = Literal["not told", "one each", "some", "several"]
"""Whether brews are told apart, and whether each lot, some lots or all lots were brewed more than once."""

NAMES = {
    "taster:lot": "taster x lot",
    "taster": "taster",
    "lot:brew": "lot x brew",
    "sitting": "sitting",
}


def plural(count: int, noun: str) -> str:
    """Return a count with its noun.

    >>> plural(1, "lot"), plural(3, "lot")
    ('1 lot', '3 lots')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def listed(things: list[str]) -> str:
    """Return things as a person lists them.

    >>> listed(["taster", "sitting", "lot x brew"])
    'taster, sitting and lot x brew'
    """
    return things[0] if len(things) == 1 else f"{', '.join(things[:-1])} and {things[-1]}"


def model_in_words(
    n_lots: int, n_tasters: int, n_scores: int, random: list[str], fixed_sittings: int, reduced: list[str]
) -> str:
    """Return the fitted model in one sentence, and what was left out of it and why."""
    fixed = "Lots fixed" if n_lots > 1 else "One lot, so only its mean"
    if fixed_sittings:
        fixed += f", {plural(fixed_sittings, 'sitting')} as fixed shifts"
    drawn = f"{listed([NAMES[term] for term in random])} random" if random else "no random effect"
    size = f"{plural(n_lots, 'lot')}, {plural(n_tasters, 'taster')}, {plural(n_scores, 'score')}"
    return " ".join([f"{fixed}; {drawn}; residual. {size}.", *reduced])


def no_replicate(one_each: bool) -> str:
    """Return why the taster x lot effect is not in the model."""
    if one_each:
        return (
            "No taster scored a lot twice: the reduced model is taster + residual, and the residual holds "
            "the taster x lot effect."
        )
    return "The taster x lot effect cannot be told from the others here and is left out (reduced model)."


ONE_TASTER = (
    "One taster: no taster effect can be told; the reduced model is lots + residual, about this taster only."
)
IDENTICAL_REPEATS = "Repeated cups all carry the score of the first: they show no spread and count once."


def left_out(term: str) -> str:
    """Return why a random term other than taster x lot is not in the model."""
    return f"The {NAMES[term]} effect cannot be told from the others in this table and is left out."


def at_zero(term: str) -> str:
    """Return what a variance estimated at zero means."""
    return f"The {NAMES[term]} variance is estimated at zero (a singular fit)."


RESIDUAL_AT_ZERO = (
    "The residual variance is estimated at zero (a singular fit): what is left lies between tasters or pots, "
    "and the df are rough."
)
NOT_SETTLED = "The fit did not converge: a stratum is left with no spread. Its numbers are not given."
NO_SCORES = "No score on this attribute."
CONSTANT = "Every score is the same: nothing to compare, and no spread to compare it with."
NO_SPREAD = "The scores leave no spread beside the lots: there is no yardstick for a difference."
NO_FREEDOM = "There are as many effects as scores: no spread is left to hold a difference against."
DIFFERENCES_WITHOUT_DOUBT = frozenset({NO_SPREAD, NO_FREEDOM})
"""With these the lots' differences still stand, each "can't tell": who asks about two lots must see them."""
DISJOINED = (
    "The sittings are not joined by a lot that was in both: lots of different sittings cannot be compared."
)
DISJOINED_TASTERS = (
    "No chain of shared tasters joins all lots: between those apart, what is the lot's cannot be told from "
    "what is its tasters'. So there is no F and no p; only lots joined by shared tasters are compared."
)


def why_no_test(stratum: Stratum, pots: Pots) -> str:
    """Return why there is no decision, or nothing when there is one."""
    present = stratum.comparable.diagonal()
    if present.sum() < 2:
        return "One lot only: there is nothing to compare it with."
    if not stratum.comparable[np.ix_(present, present)].all():
        return DISJOINED_TASTERS
    if np.isfinite(stratum.f):
        return ""
    if stratum.yardstick == "none" and pots in ("several", "some"):
        return (
            "These cups cannot tell the pots' spread from the tasters': there is no yardstick for the lots."
        )
    return NO_FREEDOM if stratum.yardstick == "none" else NO_SPREAD


def join_step(why_not: str) -> str:
    """Return what would join lots that share no tasters; nothing when that is not what they lack."""
    if why_not != DISJOINED_TASTERS:
        return ""
    return "Let one taster have lots of both sides, or serve one tea to all: that ties them together."


def claim_of(n_tasters: int, pots: Pots) -> str:
    """Return about whom the answer is."""
    if pots == "one each":
        return "these pots"
    return "lots" if n_tasters > 1 else "lots, as this taster finds them"


_YARDSTICKS = {
    "taster:lot": "how differently the tasters place the lots (the taster x lot stratum, never pooled)",
    "residual": "how far this one taster's repeated cups of a lot lie apart",
    "lot:brew": "how far pots of one lot lie apart for this one taster",
    "several": "a yardstick put together from the taster x lot, pot and cup strata, none of them pooled away",
}


def rule_of(stratum: Stratum, tolerance: float | None, *, within: bool, found: bool) -> str:
    """Return the rule of a decision and what it came to."""
    basis = f"Lots are held against {_YARDSTICKS[stratum.yardstick]}, at 5 %"
    if within:
        end = "every pair's 90 % interval lies within the tolerance"
        extra = ", although a difference smaller than that was found" if found else ""
        return f"{basis}; {end} of {tolerance:g}, so no difference that matters{extra}."
    if found:
        return f"{basis}: they differ by more than that explains."
    if tolerance is None:
        return f'{basis}: no more than that explains; a "no" needs a declared tolerance.'
    return f"{basis}: no more than that explains, but a difference of {tolerance:g} is not ruled out either."


POTS_OF_THEIR_OWN = "Cups are taken as poured from pots of their own, since no pot is named."
NAME_THE_POTS = (
    "No pots are named: cups are taken as poured from pots of their own. Where tasters shared a pot, its own "
    "stray looks like the lot's and false alarms grow: name the pot (brew) of every cup."
)


def rule_of_pots(rule: str, answer: Answer) -> str:
    """Return the rule of a decision about two or more single pots."""
    return (
        "Each lot was brewed once, so this is about these pots and not about the lots. "
        f"Do the pots differ? {answer}. "
        f"{rule.replace('Lots are', 'Pots are', 1)}"
    )


def next_step(answer: Answer, claim: str, stratum: Stratum, tolerance: float | None) -> str:
    """Return what would settle what is open; nothing when nothing is."""
    if claim == "these pots":
        return "Brew each lot at least once more, from fresh leaf."
    if claim == "none":
        return ""
    if answer != "can't tell":
        return ""
    if tolerance is None:
        return "Declare the size of difference that matters, then taste again with more tasters or brews."
    if stratum.df < 10:
        return "Another taster would help most: each adds to what the yardstick rests on."
    return "More cups of each lot, in a new sitting that is planned beforehand."


def discovery_note(n_attributes: int, n_found: int, n_kept: int) -> str:
    """Return the note on how many attributes were asked at once."""
    if n_attributes < 2:
        return ""
    return (
        f"{plural(n_attributes, 'attribute')} were tested; of those on which nothing differs, about one in "
        "twenty comes out by chance alone. "
        f"{n_found} came out at 5 %; {n_kept} {'stands' if n_kept == 1 else 'stand'} with the share of false "
        "ones held at 5 % (Benjamini and Hochberg)."
    )
