"""The groups of the first screen: lots that could stand in for each other, best first, with a sentence."""

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.lots import lot_page
from wetleaf.findings.assembling.sentences import (
    any_of,
    counted,
    is_or_are,
    listed,
    said_chance,
    said_count,
    sentence,
)
from wetleaf.findings.book import Group, LotPage
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.groups import NOT_RANKED, LotGroup
from wetleaf.findings.readings.liking import LikedGroup

_VERDICT_ORDER = {"keep": 0, "maybe": 1, "": 2, "no": 3}


def group_page(group: LotGroup, cases: list[LotCase], grounds: Grounds) -> Group:
    """Put a group together, best first: by liking where lots were ranked, then by the word on them."""
    ordered = sorted(cases, key=_place)
    pages = tuple(lot_page(case, grounds) for case in ordered)
    return Group(group.name, group.class_name, group.wanted_kg, _say(cases, pages), pages)


def _place(case: LotCase) -> tuple[bool, bool, float, int, str]:
    liked = case.liked
    ranked = liked is not None and liked.ranked
    value = -liked.value if liked and case.group.can_be_ranked else 0.0
    return not case.tasted, not ranked, value, _VERDICT_ORDER.get(case.verdict, 2), case.lot.code


def _say(cases: list[LotCase], pages: tuple[LotPage, ...]) -> str:
    tasted = sum(case.tasted for case in cases)
    if not tasted:
        return f"{'Not' if len(cases) == 1 else 'None is'} tasted yet."
    liked = cases[0].liked_group
    ranking = _said_of_ranking(liked, tasted) if cases[0].group.can_be_ranked else sentence(NOT_RANKED)
    parts = [
        ranking,
        _said_of_last_year(pages),
        _said_of_untasted(len(cases) - tasted),
    ]
    return " ".join(part for part in parts if part)


def _said_of_ranking(liked: LikedGroup | None, tasted: int) -> str:
    if liked is None:
        return "Words and verdicts only: they can be read, not ranked."
    ranked = sum(one.ranked for one in liked.lots.values())
    if ranked < 2:
        return "" if tasted == 1 else "Too few were liked together to be ranked."
    if liked.best:
        return f"{liked.best} is the best of {said_count(ranked)} for these tasters."
    size = len(liked.shortlist)
    if size == ranked:
        return f"{any_of(ranked)} may be the best: can't tell yet."
    if size == 1:
        return _said_of_leader(liked, liked.shortlist[0])
    chance = "9 in 10" if liked.holds_best < 0.95 else "over 19 in 20"
    stand = "Two stand out" if size == 2 else f"{sentence(said_count(size)).rstrip('.')} stand out"
    return (
        f"{stand}, {listed(liked.shortlist)} (they hold the best in {chance}); which is best: can't tell yet."
    )


def _said_of_leader(liked: LikedGroup, leader: str) -> str:
    """A lot alone at the head that may not be named the best: its chance, and why that is not enough."""
    chance = liked.lots[leader].chance_best
    said = f" (the best with a chance of {said_chance(chance)})" if chance is not None else ""
    return f"{leader} leads{said}; from so few pots and cups it is not named the best yet."


def _said_of_last_year(pages: tuple[LotPage, ...]) -> str:
    same = [page.code for page in pages if page.last_year.answer == "yes"]
    moved = [page.code for page in pages if page.last_year.answer == "no"]
    parts = [f"{listed(same)} {is_or_are(len(same))} last year's tea"] if same else []
    moved_on = f"{listed(moved)} {is_or_are(len(moved))} not" + ("" if same else " last year's tea")
    parts += [moved_on] if moved else []
    return sentence("; ".join(parts)) if parts else ""


def _said_of_untasted(count: int) -> str:
    return sentence(f"{counted(count, 'sample')} {is_or_are(count)} not tasted yet") if count else ""
