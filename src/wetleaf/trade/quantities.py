"""Grams, metres above the sea, degrees of oxidation and roast: as buyers write them, and what they mean.

A jin is 600 g in Taiwan and 500 g on the mainland: without a place or a currency that tells, it is asked.

Sources. Pound 453.59237 g, ounce 28.349523125 g, foot 0.3048 m: international yard and pound agreement of
1959, as printed in NIST SP 811, appendix B. Taiwan jin 600 g and tael 37.5 g; mainland jin 500 g and tael
50 g: common practice, also so in the trade notes this project was given. Hong Kong catty 604.78982 g, tael
37.79936375 g: Weights and Measures Ordinance (Cap. 68), from memory; the same catty is used in Malaysia and
Singapore, from memory. No tea is grown above about 2,700 m: common practice.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.trade.numbers import DecimalMark, Reading, ReadNumber, fold_width, parse_number

GRAMS_PER_POUND = Decimal("453.59237")
GRAMS_PER_OUNCE = Decimal("28.349523125")
METRES_PER_FOOT = Decimal("0.3048")
JIN_GRAMS: Mapping[str, Decimal] = {
    "TW": Decimal(600),
    "CN": Decimal(500),
    "JP": Decimal(600),
    "HK": Decimal("604.78982"),
    "MY": Decimal("604.78982"),
    "SG": Decimal("604.78982"),
}
TAEL_GRAMS: Mapping[str, Decimal] = {
    "TW": Decimal("37.5"),
    "CN": Decimal(50),
    "JP": Decimal("37.5"),
    "HK": Decimal("37.79936375"),
    "MY": Decimal("37.79936375"),
    "SG": Decimal("37.79936375"),
}
HIGHEST_GARDEN_M = 3000

_PLACES: Mapping[str, str] = {
    "TW": "taiwan formosa nantou lugu chiayi alishan meishan yuchi pinglin wenshan muzha lishan dayuling shanlinxi qilai"  # noqa: E501
    " mingjian songbailing hsinchu miaoli beipu emei toufen sanxia hualien taitung taipei taichung yunlin dongding"  # noqa: E501
    " 台灣 臺灣 台湾 南投 鹿谷 嘉義 阿里山 梅山 魚池 坪林 木柵 梨山 大禹嶺 杉林溪 名間 新竹 苗栗 凍頂 花蓮 台東 三峽",  # noqa: E501
    "CN": "china prc mainland fujian anxi wuyi wuyishan zhejiang hangzhou longjing yunnan lincang menghai xishuangbanna"  # noqa: E501
    " guangdong chaozhou fenghuang phoenix anhui huangshan qimen keemun sichuan mengding jiangsu dongting henan xinyang"  # noqa: E501
    " fuding zhenghe yingde hunan hubei guizhou guangxi jingdezhen puer 中国 中國 大陆 大陸 福建 安溪 武夷 武夷山 浙江 云南"  # noqa: E501
    " 雲南 广东 廣東 潮州 凤凰 鳳凰 安徽 四川 福鼎 政和 杭州 贵州 湖南",
    "HK": "hongkong 香港",
    "JP": "japan uji kyoto shizuoka kagoshima yame fukuoka wazuka kirishima miyazaki 日本 宇治 京都 静岡 鹿児島 八女",  # noqa: E501
    "IN": "india darjeeling assam nilgiri nilgiris sikkim kangra dooars terai kurseong mirik kolkata calcutta भारत दार्जिलिङ",  # noqa: E501
    "NP": "nepal ilam dhankuta terhathum panchthar kathmandu jhapa नेपाल",
    "LK": "ceylon srilanka kandy dimbula uva ruhuna nuwara sabaragamuwa colombo",
    "KR": "korea hadong boseong jeju 한국",
    "VN": "vietnam hagiang lamdong thainguyen",
    "KE": "kenya kericho nandi mombasa",
    "MY": "malaysia cameron",
    "SG": "singapore",
}
_PLACE_OF_WORD = {word: place for place, words in _PLACES.items() for word in words.split()}
_JOINED = {"sri lanka": "srilanka", "hong kong": "hongkong", "dong ding": "dongding"}


def place_in(text: str) -> str:
    """Tell the country a text speaks of as its two-letter code; `""` when none or more than one is named.

    >>> place_in("Lugu, Nantou"), place_in("福建安溪"), place_in("Upper Saddleback")
    ('TW', 'CN', '')
    """
    lowered = fold_width(text).casefold()
    for apart, joined in _JOINED.items():
        lowered = lowered.replace(apart, joined)
    words = set(re.findall(r"[^\W\d_]+", lowered))
    found = {
        place
        for word, place in _PLACE_OF_WORD.items()
        if word in words or (not word.isascii() and word in lowered)
    }
    return found.pop() if len(found) == 1 else ""


@dataclass(frozen=True)
class Weight:
    """Grams as read; a range keeps both ends, with `grams` at the lower one."""

    grams: Decimal
    grams_max: Decimal | None = None
    approximate: bool = False
    unit_written: str = ""


@dataclass(frozen=True)
class Elevation:
    """Metres above the sea: one number, or `m_min` and `m_max`; the number and unit as they were written."""

    m: int | None = None
    m_min: int | None = None
    m_max: int | None = None
    approximate: bool = False
    unit_written: str = "m"
    value_written: Decimal | None = None


@dataclass(frozen=True)
class Degree:
    """How far a tea is oxidised or roasted: a percentage, a range of them, or a word; a maker's estimate."""

    pct: Decimal | None = None
    pct_min: Decimal | None = None
    pct_max: Decimal | None = None
    word: str = ""
    approximate: bool = False
    doubtful: bool = False


