"""How the parts of a line are written: the form that a run of words must have before it is read as a fact.

The readers of prices, weights and heights forgive stray words, as a cell of a table must be forgiven; in a
phrase a stray word belongs to its neighbour. So a run is read only where it has one of these forms whole.
"""

import re

from wetleaf.trade.classes import CLASSES
from wetleaf.trade.money import currency_in
from wetleaf.trade.quantities import elevation_unit, weight_unit
from wetleaf.trade.spelling import squash

# A comma inside a number ("1,200", "84,50") does not divide; one after a word, or before a space, does.
DIVIDER = re.compile(r",\s+|(?<!\d),|,(?!\d)|[;；，、\n|]")
WORD = re.compile(r"\S+")
_ABOUT = r"(?:(?:about|around|circa|ca\.?|c\.|approx\.?|etwa|env\.?|some|約|约|~)\s*)?"
_NUMBER = r"(?:\d{1,3}(?: \d{3})+(?!\d)|\d[\d.,'’]*|半)"
_RANGE = rf"{_NUMBER}(?:\s*(?:-|–|to|bis|à)\s*{_NUMBER})?"
_MONEY = r"(?:[^\W\d_]{0,3}\.?\s?[$¥￥£€₹₩₫฿元圓圆円塊块₨]|[^\W\d_]{1,7}\.?)"
_PER = r"(?:/|／|per\b|je\b|pro\b|par\b|每|\ba\b|\bthe\b)\s*(?:\d+(?:[.,]\d+)?\s*)?(?P<unit>#|[^\W\d_]+)\.?"
_PRICE = re.compile(
    rf"(?:(?:@|at|for|price|preis|prix|asking|asks|價|价)\s*:?\s*)?{_ABOUT}(?:(?P<front>{_MONEY})\s*)?"
    rf"{_NUMBER}(?:,-+)?\s*(?P<back>{_MONEY})?\s*(?:{_PER})?(?:\s*(?:fob|cif|exw|net|landed))?",
    re.IGNORECASE,
)
STOCK = re.compile(
    r"^(?:available|avail\.?|stock|on offer|there (?:are|is)|verfügbar|庫存|库存|現有)\s*:?\s*"
    r"|\s*(?:available|on offer|in stock|left|there)$",
    re.IGNORECASE,
)
_WEIGHT = re.compile(
    rf"{_ABOUT}(?:{_NUMBER}\s*[x×]\s*)?{_RANGE}\s*(?P<unit>#|[^\W\d_]+)\.?(?:\s*(?:net|only|max))?",
    re.IGNORECASE,
)
_HEIGHT = re.compile(
    rf"(?:(?:alt(?:itude)?|elev(?:ation)?|at|auf|海拔|標高)\.?\s*:?\s*)?{_ABOUT}{_RANGE}\s*"
    r"(?P<unit>[^\W\d_][^\d\s,]*|['′’])(?:\s?(?:a\.?s\.?l\.?|above (?:the )?sea(?: level)?|ü\. ?m\.?|up))?",
    re.IGNORECASE,
)
UNTIL = re.compile(
    r"^(?:offer\s+)?(?:held\s+|hold\s+|holds\s+|valid\s+|on\s+hold\s+|good\s+)?"
    r"(?:till|until|til|bis|jusqu'?\s?au|valid to|by|至|到|截止)\s*(?:zum\s+|the\s+)?(?P<rest>.+)$",
    re.IGNORECASE,
)
SMALLEST = re.compile(
    r"^(?:moq|min(?:imum)?(?:\s+order)?\.?|smallest order|at least|mindestens|ab|from|au moins|"
    r"最低|起訂|起订)\s*:?\s*(?P<rest>.+)$",
    re.IGNORECASE,
)
LABEL = re.compile(
    r"^(?P<label>name|tea|maker|producer|by|code|lot|cultivar|cv|place|region|origin|class|remarks?|notes?)"
    r"\s*[:=]\s*(?P<rest>.+)$",
    re.IGNORECASE | re.DOTALL,
)
FIELD_OF_LABEL = {
    "name": "name", "tea": "name", "maker": "producer", "producer": "producer", "by": "producer",
    "code": "code", "lot": "code", "cultivar": "cultivar", "cv": "cultivar", "place": "place",
    "region": "place", "origin": "place", "class": "tea_class", "remark": "remarks", "remarks": "remarks",
    "note": "remarks", "notes": "remarks",
}  # fmt: skip
_ROAST_WORD = (
    r"(?:un|re-?)?roast(?:ed|ing)?|fired?|firing|charcoal|röstung|(?:un)?geröstet|torréfi\w*|torréfaction"
)
_HOW_MUCH = (
    r"(?:very|quite|lightly|light|slightly|medium|med|mid|middle|moderately|moderate|heavily|heavy|strongly|"
    r"strong|low|high|full|fully|half|dark|no|not|un|charcoal|wood|electric|oven|hand|traditionally|"
    r"traditional|twice|once|double|triple|leicht|mittel|stark|légère|moyenne|forte)"
)
ROAST = re.compile(
    rf"(?P<how>(?:{_HOW_MUCH}(?:\s*[-/]\s*|\s+to\s+|\s+))*)(?P<word>{_ROAST_WORD})"
    rf"(?:\s*:?\s*(?P<after>{_HOW_MUCH}(?:[-\s]+{_HOW_MUCH})*|\d.*|on .*|early .*|mid.*|late .*|"
    r"[^\W\d_]{3,9}\.? \d.*))?",
    re.IGNORECASE,
)
EASTERN_ROAST = re.compile(r"\S{0,4}(?:焙火|焙|炭|烘)\S{0,3}")
_OXIDISED = r"(?:oxidation|oxidi[sz]ed|ox\.?|fermentation|fermented|oxidiert|oxidation)"
OXIDATION = re.compile(
    rf"(?:{_OXIDISED}\s*:?\s*(?:{_ABOUT}{_RANGE}\s*%?|{_HOW_MUCH}(?:[-\s]+{_HOW_MUCH})*))"
    rf"|(?:{_ABOUT}{_RANGE}\s*%|(?:{_HOW_MUCH}[-\s]+)+)\s*{_OXIDISED}"
    rf"|\S{{0,6}}(?:發酵|发酵|発酵)\S{{0,6}}",
    re.IGNORECASE,
)
BARE_PERCENT = re.compile(rf"{_ABOUT}{_RANGE}\s*%", re.IGNORECASE)
FROM = re.compile(r"^(?:made by|grown by|from|by|von|chez)\s+(?P<who>.+)$", re.IGNORECASE)
WHERE = re.compile(r"^(?:from|in|at|near|aus)\s+(?P<place>.+)$", re.IGNORECASE)
_LINKS = frozenset(["&", "and", "und", "et", "of", "the", "de", "da", "du", "van", "von", "la", "le"])
_TITLES = re.compile(r"^(?:mr|mrs|ms|miss|dr|frau|herr|mme|m)\.?$", re.IGNORECASE)
# From one of these in small letters on, words are a remark and no tea's name (rule of the house).
_SENTENCE = frozenset(
    """
    the same as but than then more less like likes was is are were not very nice good great bad better
    best please ask asked with without for if i we he she they you it its this that our my his her says
    said again try tried need needs want wants from by about only some maybe perhaps to be will would
    can has have had at on so too und aber nicht sehr wie mit ohne für mais très comme avec pas
    """.split()  # noqa: SIM905 - read as prose
)
_GLUE = frozenset("at for in on of and a an the from by with @ - – + & / : .".split())  # noqa: SIM905 - read as prose
_MOST_WORDS_OF_A_NAME = 6
_PLAIN_CLASSES = frozenset(
    squash(name) for row in CLASSES.values() for name in (row.key, row.name, *row.names.values())
)


