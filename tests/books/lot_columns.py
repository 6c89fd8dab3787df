"""The columns of a lots table: what each means, its header, and who writes its cells."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.books import words
from tests.books.degrees import degree_header, write_oxidation, write_roast
from tests.books.harvests import write_harvest
from tests.books.heights import height_header, write_height
from tests.books.manner import Manner, missing, stray_spaces, told
from tests.books.plain_words import liking_column, write_verdict, write_words
from tests.books.prices import PriceColumn, money_read, price_column, write_price
from tests.books.regions import District
from tests.books.truth import Problem, Written
from tests.books.weights import weight_header, write_weight

_OPTIONAL = ("elev", "cv", "ox", "roast", "moq", "avail", "claims")
_FORMULA_LIKE = Problem("formula_like_text", "warn", "text that would act as a formula", either=True)


@dataclass(frozen=True)
class Column:
    """One column: what it means, its header (two rows when `unit_row` is used), and who writes its cells."""

    field: str
    header: str
    write: Callable[["LotRow"], Written]
    unit: str = ""
    hidden: bool = False


@dataclass
class LotRow:
    """What one lot is, before anybody has written it down."""

    manner: Manner
    district: District
    region: str
    code: str
    name: str
    producer: str
    number: int
    currency: str = ""


@dataclass(frozen=True)
class TableStyle:
    """What is odd about this table; a file of text has no merges, formulas or hidden columns."""

    top: int = 1
    left: int = 1
    titles: bool = True
    rich: bool = True
    plain_season: bool = False


def lot_columns(manner: Manner, style: TableStyle) -> list[Column]:
    """Choose the columns of one table, their order and their headers."""
    head = [_text_column(manner, "code"), _text_column(manner, "name"), _text_column(manner, "producer")]
    middle = [
        _text_column(manner, "region"),
        Column("harvest", manner.word(words.LOT_HEADERS, "harvest"), _harvest),
    ]
    wanted = [name for name in _OPTIONAL if manner.roll(0.75)]
    middle += [_optional(manner, name) for name in wanted]
    middle += _price_columns(manner)
    if style.plain_season:
        middle += _first_pass(manner)
    middle += _traps(manner, style)
    if manner.roll(0.5):
        manner.rng.shuffle(middle)
    if manner.roll(0.25):
        head[1:] = [head[2], head[1]]
    columns = [*head, *middle]
    seen: set[str] = set()
    return [c for c in columns if not (c.header in seen or seen.add(c.header))]  # type: ignore[func-returns-value]


def _text_column(manner: Manner, name: str) -> Column:
    return Column(name, manner.word(words.LOT_HEADERS, name), _TEXTS[name])


def _optional(manner: Manner, name: str) -> Column:
    word = manner.word(words.LOT_HEADERS, name)
    if name == "elev":
        header, unit = height_header(manner, word)
        return Column(name, header, lambda row: write_height(row.manner, row.district, unit), unit)
    if name == "ox":
        header, percent = degree_header(manner, word)
        return Column(name, header, lambda row: write_oxidation(row.manner, percent), "%" if percent else "")
    if name == "roast":
        return Column(name, word, lambda row: write_roast(row.manner))
    if name in ("moq", "avail"):
        return _weight_column(manner, name, word)
    return Column(name, word, _TEXTS[name])


def _weight_column(manner: Manner, name: str, word: str) -> Column:
    header, grams = weight_header(manner, word)
    low, high = (0.25, 5) if name == "moq" else (2, 80)
    unit = {1000.0: "kg", 1.0: "g", None: ""}[grams]
    return Column(name, header, lambda row: write_weight(row.manner, grams, low_kg=low, high_kg=high), unit)


def _price_columns(manner: Manner) -> list[Column]:
    if manner.language == "en" and not manner.decimal_comma and manner.roll(0.1):
        money = Column("currency", manner.pick(("Currency", "Curr.", "ccy")), _currency_code)
        return [
            money,
            Column("price", manner.pick(("Price /kg", "Price per kg", "Cost/kg")), _price_beside_currency),
        ]
    column = price_column(manner)
    return [Column("price", column.header, lambda row: write_price(row.manner, column))]


def _first_pass(manner: Manner) -> list[Column]:
    header, write = liking_column(manner)
    return [
        Column("verdict", manner.word(words.LOT_HEADERS, "verdict"), lambda row: write_verdict(row.manner)),
        Column("liking", header, lambda row: write(row.manner)),
        Column("words", manner.word(words.LOT_HEADERS, "words"), lambda row: write_words(row.manner)),
    ]


def _traps(manner: Manner, style: TableStyle) -> list[Column]:
    """Columns beside the point: a running number, our markup, the size of the sample."""
    if manner.language != "en":
        return []
    traps = [
        Column(
            "markup",
            manner.word(words.LOT_HEADERS, "markup"),
            _markup,
            hidden=style.rich and manner.roll(0.6),
        ),
        Column("other", "Sample size (g)", lambda row: told(row.manner.pick((10, 25, 50)), None)),
        Column("other", "Date received", _received),
        Column(
            "grade",
            manner.word(words.LOT_HEADERS, "grade"),
            lambda row: told(row.manner.pick(("A", "AA", "B+")), None),
        ),
    ]
    return [trap for trap in traps if manner.roll(0.2)]


def _received(row: LotRow) -> Written:
    day = f"{row.manner.year}-10-{row.manner.rng.randint(10, 28)}"
    return told(day, None)


def _markup(row: LotRow) -> Written:
    percent = 40 + row.number
    return told(percent, percent)


def _harvest(row: LotRow) -> Written:
    return write_harvest(row.manner, row.district)


def _code(row: LotRow) -> Written:
    if row.code.isdigit() and not row.manner.text_only:
        return told(int(row.code), row.code)
    return stray_spaces(row.manner, row.code)


def _name(row: LotRow) -> Written:
    if row.manner.roll(0.015):
        sign = row.manner.pick("=+@")
        return told(f"{sign}{row.name}", f"{sign}{row.name}", _FORMULA_LIKE)
    return stray_spaces(row.manner, row.name, 0.03)


def _cultivar(row: LotRow) -> Written:
    if row.manner.roll(0.06):
        return missing(row.manner)
    return stray_spaces(row.manner, row.manner.pick(row.district.cultivars))


def _claims(row: LotRow) -> Written:
    if row.manner.roll(0.35):
        return told(None, None)
    said = words.CJK_CLAIMS.get(row.manner.language, words.CLAIMS)
    text = row.manner.pick(said)
    return told(text, text)


def _currency_code(row: LotRow) -> Written:
    shown = {"TWD": ("TWD", "NT$"), "GBP": ("GBP", "£"), "CNY": ("RMB", "CNY")}.get(
        row.currency, (row.currency,)
    )
    return told(row.manner.pick(shown), row.currency)


def _price_beside_currency(row: LotRow) -> Written:
    written = write_price(row.manner, PriceColumn("", row.currency, 1000.0))
    amount = written.cell.value
    if not isinstance(amount, int | float) or amount < 0:
        amount = 95 if row.currency in ("GBP", "USD") else 2400
        return told(amount, money_read(amount, row.currency, 1000.0))
    return written


_TEXTS: dict[str, Callable[[LotRow], Written]] = {
    "code": _code,
    "name": _name,
    "producer": lambda row: told(row.producer, row.producer),
    "region": lambda row: told(row.region, row.region),
    "cv": _cultivar,
    "claims": _claims,
}
