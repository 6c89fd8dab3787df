"""The words for months, parts of a month and seasons, in the languages of the trade (common practice)."""

_MONTH_NAMES: tuple[str, ...] = (
    "january jan januar jänner janvier janv enero gennaio 一月",
    "february feb febr februar février févr fevrier 二月",
    "march mar märz maerz mrz mars marzo 三月",
    "april apr avril avr abril aprile 四月",
    "may mai mayo maggio 五月",
    "june jun juni juin 六月",
    "july jul juli juillet juil 七月",
    "august aug août aout 八月",
    "september sep sept septembre 九月",
    "october oct okt oktober octobre 十月",
    "november nov novembre 十一月",
    "december dec dez dezember décembre déc 十二月",
)
MONTHS = {name: number for number, names in enumerate(_MONTH_NAMES, 1) for name in names.split()}
PARTS = {
    spelling: part
    for part, spellings in {
        "early": "early|beginning of|beginning|start of|start|first half of|first week of|anfang|début|debut|"
        "上旬|初",
        "mid": "mid|middle of|middle|mitte|mi|中旬|中",
        "late": "late|end of|end|second half of|last week of|ende|fin|下旬|底|末",
    }.items()
    for spelling in spellings.split("|")
}
SEASONS = {
    spelling: season
    for season, spellings in {
        "spring": "spring|frühling|frühjahr|fruehling|printemps|primavera|春|haru|spr",
        "summer": "summer|sommer|été|夏|natsu",
        "autumn": "autumn|fall|herbst|automne|autumnal|秋|aki|aut",
        "winter": "winter|hiver|冬|fuyu|win",
        "winter-spring": "winter-spring|冬春|冬片",
        "first flush": "first flush|1st flush|ff|erste pflückung|première récolte|一番茶|shincha|新茶|ichibancha",  # noqa: E501
        "second flush": "second flush|2nd flush|sf|zweite pflückung|二番茶|nibancha",
        "third flush": "third flush|3rd flush|三番茶|sanbancha",
        "monsoon": "monsoon|rains|monsun",
        "before qingming": "before qingming|pre-qingming|pre qingming|mingqian|ming qian|明前",
        "before guyu": "before guyu|pre-guyu|pre guyu|yuqian|yu qian|雨前",
        "after guyu": "after guyu|雨后|雨後",
    }.items()
    for spelling in spellings.split("|")
}


def month_number(word: str) -> int | None:
    """The number of a month by its name.

    >>> month_number("Apr."), month_number("grün")
    (4, None)
    """
    return MONTHS.get(word.casefold().rstrip("."))