_UNITS: Mapping[str, str] = {
    spelling: unit
    for unit, spellings in {
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogrammes 公斤 千克 キロ キログラム",  # noqa: E501
        "g": "g gr grs gm gms gram grams gramm gramme grammes 克 公克 グラム",
        "mg": "mg",
        "t": "t tonne tonnes mt ton tons 公噸 吨 噸",
        "lb": "lb lbs pound pounds pfund livre livres # 磅",
        "oz": "oz ozs ounce ounces unze unzen once onces 盎司",
        "jin": "jin chin kin catty catties cattie kati katis 斤",
        "jin TW": "台斤 臺斤 taijin",
        "jin CN": "市斤 shijin",
        "tael": "tael taels liang liangs 兩 两",
        "tael TW": "台兩 臺兩",
        "tael CN": "市两 市兩",
    }.items()
    for spelling in spellings.split()
}
_FIXED_GRAMS: Mapping[str, Decimal] = {
    "kg": Decimal(1000),
    "g": Decimal(1),
    "mg": Decimal("0.001"),
    "t": Decimal(1_000_000),
    "lb": GRAMS_PER_POUND,
    "oz": GRAMS_PER_OUNCE,
    "jin TW": Decimal(600),
    "jin CN": Decimal(500),
    "tael TW": Decimal("37.5"),
    "tael CN": Decimal(50),
}
_UNIT_WORD = re.compile(r"\s*(#|[^\W\d_]+)\.?", re.UNICODE)
_HARMLESS = re.compile(
    r"^\W*(?:left|min(?:imum)?|max(?:imum)?|avail(?:able)?|only|approx|net|gross|each|or more|up|now|in stock)\b",  # noqa: E501
    re.IGNORECASE,
)
_TIMES = re.compile(r"^\s*(?:x|×|\*)\s*(.+)$", re.IGNORECASE)


def weight_unit(word: str) -> str:
    """Tell the unit of weight a word means (`kg g mg t lb oz jin tael`, the last two with a
    place); `""` if none.

    >>> weight_unit("Kilos"), weight_unit("台斤"), weight_unit("chests")
    ('kg', 'jin TW', '')
    """
    return _UNITS.get(word.strip(" .()[]").casefold(), "")


