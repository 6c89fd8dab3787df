"""What the templates of book and site say and draw: filters for words and numbers, tags for pictures."""

import datetime as dt
import re
from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from wetleaf.findings.book import (
    Answer,
    Bar,
    Dropped,
    Estimate,
    Ground,
    Ladder,
    LotPage,
    Profile,
    RangeMap,
    Settling,
    Spot,
    Word,
)
from wetleaf.findings.drawings import dot_interval as dots
from wetleaf.findings.drawings import ladder_bars, paper_room, profile_dots, range_map, spoken, taster_strip
from wetleaf.findings.drawings.scripts import language_of, runs_of_script
from wetleaf.findings.readings.stated import kilos

register = template.Library()
ANSWER_CLASS = {"yes": "yes", "no": "no", "can't tell yet": "cant", None: "unasked"}
_STRAIGHT = re.compile(r"(?<=\w)'(?=\w)")
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:m|ft|g|kg|ml|mL|min|s|cm|°C|%)(?:\W|$))")
_CODE = re.compile(r"\b([A-Z]{1,4}-\d{1,4}[A-Za-z]?)\b")
_MOST_GAPS = 2
_ASKS = ("why", "What it rests on")  # links that say nothing but where they lead


# ---------- words ----------


@register.filter
def as_written(text: str) -> SafeString:
    """Escape a text and give its Chinese, Japanese and Korean names their language; nothing else changes."""
    return format_html_join("", "{}", ((_run(*run),) for run in runs_of_script(str(text))))


@register.filter
def native(text: str) -> SafeString:
    """The same for the house's own sentences: a typographic apostrophe, a number kept with its unit."""
    return as_written(_NUMBER_AND_UNIT.sub("\u00a0", _STRAIGHT.sub("’", str(text))))


@register.filter
def language(text: str) -> str:
    """The language of a remark that is written in the East as a whole, else nothing."""
    runs = runs_of_script(str(text))
    eastern = "".join(run for run, spoken_in in runs if spoken_in)
    return language_of(eastern) if len(eastern) * 2 > len(str(text)) else ""


@register.filter
def letter_language(name: str) -> str:
    """The language tag of a letter by its name."""
    tags = {"traditional": "zh-Hant", "simplified": "zh-Hans", "japanese": "ja", "korean": "ko"}
    return next((tag for word, tag in tags.items() if word in name.lower()), "en")


@register.filter
def said_word(word: Word) -> SafeString:
    """A word of a ladder, "no smoke" when it was looked for and not found."""
    return native(spoken.said_word(word))


@register.filter
def strength_class(word: Word) -> str:
    """The class that sizes a word by its strength."""
    return "no" if word.absent else f"s{min(5, max(1, word.strength))}"


@register.filter
def answer_class(answer: Answer | str | None) -> str:
    """The class that draws an answer's swatch."""
    return ANSWER_CLASS.get(answer.answer if isinstance(answer, Answer) else answer, "unasked")


@register.filter
def said_answer(answer: Answer) -> str:
    """One of the three answers, or why it was not asked."""
    return spoken.said_answer(answer)


@register.filter
def differ_words(bar: Bar) -> str:
    """Whether two teas differ at a bar, in words for who cannot see the swatch."""
    return ladder_bars.DIFFER[bar.differ]


@register.filter
def is_rich(lot: LotPage) -> bool:
    """Whether so much was said and scored of a lot that paper draws its intensities once, in the profile."""
    return lot.profile is not None and not paper_room.fits_a_page(lot)


@register.filter
def costs(settle: tuple[Settling, ...]) -> bool:
    """Whether any open question says what its answer would cost in brews, cups, grams or days."""
    return any(row.brews or row.cups or row.grams or row.when for row in settle)


@register.filter
def own_gaps(lot: LotPage, shared: tuple[str, ...]) -> tuple[str, ...]:
    """The gaps that are not every lot's."""
    return tuple(gap for gap in lot.gaps if gap not in shared)


@register.filter
def first_gaps(gaps: tuple[str, ...]) -> str:
    """At most two gaps, then how many more."""
    more = len(gaps) - _MOST_GAPS
    return ", ".join(gaps[:_MOST_GAPS]) + (f", +{more}" if more > 0 else "")


