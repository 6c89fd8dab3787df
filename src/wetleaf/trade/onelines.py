"""A lot typed in one line, as a buyer would say it, read into its facts, with commas or without.

`Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May`

Prices, amounts, heights, days, places, makers, cultivars and classes are found wherever they stand; the first
other words are the name. What is left over is kept as a remark: no words go into a field they do not state.
"""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from wetleaf.trade.classes import find_class
from wetleaf.trade.date_words import month_number
from wetleaf.trade.errors import BadInput
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.money import Price, currency_in
from wetleaf.trade.onelines_forms import (
    DIVIDER,
    FIELD_OF_LABEL,
    FROM,
    LABEL,
    WORD,
    begins_a_sentence,
    has_height_form,
    has_price_form,
    has_weight_form,
    is_glue,
    is_money,
    is_no_name,
    is_plain_class,
)
from wetleaf.trade.onelines_readers import Context, Found, read_part, read_words
from wetleaf.trade.origins import find_place
from wetleaf.trade.quantities import place_in

LONGEST_LINE = 1_000
"""Signs that a line may have; what is longer is a letter, and belongs to the remarks."""
_MOST_WORDS = 7  # "valid until the end of May 2026"
_CODES = {
    "Taiwan": "TW", "China": "CN", "Japan": "JP", "India": "IN", "Nepal": "NP", "Sri Lanka": "LK",
    "Korea": "KR", "Vietnam": "VN", "Kenya": "KE", "Malaysia": "MY",
}  # fmt: skip
_CODE = re.compile(r"[A-Z]{1,4}-?\d{1,3}")
_NOT_UNDERSTOOD = "not understood: kept as a remark"
_PERHAPS_A_MAKER = "kept as a remark; if it is who made the tea, write maker: and the name"
_SAID_TWICE = "said before: kept as a remark"
_OUT_OF_THE_NAME = "taken out of the name"


@dataclass(frozen=True)
class LinePart:
    """Words of the line, the fact they were read as (empty if none), what they mean and what to tell."""

    text: str
    read_as: str
    note: str = ""
    meaning: str = ""


@dataclass(frozen=True)
class LotLine:
    """A line read into facts, with the price and the offer's last day, and what each part was read as."""

    written: str
    facts: LotFacts
    price: Price | None
    offer_until: dt.date | None
    parts: tuple[LinePart, ...] = field(repr=False)
    remarks: str = ""

    @property
    def unread(self) -> tuple[str, ...]:
        """Return the parts that nothing was made of."""
        return tuple(part.text for part in self.parts if not part.read_as)

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """Return what was inferred or could not be settled, in sentences."""
        return tuple(f"'{part.text}': {part.note}" for part in self.parts if part.note)


@dataclass(frozen=True)
class _Span:
    """Words of a part and what they state; `found` is None for words that state nothing by themselves."""

    text: str
    found: Found | None
    start: int = 0


def read_line(text: str, *, today: dt.date) -> LotLine:
    """Return a line read into facts. A day without a year is the last before `today`, an offer's the next.

    Raises BadInput for a line of more than `LONGEST_LINE` signs.

    >>> said = "Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May"
    >>> line = read_line(said, today=dt.date(2026, 5, 2))
    >>> line.facts.place, line.facts.cultivar, line.facts.harvest_from.isoformat(), line.facts.elevation_m
    ('Lugu', 'qingxin', '2026-04-18', (750.0, 750.0))
    >>> line.facts.roast, line.price.per_kg, line.facts.available_grams, line.offer_until.isoformat()
    ('medium', Decimal('2000'), Decimal('18000'), '2026-05-22')
    >>> line = read_line("Bai mu dan 2026 spring Fuding ¥320/jin 15kg", today=dt.date(2026, 5, 2))
    >>> line.facts.name, line.facts.place, line.price.per_kg, line.facts.available_grams, line.unread
    ('Bai mu dan', 'Fuding', Decimal('640'), Decimal('15000'), ())
    """
    if len(text) > LONGEST_LINE:
        raise BadInput(
            f"a line of {len(text)} signs is too long to be read as one lot.",
            way_out=f"Say the lot in {LONGEST_LINE} signs, and keep the rest in your notes.",
        )
    reading = _LineReading(Context(today, _country_code(text)))
    for piece in DIVIDER.split(text):
        if piece and piece.strip():
            reading.take_piece(piece.strip())
    return reading.line(text)