def grams_in(unit: str, place: str = "", jin_grams: Decimal | None = None) -> Decimal | None:
    """Give the grams of one unit; None for a jin or a tael in a place that does not tell which.

    >>> grams_in("jin", "TW"), grams_in("jin", "CN"), grams_in("jin"), grams_in("lb")
    (Decimal('600'), Decimal('500'), None, Decimal('453.59237'))
    """
    if unit == "jin":
        return jin_grams or JIN_GRAMS.get(place)
    if unit == "tael":
        return TAEL_GRAMS.get(place)
    return _FIXED_GRAMS.get(unit)


def parse_weight(
    text: str,
    *,
    header_unit: str = "",
    place: str = "",
    decimal: DecimalMark = "",
    jin_grams: Decimal | None = None,
) -> Reading[Weight]:
    """Read a weight. `header_unit` is what the column's head says, `place` a country code for jin and tael.

    Noticed: `jin`, `tael`, `no_unit_weight`, `ambiguous_jin`, `range`, `bound`, `doubtful`,
    `negative_weight`, ...

    >>> parse_weight("10 jin", place="TW")
    Reading(value=Weight(grams=Decimal('6000'), grams_max=None, approximate=False, unit_written='jin'), noticed=('jin',))
    >>> parse_weight("10 jin").noticed, parse_weight("0,8", header_unit="kg").value.grams
    (('ambiguous_jin',), Decimal('800.0'))
    """  # noqa: E501
    half = re.sub(r"^半\s*(?=\D)", "0.5", fold_width(text).strip())
    number = parse_number(half, decimal)
    if number is None:
        return Reading(None, ("not_understood",))
    times = _TIMES.match(number.unit)
    if times and number.value is not None:
        return _multiplied(number.value, times[1], header_unit, place, decimal)
    return _weighed(number, header_unit, place, jin_grams)


def _multiplied(
    count: Decimal, each: str, header_unit: str, place: str, decimal: DecimalMark
) -> Reading[Weight]:
    one = parse_weight(each, header_unit=header_unit, place=place, decimal=decimal)
    if one.value is None or one.value.grams_max is not None:
        return one
    whole = Weight(one.value.grams * count, None, one.value.approximate, one.value.unit_written)
    return Reading(whole, (*one.noticed, "multiplied"))


def _weighed(number: ReadNumber, header_unit: str, place: str, jin_grams: Decimal | None) -> Reading[Weight]:
    found = _UNIT_WORD.match(number.unit)
    unit = weight_unit(found[1]) if found else ""
    rest = number.unit[found.end() :].strip(" .,;") if found and unit else number.unit.strip(" .,;+")
    if not unit and rest and (found or not header_unit) and not _HARMLESS.match(rest):
        return Reading(None, ("unknown_unit",))  # chests, bags: nobody knows how much is in them
    unit = unit or header_unit
    if not unit:
        return Reading(None, ("no_unit_weight",))
    each = grams_in(unit, place, jin_grams)
    if each is None:
        return Reading(None, (f"ambiguous_{unit}",))
    return _in_grams(number, each, unit, rest, asked=not header_unit.startswith(unit[:3]))


def _in_grams(number: ReadNumber, each: Decimal, unit: str, rest: str, *, asked: bool) -> Reading[Weight]:
    noticed = list(number.noticed)
    if unit[:3] == "jin" and asked:
        noticed.append("jin")
    if unit[:4] == "tael" and asked:
        noticed.append("tael")
    low = number.value if number.value is not None else number.lower
    assert low is not None
    if low < 0:
        return Reading(None, ("negative_weight",))
    if number.upper is not None:
        noticed.append("range")
    noticed += [kind for kind, seen in (("doubtful", number.doubtful), ("bound", number.bound)) if seen]
    if rest:
        noticed.append("further_words")
    high = number.upper * each if number.upper is not None else None
    return Reading(Weight(low * each, high, number.approximate, unit.split()[0]), tuple(noticed))


