"""Numbers as people write them: decimal commas, thousands marks, halves, `6/10`, ranges, bounds, doubts.

Nothing is guessed in silence. What had to be tidied or assumed is named in `noticed`; a text that is not a
number is None. Which sign is the decimal mark is a fact about a whole column: see `decimal_mark_of`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Generic, Literal, TypeVar

DecimalMark = Literal[".", ",", ""]
Bound = Literal["below", "above", ""]
T = TypeVar("T")

MISSING_MARKS = frozenset(
    re.split(
        r"\s+",
        r"- – — -- --- ― − . .. ... … / \ * x xx ? ?? na n/a n.a. n.a #n nt n.t. n/t nd n.d. nil null missing blank"  # noqa: E501
        r" tbc tba tbd unknown pending k.a. k.a entf. entfällt fehlt unbekannt inconnu 無 无 未 未知 不明 なし 缺 缺席"  # noqa: E501
        r" absent untasted skipped",
    )
) | {
    "not tasted",
    "not known",
    "not given",
    "not stated",
    "no data",
    "no answer",
    "to be confirmed",
    "keine angabe",
}


@dataclass(frozen=True)
class Reading(Generic[T]):
    """A value read from a cell, and the kinds of things noticed on the way; `value` is None if unusable."""

    value: T | None
    noticed: tuple[str, ...] = ()


@dataclass(frozen=True)
class ReadNumber:
    """A number as written: one value, or a range (`lower`, `upper`), or a bound, with the unit
    that followed it.
    """

    value: Decimal | None
    lower: Decimal | None = None
    upper: Decimal | None = None
    bound: Bound = ""
    approximate: bool = False
    doubtful: bool = False
    out_of: Decimal | None = None
    unit: str = ""
    noticed: tuple[str, ...] = ()


_SPACES = " \u00a0\u202f\u2009"
_APOSTROPHES = "'’"
_FRACTIONS = {
    c: Fraction(n, d) for c, n, d in (("½", 1, 2), ("¼", 1, 4), ("¾", 3, 4), ("⅓", 1, 3), ("⅔", 2, 3))
}
_DIGITS = rf"(?:\d{{1,3}}(?:[{_SPACES}{_APOSTROPHES}]\d{{3}})+(?:[.,]\d+)?(?!\d)|\d+(?:[.,]\d+)*|[.,]\d+)"
_SIGNS = "".join(_FRACTIONS)
_NUMBER = re.compile(
    rf"(?P<sign>[-−+](?=\s?[\d.,{_SIGNS}]))?\s?"
    rf"(?:(?P<digits>{_DIGITS})(?:\s?(?P<part>[{_SIGNS}])|\s(?P<top>\d)/(?P<bottom>[2348])(?!\d))?|(?P<alone>[{_SIGNS}]))"
)
_HEADS: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "approximate",
        re.compile(
            r"(?:circa|ca\.?|c\.|c(?=\s?\d)|approx(?:imately|\.)?|about|around|roughly|some|etwa|rund|ungefähr"
            r"|environ|env\.?|大約|大约|約|约|~|≈|±)\s*",
            re.IGNORECASE,
        ),
    ),
    (
        "above",
        re.compile(
            r"(?:>=|≥|>|over|above|more than|at least|min(?:imum|\.)?|mindestens|über|plus de|au moins)\s*",
            re.IGNORECASE,
        ),
    ),
    (
        "below",
        re.compile(
            r"(?:<=|≤|<|under|below|less than|up to|at most|max(?:imum|\.)?|höchstens|unter|bis zu|moins de)\s*",  # noqa: E501
            re.IGNORECASE,
        ),
    ),
)
_DASH = re.compile(r"\s*(?:-|–|—|−|~|〜|…|\.\.\.|to\b|bis\b|à\b|至|到)\s*", re.IGNORECASE)
_UNIT_BEFORE_DASH = re.compile(
    r"\s*[^\d\s.,~<>=–—−〜-]{1,8}(?=\s*(?:-|–|—|−|~|〜|to\b|bis\b)\s*\d)", re.IGNORECASE
)
_OUT_OF = re.compile(r"\s*(?:/|out of|of|von|sur)\s*(\d{1,3})(?![\d.,])", re.IGNORECASE)
_DOUBT = re.compile(r"\s*\(?\?+\)?\s*$")
_FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)} | {
    0x3000: 0x20,
    0xA0: 0x20,
    0x202F: 0x20,
    0xFFE0: 0xA2,  # the wide forms of cent, pound, yen and won
    0xFFE1: 0xA3,
    0xFFE5: 0xA5,
    0xFFE6: 0x20A9,
}


def is_missing_mark(text: str) -> bool:
    """Say whether a text stands for "no value": a dash, `n/a`, `x`, `not tasted`.

    >>> is_missing_mark(" n/a "), is_missing_mark("good")
    (True, False)
    """
    return text.strip().casefold() in MISSING_MARKS


def decimal_mark_of(texts: Iterable[str]) -> DecimalMark:
    """Tell which sign a column uses before its decimals, from cells that leave no choice; `""` if none does.

    A sign followed by one, two or more than three digits is a decimal mark; a sign that stands twice, or
    before the other one, is not. One group of three (`1,200`) proves nothing. Both kinds in one column: "".

    >>> decimal_mark_of(["84,50", "1.120,00"]), decimal_mark_of(["1,200", "3.5"]), decimal_mark_of(["1,200"])
    (',', '.', '')
    """
    votes = {".": 0, ",": 0}
    for text in texts:
        for digits in re.findall(r"\d+(?:[.,]\d+)+", text):
            mark = _certain_mark(digits)
            if mark:
                votes[mark] += 1
    if votes["."] and votes[","]:
        more, less = (".", ",") if votes["."] > votes[","] else (",", ".")
        return more if votes[more] >= 4 * votes[less] else ""  # type: ignore[return-value]
    return "." if votes["."] else "," if votes[","] else ""


def _certain_mark(digits: str) -> Literal[".", ",", ""]:
    signs = [c for c in digits if c in ".,"]
    last = signs[-1]
    tail = digits.rsplit(last, 1)[1]
    if len(set(signs)) == 2:
        return last if signs.count(last) == 1 else ""  # type: ignore[return-value]
    if len(signs) > 1:
        return ("," if last == "." else ".") if _grouped(digits, last) else ""
    leading_zero = digits.startswith("0")
    return last if len(tail) != 3 or leading_zero or len(digits) > 7 else ""  # type: ignore[return-value]


def _grouped(digits: str, sign: str) -> bool:
    first, *rest = digits.split(sign)
    return 1 <= len(first) <= 3 and all(len(r) == 3 for r in rest)


def plain_number(digits: str, decimal: DecimalMark = "", *, whole: bool = False) -> Reading[Decimal]:
    """Read digits with marks in them. `whole` says that a lone group of three is thousands (an elevation).

    >>> plain_number("1.120,00").value, plain_number("3,5").noticed
    (Decimal('1120.00'), ('decimal_comma',))
    >>> plain_number("1.250", whole=True)
    Reading(value=Decimal('1250'), noticed=('thousands_dot_alone',))
    >>> plain_number("1.250").noticed
    ('ambiguous_number',)
    """
    text = re.sub(rf"[{_SPACES}{_APOSTROPHES}]", "", digits)
    signs = [c for c in text if c in ".,"]
    if not signs:
        return Reading(Decimal(text))
    if len(set(signs)) == 2:
        return _both_signs(text, signs[-1])
    sign = signs[0]
    if len(signs) > 1:
        return _thousands(text, sign) if _grouped(text, sign) else Reading(None)
    return _one_sign(text, sign, decimal, whole)


def _both_signs(text: str, last: str) -> Reading[Decimal]:
    other = "," if last == "." else "."
    front, back = text.split(last, 1) if text.count(last) == 1 else ("", "")
    if not back or not _grouped(front, other):
        return Reading(None)
    noticed = ("thousands_dot", "decimal_comma") if last == "," else ()
    return Reading(Decimal(front.replace(other, "") + "." + back), noticed)


def _thousands(text: str, sign: str) -> Reading[Decimal]:
    return Reading(Decimal(text.replace(sign, "")), ("thousands_dot_alone",) if sign == "." else ())


def _one_sign(text: str, sign: str, decimal: DecimalMark, whole: bool) -> Reading[Decimal]:
    front, back = text.split(sign)
    lone_group = len(back) == 3 and 1 <= len(front) <= 3 and not front.startswith("0")
    if lone_group and (whole or (decimal and decimal != sign)):
        return _thousands(text, sign)
    if lone_group and not decimal:
        value = Decimal(front + back) if sign == "," else Decimal(f"{front}.{back}")
        return Reading(value, ("ambiguous_number",))
    return Reading(Decimal(f"{front or '0'}.{back}"), ("decimal_comma",) if sign == "," else ())


@dataclass(frozen=True)
class _Flags:
    approximate: bool
    doubtful: bool


def fold_width(text: str) -> str:
    """Write full-width letters, digits and signs in their plain form, odd spaces as plain ones.

    >>> fold_width("１２００元／斤")
    '1200元/斤'
    """
    return text.translate(_FULL_WIDTH)


def parse_number(text: str, decimal: DecimalMark = "", *, whole: bool = False) -> ReadNumber | None:
    """Read one number, range or bound with whatever unit follows it; None when the text is something else.

    >>> parse_number("c. 400m").value, parse_number("c. 400m").approximate
    (Decimal('400'), True)
    >>> parse_number("20-25%").upper, parse_number(">9").bound, parse_number("6?").doubtful
    (Decimal('25'), 'above', True)
    >>> parse_number("1½").value, parse_number("3/10").out_of, parse_number("good") is None
    (Decimal('1.5'), Decimal('10'), True)
    """
    plain = fold_width(text).strip()
    body = _DOUBT.sub("", plain)
    heads, body = _take_heads(body)
    first, body = _take_number(body, decimal, whole)
    if first is None or first.value is None:
        return None
    flags = _Flags("approximate" in heads, bool(_DOUBT.search(plain)))
    bound: Bound = "above" if "above" in heads else "below" if "below" in heads else ""
    return _finish(first, body, bound, flags, decimal, whole)


def _take_heads(body: str) -> tuple[set[str], str]:
    heads: set[str] = set()
    while True:
        for name, pattern in _HEADS:
            found = pattern.match(body)
            if found:
                heads.add(name)
                body = body[found.end() :]
                break
        else:
            return heads, body


def _take_number(body: str, decimal: DecimalMark, whole: bool) -> tuple[Reading[Decimal] | None, str]:
    found = _NUMBER.match(body)
    if not found:
        return None, body
    return _number_of(found, decimal, whole), body[found.end() :]


def _number_of(found: re.Match[str], decimal: DecimalMark, whole: bool) -> Reading[Decimal]:
    base = plain_number(found["digits"], decimal, whole=whole) if found["digits"] else Reading(Decimal(0))
    if base.value is None:
        return base
    part = _fraction_of(found)
    value = base.value + (Decimal(part.numerator) / Decimal(part.denominator) if part else 0)
    noticed = (*base.noticed, *(("vulgar_fraction",) if part else ()))
    negative = found["sign"] in ("-", "−")
    return Reading(-value if negative else value, noticed)


def _fraction_of(found: re.Match[str]) -> Fraction | None:
    sign = found["part"] or found["alone"]
    if sign:
        return _FRACTIONS[sign]
    if found["top"] and int(found["top"]) < int(found["bottom"]):
        return Fraction(int(found["top"]), int(found["bottom"]))
    return None


def _finish(
    first: Reading[Decimal], body: str, bound: Bound, flags: _Flags, decimal: DecimalMark, whole: bool
) -> ReadNumber:
    plain = ReadNumber(
        first.value, None, None, bound, flags.approximate, flags.doubtful, None, body.strip(), first.noticed
    )
    out_of = _OUT_OF.match(body)
    if out_of:
        return replace(plain, out_of=Decimal(out_of[1]), unit=body[out_of.end() :].strip())
    unit = _UNIT_BEFORE_DASH.match(body)
    rest = body[unit.end() :] if unit else body
    dash = _DASH.match(rest)
    second, after = _take_number(rest[dash.end() :], decimal, whole) if dash else (None, body)
    if second is None or first.value is None or second.value is None:
        return plain
    low, high = sorted((first.value, second.value))
    unit_text = after.strip() or (unit[0].strip() if unit else "")
    noticed = (*first.noticed, *second.noticed)
    return replace(plain, value=None, lower=low, upper=high, bound="", unit=unit_text, noticed=noticed)
