"""What is stated of a lot, who says so, and the doubt about it: the table of facts on a lot's page."""

from collections.abc import Iterable, Iterator, Mapping

from wetleaf.findings.assembling.as_shown import shown_cell
from wetleaf.findings.assembling.sentences import said_day
from wetleaf.findings.book import FactRow
from wetleaf.findings.readings.stated import StatedLot, kilos
from wetleaf.lots.facts import PRIVATE_FIELDS
from wetleaf.trade.classes import tea_class

NOT_SAID = "not said"
# What a buyer looks for first; these are printed as "not said" when nothing was.
_ALWAYS = (("region", "Origin"), ("elev", "Elevation"), ("cv", "Cultivar"), ("harvest", "Harvest"))
_WHEN_SAID = (
    ("season", "Picking"),
    ("ox", "Oxidation"),
    ("roast", "Roast"),
    ("roast_date", "Roast date"),
    ("firing", "Firing"),
    ("grade", "Grade"),
    ("invoice", "Invoice"),
    ("garden", "Garden"),
    ("garden_mark", "Garden mark"),
    ("vintage", "Vintage"),
    ("press_year", "Press year"),
    ("opened", "Opened"),
    ("kept", "How kept"),
    ("weather", "Harvest weather"),
    ("competition", "Competition"),
    ("organic", "Organic"),
    ("residue", "Residues"),
    ("parent", "Made from"),
    ("making", "Making"),
    ("claims", "What they say"),
)


# Told elsewhere on the page, or of no use to a reader.
_TOLD_ELSEWHERE = frozenset(
    ["name", "producer", "contact", "tea_class", "line", "markup", "deposit", "hold", "sample_received"]
)
_MAKING_FIELDS = frozenset(["parent", "making", "loss", "loss_percent"])
_NO_WEIGHT = "For which weight is not said, so there is no price a kg: to be asked."


def fact_rows(
    stated: StatedLot, doubts: Mapping[str, str], makings: tuple[FactRow, ...] = ()
) -> tuple[FactRow, ...]:
    """Return the facts in the order a buyer reads them; `doubts` says what is doubtful, by field.

    `makings` tell how it came from other lots: with them the sheet's own words for that are not repeated.
    Maker, contact, price and deposit are marked private.
    """
    told = _MAKING_FIELDS if any(row.what == "Made from" for row in makings) else frozenset()
    rows = [
        *_class_row(stated),
        *(_row(stated, field, name, doubts) for field, name in _ALWAYS),
        *(
            _row(stated, field, name, doubts)
            for field, name in _WHEN_SAID
            if (stated.written(field) or field in doubts) and field not in told
        ),
        *makings,
        *_further_rows(stated, told),
        *_maker_rows(stated),
        *_offer_rows(stated, doubts),
    ]
    return tuple(rows)


def _row(stated: StatedLot, field: str, name: str, doubts: Mapping[str, str]) -> FactRow:
    fact = stated.latest.get(field)
    if fact is None or not fact.written.strip():
        return FactRow(name, NOT_SAID, "", doubts.get(field, ""))
    doubt = _joined(doubts.get(field, ""), _said_before(stated, field))
    # The district is for every reader; the garden and the maker's own place are not.
    is_place = field == "region" and stated.district != fact.written.strip()
    return FactRow(
        name,
        shown_cell(fact.written.strip()),
        fact.ground,
        doubt,
        private=is_place or field in PRIVATE_FIELDS,
    )


def _further_rows(stated: StatedLot, beside: frozenset[str]) -> Iterator[FactRow]:
    """Whatever else a sheet says of a lot, under the sheet's own name for it."""
    told = {field for field, _ in (*_ALWAYS, *_WHEN_SAID)} | _TOLD_ELSEWHERE | beside
    for field in sorted(set(stated.latest) - told):
        if stated.written(field):
            yield _row(stated, field, field.replace("_", " ").capitalize(), {})


def _said_before(stated: StatedLot, field: str) -> str:
    earlier = stated.earlier(field)
    return f"Before, it was said to be {earlier[-1].written.strip()}." if earlier else ""


def _class_row(stated: StatedLot) -> Iterator[FactRow]:
    guess = stated.guessed_class
    if guess:
        yield FactRow("Class", tea_class(guess[0]).name, "a guess", f"Not stated; {guess[1]}.")
    elif stated.tea_class:
        yield FactRow("Class", tea_class(stated.tea_class).name, "noted by the buyer")
    else:
        yield FactRow("Class", NOT_SAID, "")


def _maker_rows(stated: StatedLot) -> Iterator[FactRow]:
    if stated.lot.producer:
        yield FactRow("Maker", stated.lot.producer, "noted by the buyer", private=True)
    contacts = dict.fromkeys(text for text in (stated.lot.contact.strip(), stated.written("contact")) if text)
    for contact in contacts:
        yield FactRow("Contact", contact, "noted by the buyer", private=True)


def _offer_rows(stated: StatedLot, doubts: Mapping[str, str]) -> Iterator[FactRow]:
    offer = stated.offer
    if offer is None:
        yield FactRow("Offer", NOT_SAID, "", doubts.get("price", ""))
        return
    who = "stated by producer"
    price = offer.written or (f"{offer.price_per_kg:.2f} {offer.currency} a kg" if offer.price_per_kg else "")
    doubt = _joined(doubts.get("price", ""), _NO_WEIGHT if offer.lacks_weight else "")
    yield FactRow("Price", price or NOT_SAID, who if price else "", doubt, private=True)
    taken = stated.offer_until if stated.year_is_taken else None
    year = f"The year is not written; taken as {said_day(taken)}." if taken else ""
    said = (
        ("Smallest order", kilos(offer.minimum_grams), ""),
        ("On offer", kilos(offer.available_grams), ""),
        ("Offer until", offer.until_written or (str(offer.until) if offer.until else ""), year),
        ("Held for us until", str(offer.held_until) if offer.held_until else "", ""),
    )
    yield from (FactRow(name, shown_cell(text), who, doubt) for name, text, doubt in said if text)
    yield from _private_terms(stated)


def _joined(*texts: str) -> str:
    return " ".join(text for text in texts if text)


def _private_terms(stated: StatedLot) -> Iterable[FactRow]:
    deposit = (stated.offer.deposit if stated.offer else "") or stated.written("deposit")
    said = (("Deposit", deposit), ("Mark-up", stated.written("markup")), ("Held", stated.written("hold")))
    return [FactRow(name, text, "noted by the buyer", private=True) for name, text in said if text]