_METRES = re.compile(
    r"^(?:m\b|masl|msl|mtrs?|mts?\b|met(?:er|re)s?|mètres?|m\.?\s?[aü]\.|m\.?\s?s\.?\s?n\.?\s?m|公尺|米|メートル|公呎)",
    re.IGNORECASE,
)
_FEET = re.compile(r"^(?:f\.?t\b|ft|feet|foot|fuß|fuss|pieds?|'|′|’|英尺|呎|フィート)", re.IGNORECASE)


def elevation_unit(text: str) -> str:
    """Tell whether a unit's text means metres or feet: `m`, `ft` or `""`.

    >>> elevation_unit("masl"), elevation_unit("ft."), elevation_unit("kg")
    ('m', 'ft', '')
    """
    plain = text.strip(" ()[]")
    return "ft" if _FEET.match(plain) else "m" if _METRES.match(plain) else ""


def parse_elevation(text: str, *, header_unit: str = "", decimal: DecimalMark = "") -> Reading[Elevation]:
    """Read an elevation. Noticed: `unit_differs_from_header`, `no_unit`, `implausible_elevation`,
    `bound`, ...

    >>> parse_elevation("4,600 ft", header_unit="m")
    Reading(value=Elevation(m=1402, m_min=None, m_max=None, approximate=False, unit_written='ft', value_written=Decimal('4600')), noticed=('unit_differs_from_header',))
    >>> parse_elevation("600-800m").value.m_max, parse_elevation("14000 m")
    (800, Reading(value=None, noticed=('implausible_elevation',)))
    """  # noqa: E501
    number = parse_number(
        re.sub(r"^(?:alt(?:itude)?|elev(?:ation)?)\.?:?\s*", "", text.strip(), flags=re.I),
        decimal,
        whole=True,
    )
    if number is None or number.out_of is not None:
        return Reading(None, ("not_understood",))
    written = elevation_unit(number.unit)
    if number.unit.strip(" .+") and not written:
        return Reading(None, ("not_understood",))
    unit = written or header_unit or "m"
    noticed = [kind for kind in number.noticed if kind != "decimal_comma"]
    if written and header_unit and written != header_unit:
        noticed.append("unit_differs_from_header")
    if not written and not header_unit:
        noticed.append("no_unit")
    return _climbed(
        number, unit, f"{unit}" if written else f"{unit} (header)" if header_unit else "", noticed
    )


def _climbed(number: ReadNumber, unit: str, unit_written: str, noticed: list[str]) -> Reading[Elevation]:
    ends = [_metres(v, unit) for v in (number.value, number.lower, number.upper)]
    if any(v is not None and not 0 <= v <= HIGHEST_GARDEN_M for v in ends):
        return Reading(None, ("implausible_elevation",))
    if number.doubtful:
        noticed.append("doubtful")
    one, low, high = ends
    if number.bound:
        noticed.append("bound")
        one, low, high = (
            None,
            one if number.bound == "above" else None,
            one if number.bound == "below" else None,
        )
    return Reading(Elevation(one, low, high, number.approximate, unit_written, number.value), tuple(noticed))


def _metres(value: Decimal | None, unit: str) -> int | None:
    if value is None:
        return None
    return int((value * METRES_PER_FOOT if unit == "ft" else value).to_integral_value())