def _country_code(text: str) -> str:
    country = find_place(text).country
    place = place_in(text)
    currency = {"TWD": "TW", "CNY": "CN", "HKD": "HK"}.get(currency_in(text).value or "", "")
    return _CODES.get(country or "", "") or place or currency


class _LineReading:
    """Takes the line's parts one by one, and keeps what was taken already."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.taken: dict[str, Any] = {}
        self.out_of_name: list[_Span] = []
        self.parts: list[LinePart] = []
        self.remarks: list[str] = []

    def take_piece(self, piece: str) -> None:
        """Take what stands between two commas."""
        label = LABEL.match(piece)
        if label:
            self._take_label(piece, label["label"].lower(), label["rest"])
            return
        whole = read_part(piece, self.context) or self._code_ahead(piece)
        spans = [_Span(piece, whole)] if whole else list(_spans(piece, self.context))
        for run in _runs(_sentences_apart(_without_seasons_in_names(spans))):
            if run[0].found is not None and not run[0].found.names:
                self._take(run[0])
            else:
                self._take_naming(piece, run)

    def _code_ahead(self, piece: str) -> Found | None:
        """A code stands at the head of a line, as on a packet: "K1, Muzha, ..."."""
        if self.parts or not _CODE.fullmatch(piece):
            return None
        return Found("code", {"code": piece}, piece, "taken for its code, since it stands first")

    def _take_label(self, piece: str, label: str, rest: str) -> None:
        name = FIELD_OF_LABEL[label]
        spans = list(_spans(rest, self.context)) if name != "remarks" else []
        hard = next((k for k, span in enumerate(spans) if span.found and not span.found.names), None)
        if hard:  # "maker: Gao 15kg"
            self._label(piece, name, rest[: spans[hard].start].strip())
            for run in _runs(spans[hard:]):
                for span in run:
                    self._take(span)
            return
        self._label(piece, name, rest.strip())

    def _label(self, piece: str, name: str, value: str) -> None:
        if name == "remarks":
            self.remarks.append(value)
            self.parts.append(LinePart(piece, "remarks", meaning=value))
        else:
            read_as = {"producer": "maker", "tea_class": "class"}.get(name, name)
            text = piece[: piece.index(value) + len(value)]
            self._take(_Span(text, Found(read_as, {name: value}, value)))

    def _take(self, span: _Span) -> None:
        """Take one span's fact, or keep its words as a remark where there is none or it was said before."""
        found = span.found
        if found is None:
            if not is_glue(span.text):
                self._leave(span.text, _NOT_UNDERSTOOD)
            return
        if not found.read_as:
            self._leave(span.text, found.note)
            return
        news = found.values
        if found.read_as == "place" and "place" in self.taken:
            news = {"place": f"{self.taken['place']}, {found.values['place']}"}
        elif any(key in self.taken for key in news):
            news = {"season": news["season"]} if "season" in news and "season" not in self.taken else {}
        if not news:
            self._leave(span.text, _SAID_TWICE)
            return
        self.taken.update(news)
        self.parts.append(LinePart(span.text, found.read_as, found.note, found.meaning))

    def _leave(self, text: str, note: str) -> None:
        self.parts.append(LinePart(text, "", note))
        self.remarks.append(text)

    def _take_naming(self, piece: str, run: list[_Span]) -> None:
        """Take words that may name the tea: a name if nothing else is, else the facts among them."""
        run, said = _cut_at_sentence(run)
        if run := _trimmed(run):
            self._take_names(_text_of(piece, run), run)
        if said and not is_glue(text := _text_of(piece, said)):
            self._leave(text, _PERHAPS_A_MAKER if FROM.match(text) else _NOT_UNDERSTOOD)

    def _take_names(self, text: str, run: list[_Span]) -> None:
        names_itself = len(run) > 1 or run[0].found is None or _is_a_tea(run[0])
        if names_itself and "name" not in self.taken and not is_no_name(text):
            self.taken["name"] = " ".join(text.split())
            self.parts.append(LinePart(text, "name", meaning=text))
            self.out_of_name += [span for span in run if span.found]
        elif names_itself and any(span.found is None for span in run):
            self._leave(text, _NOT_UNDERSTOOD)
        else:
            for span in run:
                self._take(span)

    def line(self, written: str) -> LotLine:
        """Return what was read, with what only the name tells where nothing else does."""
        for span in reversed(self.out_of_name):  # "Green Jade oolong" is an oolong
            self._take_out_of_name(span)
        price, until = self.taken.pop("price_read", None), self.taken.pop("offer_until", None)
        facts = LotFacts(**self.taken)
        return LotLine(written, facts, price, until, tuple(self.parts), "; ".join(self.remarks))

    def _take_out_of_name(self, span: _Span) -> None:
        assert span.found is not None
        is_style = span.found.read_as == "place" and find_class(span.text) is not None
        if is_style or any(key in self.taken for key in span.found.values):
            return
        self.taken.update(span.found.values)
        note = "; ".join(filter(None, (_OUT_OF_THE_NAME, span.found.note)))
        self.parts.append(LinePart(span.text, span.found.read_as, note, span.found.meaning))


