"""Any text at all is read or refused: no reader of the trade's words raises anything but BadInput, or hangs.

Half of the texts are any Unicode, half the trade's own signs in disorder, which get further into a reader.
"""

import contextlib
import datetime as dt
import time
from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from wetleaf.trade import (
    classes,
    cultivars,
    dates,
    money,
    numbers,
    onelines,
    origins,
    quantities,
    seasons,
    spelling,
    stages,
)
from wetleaf.trade.errors import BadInput
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.provenance import check_lot
from wetleaf.trade.questions import question
from wetleaf.trade.twins import compare_lots

TODAY = dt.date(2026, 5, 12)
LONGEST = 200
MOST_SECONDS = 1.0

_SIGNS = [
    "0", "1", "7", "12", "18", "31", "32", "99", "100", "1200", "2026", "1e30", "1e999", "٣", "²", "½", "⅔",
    "十", "三十一", "民國", "115", "年", "月", "日", ".", ",", "..", "...", "-", "–", "—", "~", "/",
    ":", ";", "(",
    ")", "[", "]", "?", "??", "+", "−", "'", "’", "%", "‰", "#", "*", "±", "<", ">", "<=", "≥", "$", "NT$",
    "¥", "元", "£", "€", "Rs", "kr", "TWD", "per", "/", "/jin", "/600g", "/0g", "/kg", "斤", "台斤", "jin",
    "catty", "tael", "lb", "oz", "g", "kg", "t", "m", "masl", "ft", "'", "公尺", "Apr", "April", "late",
    "early", "mid", "spring", "1st", "18th", "week", "KW", "21", "Q2", "flush", "first", "before", "after",
    "rain", "Qingming", "明前", "till", "until", "bis", "hold", "min", "moq", "nan", "NaN", "inf", "Infinity",
    "-0", "Lugu", "qingxin", "Darjeeling", "medium", "light", "roast", "none", "organic", "oolong",
    "verygood", "12/4/25",
]  # fmt: skip
_TRADE_TEXT = st.lists(
    st.sampled_from([*_SIGNS, " ", "  ", "\t", "\n", "\0", "\u3000", "\u202e", "\ud7ff"]), max_size=40
).map(lambda parts: "".join(parts)[:LONGEST])
TEXT = st.one_of(st.text(max_size=LONGEST), _TRADE_TEXT, _TRADE_TEXT.map(lambda text: " ".join(text.split())))


def _per_kg(text: str) -> None:
    price = money.parse_price(text, place="TW").value
    if price is not None:
        assert price.per_kg is None or price.per_kg.is_finite()


def _span(text: str) -> None:
    for day_first in (None, True, False):
        date = dates.parse_date(text, day_first=day_first).value
        if date is not None:
            date.span()


def _one_line(text: str) -> None:
    line = onelines.read_line(text, today=TODAY)
    for doubt in check_lot(line.facts, today=TODAY):
        question(doubt)
    if line.price is not None:
        assert line.price.per_kg is None or line.price.per_kg.is_finite()


READERS: dict[str, Callable[[str], object]] = {
    "number": numbers.parse_number,
    "number with a decimal comma": lambda text: numbers.parse_number(text, ",", whole=True),
    "decimal mark": lambda text: numbers.decimal_mark_of([text]),
    "weight": quantities.parse_weight,
    "weight under a head": lambda text: quantities.parse_weight(text, header_unit="kg", decimal=","),
    "elevation": quantities.parse_elevation,
    "elevation in feet": lambda text: quantities.parse_elevation(text, header_unit="ft"),
    "degree": lambda text: quantities.parse_degree(text, header_percent=True),
    "price": _per_kg,
    "price unit": lambda text: money.price_unit_in(text, place="TW"),
    "date": _span,
    "day first": lambda text: dates.day_first_in([text]),
    "season": seasons.find_season,
    "stage": stages.read_stage,
    "class": classes.find_class,
    "guessed class": lambda text: classes.guess_class(
        text, cultivar=text, origin=text, oxidation=text, roast=text
    ),
    "cultivar": cultivars.read_cultivar,
    "cultivars": cultivars.cultivars_named_in,
    "suggested cultivars": cultivars.suggest_cultivars,
    "place": origins.find_place,
    "country": quantities.place_in,
    "spelling": lambda text: (spelling.fold(text), spelling.squash(text)),
    "one line": _one_line,
    "any fact": lambda text: check_lot(
        LotFacts(
            place=text, cultivar=text, season=text, oxidation=text, roast=text, harvest_text=text, claims=text
        ),
        today=TODAY,
    ),
    "twins": lambda text: compare_lots(LotFacts(code="A", name=text), LotFacts(code="B", name=text + " x")),
}


@pytest.mark.parametrize("reader", READERS)
def test_any_text_is_read_or_refused_and_never_hangs(reader: str) -> None:
    read = READERS[reader]

    @settings(max_examples=150)
    @given(text=TEXT)
    @example(text="1" * LONGEST)
    @example(text="1e30 NT$/jin")
    @example(text="NT$ 1200 / 0 g")
    @example(text="NaN NT$/kg")
    @example(text="99/99/9999")
    @example(text="1-" * (LONGEST // 2))
    @example(text="ca. " * (LONGEST // 4))
    @example(text=" " * (LONGEST - 1) + "x")
    def reads(text: str) -> None:
        started = time.perf_counter()
        with contextlib.suppress(BadInput):
            read(text)
        assert time.perf_counter() - started < MOST_SECONDS

    reads()