_DEGREE_WORDS: Mapping[str, str] = {
    spelling: word
    for word, spellings in {
        "none": "none nil no unroasted unoxidised unoxidized zero kein keine ohne nil raw 無 无 不",
        "very light": "verylight 極輕",
        "light": "light lt lite l slight lightly leicht hell léger légère 輕 轻 軽 浅 淺 minimal",
        "medium": "medium med mid middle m moderate mittel moyen moyenne 中",
        "heavy": "heavy hvy h heavily strong stark kräftig fort forte 重 深",
        "low": "low niedrig gering faible 低",
        "high": "high hoch 高",
        "part": "part partial partly semi half teilweise teil partielle 半",
        "full": "full fully voll complete complète 全",
        "dark": "dark dunkel foncé",
    }.items()
    for spelling in spellings.split()
}
DEGREE_WORDS = frozenset(_DEGREE_WORDS.values()) | {
    f"{a}-{b}" for a in _DEGREE_WORDS.values() for b in _DEGREE_WORDS.values()
}
_CJK_DEGREE = re.compile(r"[輕轻軽浅淺中重深無无低高半全]")


def parse_degree(text: str, *, header_percent: bool = False, decimal: DecimalMark = "") -> Reading[Degree]:
    """Read a degree of oxidation or roast. Noticed: `no_unit`, `doubtful`, `implausible_percent`, ...

    >>> parse_degree("20-25%").value.pct_max, parse_degree("15").noticed
    (Decimal('25'), ('no_unit',))
    >>> parse_degree("light-med").value.word, parse_degree("heavy, re-roasted 2024").value.word
    ('light-medium', 'heavy')
    >>> parse_degree("none").value
    Degree(pct=Decimal('0'), pct_min=None, pct_max=None, word='none', approximate=False, doubtful=False)
    """
    number = parse_number(text, decimal)
    if number is not None and (number.unit.startswith("%") or not re.search(r"[^\W\d_]", number.unit)):
        return _percent(number, header_percent)
    if number is not None and re.match(r"(?:percent|pct|prozent|pour ?cent)", number.unit, re.IGNORECASE):
        return _percent(number, True)
    return _degree_word(fold_width(text).strip())


def _percent(number: ReadNumber, header_percent: bool) -> Reading[Degree]:
    if number.out_of is not None:
        return Reading(None, ("not_understood",))
    ends = [v for v in (number.value, number.lower, number.upper) if v is not None]
    if any(not 0 <= v <= 100 for v in ends):
        return Reading(None, ("implausible_percent",))
    noticed = list(number.noticed)
    if "%" not in number.unit and not header_percent:
        noticed.append("no_unit")
    if number.doubtful:
        noticed.append("doubtful")
    if number.bound:
        noticed.append("bound")
        low, high = (number.value, None) if number.bound == "above" else (None, number.value)
        return Reading(Degree(None, low, high, doubtful=number.doubtful), tuple(noticed))
    degree = Degree(number.value, number.lower, number.upper, "", number.approximate, number.doubtful)
    return Reading(degree, tuple(noticed))


def _degree_word(text: str) -> Reading[Degree]:
    doubtful = text.endswith("?")
    body = text.rstrip("? ").strip()
    word = _first_run(body) or _cjk_degree(body) or body
    if not word:
        return Reading(None, ("not_understood",))
    percent = Decimal(0) if word == "none" else None
    return Reading(Degree(percent, word=word, doubtful=doubtful), ("doubtful",) if doubtful else ())


def _cjk_degree(text: str) -> str:
    found = _CJK_DEGREE.findall(text)
    return "-".join(dict.fromkeys(_DEGREE_WORDS[sign] for sign in found)) if found else ""


def _first_run(text: str) -> str:
    """Take the first words of degree that stand together: `light-med` but not what follows a comma."""
    run: list[str] = []
    for part in re.findall(r"[^\W\d_]+|[,;(.]", text.casefold()):
        known = _DEGREE_WORDS.get(part)
        if known and len(part) > (1 if part.isascii() else 0):
            if known not in run:
                run.append(known)
        elif run and part not in ("to", "bis", "à"):
            break
    prefix = "very " if re.match(r"(?:very|sehr|très|v\.?)\s", text.casefold()) and run else ""
    return prefix + "-".join(run)