def has_price_form(text: str) -> bool:
    """Tell whether words are an amount with a currency or a weight it buys, and nothing else.

    >>> [has_price_form(text) for text in ("¥320/jin", "38 EUR per kg", "320 / jin", "15 kg", "12 May")]
    [True, True, True, False, False]
    """
    found = _PRICE.fullmatch(text)
    if not found:
        return False
    money = [said for said in (found["front"], found["back"]) if said]
    has_weight = bool(found["unit"]) and bool(weight_unit(found["unit"]))
    return all(is_money(said) for said in money) and (has_weight or (bool(money) and not found["unit"]))


def is_money(text: str) -> bool:
    """Tell whether a word names a currency, if perhaps one of several.

    >>> is_money("RMB"), is_money("¥"), is_money("kg")
    (True, True, False)
    """
    read = currency_in(text)
    return bool(read.value or read.noticed)


def has_weight_form(text: str) -> bool:
    """Tell whether words are a weight and nothing else.

    >>> [has_weight_form(text) for text in ("15kg", "3 x 500 g", "10-12 jin", "750 m", "15 kg Fuding")]
    [True, True, True, False, False]
    """
    found = _WEIGHT.fullmatch(text)
    return bool(found and weight_unit(found["unit"]))


def has_height_form(text: str) -> bool:
    """Tell whether words are a height above the sea and nothing else.

    >>> [has_height_form(text) for text in ("750 m", "600-800m", "4,600 ft", "15 kg", "750 m Lugu")]
    [True, True, True, False, False]
    """
    found = _HEIGHT.fullmatch(text)
    return bool(found and elevation_unit(found["unit"]))


def is_a_person(text: str) -> bool:
    """Tell whether words after "from" or "by" are written as the name of somebody.

    >>> [is_a_person(text) for text in ("Gao", "Mr gao", "Gao & Sons", "friends", "the same garden", "高")]
    [True, True, True, False, False, True]
    """
    words = text.split()
    if words and _TITLES.match(words[0]) and len(words) > 1:
        return all(word.isalpha() for word in words[1:])
    named = [word for word in words if word not in _LINKS]
    return (
        bool(named)
        and named[0] == words[0]
        and named[-1] == words[-1]
        and all(word[0].isalpha() and word[0] == word[0].upper() for word in named)
    )


def begins_a_sentence(word: str) -> bool:
    """Tell whether a word in small letters says something of a tea rather than name it.

    >>> begins_a_sentence("very"), begins_a_sentence("The"), begins_a_sentence("dan")
    (True, False, False)
    """
    return word.strip(".,!?:()") in _SENTENCE


def is_no_name(text: str) -> bool:
    """Tell whether words are too many for a tea's name, count something, or hold no letter.

    >>> is_no_name("Iron Goddess of Mercy"), is_no_name("5 tins"), is_no_name("a b c d e f g")
    (False, True, True)
    """
    words = text.split()
    counts = len(words) == 2 and words[0].isdigit() and len(words[0]) < 4
    return counts or len(words) > _MOST_WORDS_OF_A_NAME or not any(sign.isalpha() for sign in text)


def is_glue(text: str) -> bool:
    """Tell whether words only hold others together, and say nothing left alone.

    >>> is_glue("at"), is_glue("- "), is_glue("at dawn")
    (True, True, False)
    """
    return all(word.casefold() in _GLUE or not any(map(str.isalnum, word)) for word in text.split())


def is_plain_class(text: str) -> bool:
    """Tell whether words are a class of tea itself ("oolong") and not a tea of that class ("bai mu dan").

    >>> is_plain_class("Oolong"), is_plain_class("bai mu dan")
    (True, False)
    """
    return squash(text) in _PLAIN_CLASSES
