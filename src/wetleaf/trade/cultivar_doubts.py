"""What is odd about a cultivar: not grown there, too young, too high, misspelt, or another in the name."""

from collections.abc import Iterator

from wetleaf.trade.classes import classes_in
from wetleaf.trade.cultivars import Cultivar, cultivars_named_in, find_cultivars, suggest_cultivars
from wetleaf.trade.facts import HOUSE_RULE, Doubt, doubt, said_metres
from wetleaf.trade.quantities import HIGHEST_GARDEN_M
from wetleaf.trade.seen_lot import ELEVATION_SLACK_M, SeenLot, is_unsaid, place_words


def doubts_of_cultivar(lot: SeenLot) -> Iterator[Doubt]:
    said = lot.facts.cultivar.strip()
    if is_unsaid(said):
        return
    if lot.cultivar is None:
        yield from _spelling_doubt(said)
    elif lot.cultivar.is_guess:
        what, why = f"cultivar '{said}'", "the paper itself is not sure"
        yield doubt(what, "cultivar", why, HOUSE_RULE, "cultivar_uncertain", 52, cultivar=said)
    for cultivar in find_cultivars(said) or ((lot.cultivar.cultivar,) if lot.cultivar else ()):
        for check in (_grown_elsewhere, _too_young, _too_high, _taken_for_another):
            yield from check(lot, cultivar)
    yield from _name_says_another(lot)


def _spelling_doubt(said: str) -> Iterator[Doubt]:
    for near in suggest_cultivars(said, most=1):
        what, why = f"cultivar '{said}' is not in our table", f"it is close to '{near.name}'"
        source = str(near.cultivar.ground)
        blanks = {"cultivar": said, "suggestion": near.cultivar.name}
        yield doubt(what, "cultivar", why, source, "cultivar_spelling", 35, **blanks)


def _grown_elsewhere(lot: SeenLot, cultivar: Cultivar) -> Iterator[Doubt]:
    origin, country = lot.place.origin, lot.place.country
    listed_there = origin is not None and any(
        cultivar in find_cultivars(name) for name in origin.main_cultivars
    )
    if country is None or listed_there:
        return
    blanks = {"cultivar": lot.facts.cultivar.strip(), "place": place_words(lot)}
    if country not in cultivar.grown_in:
        why = f"our table knows {cultivar.name} from {', '.join(cultivar.grown_in)}"
        what = f"{cultivar.name} is not known from {country}"
        yield doubt(what, "cultivar", why, str(cultivar.ground), "cultivar_elsewhere", 78, **blanks)
    elif origin and cultivar.classes and not set(classes_in(origin.main_types)) & set(cultivar.classes):
        why = f"it is grown for {cultivar.typical_teas}; {origin.name} makes {origin.main_types}"
        what = f"{cultivar.name} is unusual at {origin.name}"
        yield doubt(what, "cultivar", why, str(origin.ground), "cultivar_elsewhere", 46, **blanks)


def _too_young(lot: SeenLot, cultivar: Cultivar) -> Iterator[Doubt]:
    vintage, released = lot.facts.vintage, cultivar.released_year
    if vintage and released and vintage < released:
        what = f"{cultivar.name} was released in {released}, the tea is of {vintage}"
        why = f"released {cultivar.released_text} as far as our table knows; trial plots may be older"
        blanks = {"cultivar": lot.facts.cultivar.strip(), "released": str(released), "harvest": str(vintage)}
        yield doubt(what, "cultivar", why, str(cultivar.ground), "cultivar_too_young", 86, **blanks)


def _too_high(lot: SeenLot, cultivar: Cultivar) -> Iterator[Doubt]:
    span, highest = lot.facts.elevation_m, cultivar.elevation_m_max
    if span and highest and HIGHEST_GARDEN_M >= span[0] > highest + ELEVATION_SLACK_M:
        what = f"{cultivar.name} at {said_metres(span)} m"
        why = f"it is seldom planted above about {highest} m"
        blanks = {"cultivar": lot.facts.cultivar.strip(), "elevation": said_metres(span)}
        blanks["highest"] = str(highest)
        yield doubt(what, "cultivar", why, cultivar.elevation_source, "cultivar_too_high", 74, **blanks)


def _taken_for_another(lot: SeenLot, cultivar: Cultivar) -> Iterator[Doubt]:
    """TTES 8 (Assam type, for black tea) and Tai Nong 8 (a breeding line) are often taken for one another."""
    is_odd_ttes_8 = cultivar.key == "ttes_8" and lot.tea_class not in ("", "black")
    if is_odd_ttes_8 or cultivar.key == "tai_nong_8":
        why = "TTES 8 is an Assam type grown for black tea, Tai Nong 8 a breeding line; pages mix the two up"
        what = f"'{lot.facts.cultivar.strip()}' may be another plant"
        said = lot.facts.cultivar.strip()
        yield doubt(what, "cultivar", why, str(cultivar.ground), "cultivar_which_8", 58, cultivar=said)


def _name_says_another(lot: SeenLot) -> Iterator[Doubt]:
    stated = find_cultivars(lot.facts.cultivar)
    named = [reading.cultivar for reading in cultivars_named_in(lot.facts.name) if reading.sure]
    other = next((cultivar for cultivar in named if cultivar not in stated), None)
    if stated and other:
        what = f"the name says {other.name}, the paper {stated[0].name}"
        blanks = {"cultivar": lot.facts.cultivar.strip(), "other": other.name}
        yield doubt(what, "cultivar", "one of the two is wrong", HOUSE_RULE, "cultivar_differs", 76, **blanks)