@register.filter
def left_out(cells: tuple[Dropped, ...]) -> tuple[Dropped, ...]:
    """The cells that were left out or are to be looked at, those left out first."""
    return tuple(
        sorted((one for one in cells if one.severity != "info"), key=lambda one: one.severity != "error")
    )


@register.filter
def only_tidied(cells: tuple[Dropped, ...]) -> tuple[Dropped, ...]:
    """The cells that were kept and only tidied."""
    return tuple(one for one in cells if one.severity == "info")


@register.filter
def cells_of(rows: tuple[Dropped, ...]) -> int:
    """How many cells the rows tell of."""
    return sum(row.cells for row in rows)


@register.filter
def ground_number(key: str) -> str:
    """The number a ground goes by on paper: "g12" is 12."""
    return key.removeprefix("g")


@register.filter
def has_interval(estimate: Estimate) -> bool:
    """Whether an estimate has a doubt that can be drawn."""
    return spoken.has_interval(estimate)


# ---------- numbers ----------


@register.filter
def said_value(estimate: Estimate) -> str:
    """An estimate alone, where its interval is drawn beside it."""
    return spoken.said_value(estimate)


@register.filter
def said_estimate(estimate: Estimate) -> str:
    """An estimate with its interval."""
    return spoken.said_estimate(estimate)


@register.filter
def said_interval(estimate: Estimate) -> str:
    """The interval of an estimate."""
    return spoken.said_interval(estimate)


@register.filter
def in_ten(chance: float) -> str:
    """A chance in tenths: "4 in 10", and "under 1 in 20" when it is small."""
    if chance < 0.05:
        return "under 1 in 20"
    return f"{min(9, max(1, round(chance * 10)))} in 10" if chance < 0.95 else "over 19 in 20"


@register.filter
def money(amount: Decimal | None) -> str:
    """A price with two decimals and thousands apart."""
    return "" if amount is None else f"{amount:,.2f}"


@register.filter
def amount(number: Decimal | float | None) -> str:
    """Grams or kilos without idle zeros."""
    if number is None:
        return ""
    return f"{Decimal(str(number)).quantize(Decimal('0.1')):f}".removesuffix(".0")


@register.filter
def signed(number: Decimal) -> str:
    """A number with its sign, as a ledger shows what came and went."""
    return ("−" if number < 0 else "+") + amount(abs(number))


@register.filter
def day(date: dt.date | None, beside: dt.date | None = None) -> str:
    """A day as "12 Jun", with its year when that is not the year of `beside`."""
    if date is None:
        return ""
    year = "" if beside and beside.year == date.year else f" {date.year}"
    return f"{date.day} {date:%b}{year}"


@register.filter
def harvest_beside(lot: LotPage, date: dt.date) -> str:
    """The harvest as it is said, without its year when that is the year of `date`."""
    return lot.harvest.removesuffix(f" {date.year}") or lot.harvest


@register.filter
def in_kilos(grams: Decimal | None) -> str:
    """Grams as kilos."""
    return kilos(grams)


@register.filter
def is_named_only(lot: LotPage) -> bool:
    """Whether a lot has no code of its own: its name stands in for one."""
    return lot.code == lot.name and " " in lot.code


@register.filter
def has_ended(date: dt.date | None, on: dt.date) -> bool:
    """Whether an offer's last day is over."""
    return date is not None and date < on


@register.filter
def short_digest(digest: str) -> str:
    """The first eight signs of a digest, in two groups."""
    return f"{digest[:4]} {digest[4:8]}".strip()


# ---------- pictures ----------


@register.filter
def dot_interval(estimate: Estimate) -> SafeString:
    """The dot with its interval."""
    return _drawn(dots.dot_interval(estimate))


@register.simple_tag
def scale_head(low: float, high: float) -> SafeString:
    """The ends of the scale over a column of dots."""
    return _drawn(dots.scale_head(low, high))


@register.simple_tag
def ladder_bar(estimate: Estimate, side: str, kind: str = "two") -> SafeString:
    """A bar of a ladder; last year's is open."""
    was = kind == "years" and side == "left"
    return _drawn(ladder_bars.ladder_bar(estimate, side="left" if side == "left" else "right", was=was))


@register.filter
def has_bars(ladder: Ladder) -> bool:
    """Whether a ladder carries intensities."""
    return ladder_bars.has_bars(ladder)