def _is_a_tea(span: _Span) -> bool:
    """Tell whether a class was named by a tea of it, which is then the name as well."""
    return span.found is not None and span.found.read_as == "class" and not is_plain_class(span.text)


def _spans(piece: str, context: Context) -> Iterator[_Span]:
    """Cut a part into the longest runs of words that state something, and the words between."""
    words = list(WORD.finditer(piece))
    at = 0
    while at < len(words):
        for stop in range(min(len(words), at + _MOST_WORDS), at, -1):
            if _belongs_further(words, stop):
                continue
            text = piece[words[at].start() : words[stop - 1].end()]
            found = read_words(" ".join(text.split()).strip("()[]. "), context)
            if found:
                yield _Span(text, found, words[at].start())
                at = stop
                break
        else:
            yield _Span(words[at].group(), None, words[at].start())
            at += 1


def _belongs_further(words: list[re.Match[str]], stop: int) -> bool:
    """Tell whether a run's last word belongs to the next one: "late April | 12 kg", "18 kg | min 2 kg"."""
    if stop >= len(words):
        return False
    if words[stop - 1].group().casefold().strip(".:") in ("min", "minimum", "moq"):
        return words[stop].group()[0].isdigit()
    before_number = stop + 1 < len(words) and words[stop + 1].group()[0].isdigit()
    if not words[stop - 1].group()[0].isdigit():
        return False
    if before_number and "/" not in words[stop].group() and is_money(words[stop].group()):
        return False  # "18 Apr 2026 | RMB 320": the money is of the number after it
    text = f"{words[stop - 1].group()} {words[stop].group()}"
    is_a_day = month_number(words[stop].group()) is not None
    return is_a_day or has_weight_form(text) or has_height_form(text) or has_price_form(text)


def _runs(spans: list[_Span]) -> Iterator[list[_Span]]:
    """Put words that may name a tea together; every other fact stands by itself."""
    run: list[_Span] = []
    for span in spans:
        if span.found is None or span.found.names:
            run.append(span)
            continue
        if run:
            yield run
        yield [span]
        run = []
    if run:
        yield run


def _without_seasons_in_names(spans: list[_Span]) -> list[_Span]:
    """A bare season before a word with a capital is part of a name: "Winter Mist"."""
    kept = list(spans)
    for k, (span, after) in enumerate(pairwise(spans)):
        is_season = span.found is not None and span.found.read_as == "harvest" and span.text.isalpha()
        if is_season and k == 0 and after.found is None and after.text[:1].isupper():
            kept[k] = replace(span, found=None)
    return kept


def _trimmed(run: list[_Span]) -> list[_Span]:
    """Leave out words at either end that only hold others together."""
    first, last = 0, len(run)
    while first < last and run[first].found is None and is_glue(run[first].text):
        first += 1
    while last > first and run[last - 1].found is None and is_glue(run[last - 1].text):
        last -= 1
    return run[first:last]


def _sentences_apart(spans: list[_Span]) -> list[_Span]:
    """After the first word of a sentence only numbers, days and makers are facts: "but more roast" is not."""
    first = next((k for k, span in enumerate(spans) if _opens_a_sentence(span)), len(spans))
    return [
        span if k <= first or span.found is None or _stands_in_a_sentence(span) else replace(span, found=None)
        for k, span in enumerate(spans)
    ]


def _opens_a_sentence(span: _Span) -> bool:
    return span.found is None and begins_a_sentence(span.text)


def _stands_in_a_sentence(span: _Span) -> bool:
    assert span.found is not None
    return span.found.read_as in ("maker", "offer until") or any(sign.isdigit() for sign in span.text)


def _cut_at_sentence(run: list[_Span]) -> tuple[list[_Span], list[_Span]]:
    first = next((k for k, span in enumerate(run) if _opens_a_sentence(span)), len(run))
    return run[:first], run[first:]


def _text_of(piece: str, run: list[_Span]) -> str:
    return piece[run[0].start : run[-1].start + len(run[-1].text)]