@register.filter
def rungs(ladder: Ladder) -> tuple[Any, ...]:
    """The stages of which something is known."""
    return ladder_bars.rungs_with_something(ladder)


@register.filter
def all_words(rung: Any) -> tuple[Word, ...]:
    """Every word of a stage, for the ladder of one tea."""
    return ladder_bars.all_words(rung)


@register.filter
def ladder_twin(ladder: Ladder) -> tuple[tuple[str, ...], ...]:
    """The ladder as rows of a table."""
    return ladder_bars.twin_rows(ladder)


@register.simple_tag
def profile_picture(profile: Profile, key: str) -> SafeString:
    """The profile drawn for a wide page, for a phone and for paper; each shows its own."""
    media: tuple[profile_dots.Medium, ...] = ("wide", "narrow", "paper")
    return _drawn(
        "".join(
            profile_dots.profile_dots(profile, medium=medium, key=f"{key}-{medium[0]}") for medium in media
        )
    )


@register.filter
def dots_by_lot(row: Any, profile: Profile) -> list[Any]:
    """A row's dots in the order of the profile's lots, None where a lot has no dot there."""
    found = {dot.label: dot for dot in row.dots}
    return [found.get(label) for label in profile_dots.marked_lots(profile)]


@register.filter
def marked_lots(profile: Profile) -> tuple[str, ...]:
    """The lots of a profile in the order of their marks."""
    return profile_dots.marked_lots(profile)


@register.simple_tag
def range_map_picture(shown: RangeMap, key: str) -> SafeString:
    """The range map drawn for a wide page, for a phone and for paper; each shows its own."""
    media: tuple[profile_dots.Medium, ...] = ("wide", "narrow", "paper")
    return _drawn(
        "".join(range_map.range_map(shown, medium=medium, key=f"{key}-{medium[0]}") for medium in media)
    )


@register.filter
def spot_kind(kind: str) -> str:
    """What a lot on the map is to the shop."""
    return range_map.KEY[kind]


@register.filter
def spot_place(spot: Spot) -> str:
    """A lot's place on the map, for its table."""
    return range_map.place_said(spot)


@register.simple_tag
def cups_strip(cups: int, possible: int) -> SafeString:
    """Cups tasted of those served."""
    return _drawn(taster_strip.cups_strip(cups, possible)) if possible else mark_safe("")


@register.filter
def level_strip(level: Estimate) -> SafeString:
    """How far from the table a taster stands."""
    return _drawn(taster_strip.level_strip(level))


# ---------- links ----------


@register.simple_tag(takes_context=True)
def lot_at(context: dict[str, Any], anchor: str) -> str:
    """Where a lot's page is."""
    return str(context["places"].lot(anchor))


@register.simple_tag(takes_context=True)
def flight_at(context: dict[str, Any], anchor: str) -> str:
    """Where a flight's page is."""
    return str(context["places"].flight(anchor))


@register.simple_tag(takes_context=True)
def book_at(context: dict[str, Any]) -> str:
    """Where the first screen is."""
    return str(context["places"].book())


@register.simple_tag(takes_context=True)
def grounded(context: dict[str, Any], text: str, ground: Ground | None, page: str = "") -> SafeString:
    """A number or answer that opens what it rests on."""
    if ground is None:
        return conditional_escape(text)
    at = context["places"].ground(ground.key, page)
    kind = "rests asks" if text in _ASKS else "rests"
    number = ground_number(ground.key)  # on paper it stands in place of the link
    return format_html('<a class="{}" href="{}" data-ground="{}">{}</a>', kind, at, number, text)


def _drawn(markup: str) -> SafeString:
    # The drawings escape every text themselves (drawings/svg.py), and hold nothing else from outside.
    return mark_safe(markup)


def _run(text: str, spoken_in: str) -> SafeString:
    if spoken_in:
        return format_html('<span lang="{}">{}</span>', spoken_in, text)
    pieces = _CODE.split(text)  # codes stand at the odd places and are never broken at their hyphen
    return format_html_join(
        "", "{}", ((_code(piece) if place % 2 else piece,) for place, piece in enumerate(pieces))
    )


def _code(text: str) -> SafeString:
    return format_html('<span class="code-in-text">{}</span>', text)
