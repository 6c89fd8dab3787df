"""A season written back as the records a workbook is made from: importing it again gives the same season.

`season_as_book` hands a `ReadBook` to `lots.workbooks.writing`. Cells here say where a thing will stand only
roughly; the writer lays the sheets out.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from django.db.models import Q

from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.facts import CurrentOffer, KnownLot, known_lots, visible, without_name
from wetleaf.lots.models import LeafEntry, Line, Sample, Season, Target, withdrawn_lots
from wetleaf.lots.moments import one_moment
from wetleaf.lots.workbooks import records
from wetleaf.lots.workbooks.records import Cell, LedgerEntry, LineRow, LotRow, ReadBook, SampleCode, Sitting
from wetleaf.people.models import WrittenName
from wetleaf.sheets.models import Preference, Remark, Retaste, Score, Trial, Verdict
from wetleaf.trade.stages import NextStep

LOTS = "Lots"
FIRST_ROW = 5
_READ_FIELDS = (
    "region", "elev", "harvest", "cv", "ox", "roast", "loss_percent", "markup", "sample_received", "claims",
)  # fmt: skip
_OWN_COLUMNS = frozenset({*_READ_FIELDS, "name", "producer"})
LEFT_OUT_FOR_OTHERS = (
    "Left out of this workbook, which was written for others: the makers' names and contacts, their places "
    "(only the district is kept), prices, deposits, holds, markups and what was decided."
)


def season_as_book(season: Season, *, shared: bool = False) -> ReadBook:
    """Return everything a season holds now as the records of a workbook.

    With `shared` the maker's name, contact, place and price and what was decided are left out; the title of
    the lots says so.
    Answers and decisions that were replaced, lots that were withdrawn and readings that were left out at
    import are not in it; nor is what the book said when a decision was noted.
    """
    with one_moment():
        return _read_season(season, shared=shared)


def _read_season(season: Season, *, shared: bool) -> ReadBook:
    lots = tuple(visible(lot, to_others=shared) for lot in known_lots(season))
    makers = tuple(lot.producer for lot in known_lots(season) if lot.producer) if shared else ()
    rows = {lot.pk: FIRST_ROW + place for place, lot in enumerate(lots)}
    return ReadBook(
        file=f"{season.name}.xlsx",
        digest="",
        kind="xlsx",
        roles=_roles(season),
        lots=tuple(_lot_row(lot, rows[lot.pk]) for lot in lots),
        samples=tuple(_sample_codes(season, rows)),
        sittings=tuple(_sitting(flight) for flight in season.flights.all()),
        scores=tuple(_scores(season)),
        notes=tuple(_notes(season, makers)),
        verdicts=tuple(_verdicts(season)),
        preferences=tuple(_preferences(season, makers)),
        triangles=tuple(_triangles(season)),
        retastes=tuple(_retastes(season)),
        ledger=tuple(_ledger(season)),
        lines=tuple(_lines()),
        decisions=() if shared else tuple(_decisions(season)),
        taster_aliases=_aliases(season),
        season=f"{season.name}. {LEFT_OUT_FOR_OTHERS}" if shared else season.name,
    )


def _roles(season: Season) -> dict[str, str]:
    return {LOTS: "lots"} | dict.fromkeys(season.flights.values_list("name", flat=True), "scores_long")


# Lots


def _lot_row(lot: KnownLot, row: int) -> LotRow:
    said: dict[str, Any] = {name: fact.value for name, fact in lot.facts.items() if name in _READ_FIELDS}
    said |= _of_the_offer(lot.offer) | _making(lot, said)
    facts = {name: str(fact.value) for name, fact in lot.facts.items() if name not in _OWN_COLUMNS}
    facts |= _texts_of_the_offer(lot.offer) | _texts_of_the_lot(lot, facts)
    return LotRow(
        sheet=LOTS,
        row=row,
        code=lot.code,
        name=lot.name,
        producer=lot.producer or None,
        facts=facts,
        cells=_cells(lot, row),
        **said,
    )


def _of_the_offer(offer: CurrentOffer | None) -> dict[str, Any]:
    if offer is None:
        return {}
    parts = ("price", "moq_grams", "moq_grams_max", "avail_grams", "avail_grams_max", "offer_until")
    return {name: value for name in parts if (value := getattr(offer, name)) is not None}


def _texts_of_the_offer(offer: CurrentOffer | None) -> dict[str, str]:
    return {
        name: text for name in ("hold", "deposit") if offer is not None and (text := getattr(offer, name))
    }


def _making(lot: KnownLot, said: dict[str, Any]) -> dict[str, Decimal]:
    """The loss of a lot made on the books, where no cell has said it."""
    losses = [making.loss_percent for making in lot.made_from if making.loss_percent is not None]
    return {"loss_percent": losses[0].normalize()} if losses and "loss_percent" not in said else {}


def _texts_of_the_lot(lot: KnownLot, facts: dict[str, str]) -> dict[str, str]:
    """Line, class, contact and parents as the books have them, where no cell has said them in words."""
    known = {
        "line": lot.line,
        "tea_class": lot.tea_class,
        "contact": lot.contact,
        "parent": ", ".join(making.parent for making in lot.made_from),
        "making": lot.made_from[0].kind if lot.made_from else "",
    }
    return {name: text for name, text in known.items() if text and name not in facts}


def _cells(lot: KnownLot, row: int) -> dict[str, Cell]:
    written = {name: fact.written for name, fact in lot.facts.items()}
    if lot.offer is not None:
        written |= lot.offer.as_written
    return {name: Cell(LOTS, f"A{row}", text) for name, text in written.items() if text}


# Samples and their grams


def _samples(season: Season) -> Iterable[Sample]:
    """The season's samples, and those of other seasons that were served in its flights."""
    served = (
        answers.objects.filter(flight__season=season).values("sample") for answers in (Score, Remark, Brew)
    )
    wanted = Q(lot__season=season)
    for codes in served:  # each its own query: joined, they would multiply
        wanted |= Q(pk__in=codes)
    samples = Sample.objects.filter(wanted).exclude(lot__in=withdrawn_lots()).select_related("lot__season")
    return samples.order_by("lot__season", "lot__code", "code", "-kind")


def _sample_codes(season: Season, rows: dict[int, int]) -> Iterator[SampleCode]:
    for sample in _samples(season):
        where = ((LOTS, rows[sample.lot_id]),) if sample.lot_id in rows else ()
        lot = sample.lot
        of_lot = "" if where else lot.code
        of_season = "" if lot.season_id == season.pk else lot.season.name
        yield SampleCode(sample.code, where, ambiguous=False, kind=sample.kind,
                         of_lot=of_lot, of_season=of_season, received_on=sample.received_on)  # fmt: skip


def _ledger(season: Season) -> Iterator[LedgerEntry]:
    here = LeafEntry.objects.filter(sample__lot__season=season)
    entries = here.exclude(sample__lot__in=withdrawn_lots()).select_related("sample")
    for row, entry in enumerate(entries, start=2):
        grams = entry.grams.normalize() + Decimal(0)
        yield LedgerEntry(
            Cell("Leaf", f"B{row}", f"{grams:f}"), entry.sample.code, grams, entry.what, entry.happened_on
        )


# Flights and answers


def _sitting(flight: Flight) -> Sitting:
    return Sitting(
        name=flight.name,
        sheet=flight.name,
        held_on=flight.held_on,
        blind=flight.blind,
        brewed=flight.brewed,
        purpose=flight.purpose,
        scale_low=flight.scale_low,
        scale_high=flight.scale_high,
    )


def _scores(season: Season) -> Iterator[records.Score]:
    scores = Score.objects.that_hold().filter(flight__season=season)
    scores = scores.exclude(sample__lot__in=withdrawn_lots())
    for row, held in enumerate(scores.select_related("flight", "sample", "taster", "brew"), start=FIRST_ROW):
        status: Any = held.status
        yield records.Score(
            cell=Cell(held.flight.name, f"F{row}", held.written),
            row=row,
            taster=held.taster.name,
            taster_raw=held.taster.name,
            sample=held.sample.code,
            sample_raw=held.sample.code,
            attribute=held.attribute,
            value=held.value,
            status=status,
            stage=held.stage,
            replicate=held.replicate,
            brew=held.brew.label if held.brew else "",
            sitting=held.flight.name,
            lower=held.lower,
            upper=held.upper,
        )


def _notes(season: Season, makers: tuple[str, ...]) -> Iterator[records.Note]:
    here = (
        Q(run__season=season)
        | Q(flight__season=season)
        | Q(run=None, flight=None, sample__lot__season=season)
    )
    remarks = Remark.objects.that_hold().filter(here).exclude(sample__lot__in=withdrawn_lots())
    for row, remark in enumerate(remarks.select_related("sample", "taster", "flight"), start=2):
        text = _without_names(remark.text, makers)
        taster = remark.taster.name if remark.taster else None
        code = remark.sample.code if remark.sample else None
        yield records.Note(
            cell=Cell("Notes", f"D{row}", text),
            text=text,
            taster=taster,
            taster_raw=taster or "",
            sample=code,
            sample_raw=code or "",
            stage=remark.stage,
            sitting=remark.flight.name if remark.flight else "",
        )


def _verdicts(season: Season) -> Iterator[records.Verdict]:
    here = (
        Q(run__season=season)
        | Q(flight__season=season)
        | Q(run=None, flight=None, sample__lot__season=season)
    )
    given = Verdict.objects.that_hold().filter(here, decided=False).exclude(sample__lot__in=withdrawn_lots())
    for row, verdict in enumerate(given.select_related("sample", "taster", "flight"), start=2):
        word: Any = verdict.word or None
        yield records.Verdict(
            cell=Cell("Verdicts", f"C{row}", verdict.word or f"{verdict.liking:g}"),
            sample=verdict.sample.code,
            sample_raw=verdict.sample.code,
            taster=verdict.taster.name,
            verdict=word,
            liking=verdict.liking,
            scale_low=verdict.scale_low,
            scale_high=verdict.scale_high,
            sitting=verdict.flight.name if verdict.flight else "",
            on=verdict.given_on,
        )


def _decisions(season: Season) -> Iterator[records.Decision]:
    """What holds of what was decided by hand: nothing for others, for a reason names prices and makers."""
    noted = Verdict.objects.that_hold().filter(sample__lot__season=season, decided=True)
    noted = noted.exclude(sample__lot__in=withdrawn_lots()).select_related("sample__lot")
    for row, one in enumerate(noted, start=FIRST_ROW):
        said = NextStep[one.step.upper()].value if one.step else one.word
        yield records.Decision(
            cell=Cell("Decisions", f"B{row}", said),
            lot=one.sample.lot.code,
            said=said,
            why=one.why,
            kilos=one.kilos.normalize() + Decimal(0) if one.kilos is not None else None,
            price=one.price,
            on=one.given_on,
        )


def _preferences(season: Season, makers: tuple[str, ...]) -> Iterator[records.Preference]:
    here = Q(run__season=season) | Q(run=None, first__lot__season=season)
    gone = Q(first__lot__in=withdrawn_lots()) | Q(second__lot__in=withdrawn_lots())
    asked = Preference.objects.that_hold().filter(here).exclude(gone)
    for row, one in enumerate(asked.select_related("first", "second", "winner", "taster"), start=2):
        taster = one.taster.name if one.taster else None
        winner = one.winner.code if one.winner else None
        yield records.Preference(
            cell=Cell("A-B", f"D{row}", winner or ("=" if one.tie else "")),
            row=row,
            taster=taster,
            taster_raw=taster or "",
            a=one.first.code,
            b=one.second.code,
            winner=winner,
            tie=one.tie,
            why=_without_names(one.because, makers) or None,
        )


def _triangles(season: Season) -> Iterator[records.Triangle]:
    here = Q(run__season=season) | Q(run=None, cups__lot__season=season)
    whole = Trial.objects.that_hold().filter(here).exclude(cups__lot__in=withdrawn_lots())
    trials = whole.distinct().select_related("taster")
    for row, trial in enumerate(trials.prefetch_related("served__sample"), start=2):
        taster = trial.taster.name if trial.taster else None
        yield records.Triangle(
            cell=Cell("Triangle", f"F{row}", str(trial.picked or "")),
            row=row,
            taster=taster,
            taster_raw=taster or "",
            cups=tuple(cup.sample.code for cup in trial.served.all()),
            odd_cup=trial.odd_cup,
            picked=trial.picked,
            correct=trial.correct,
            usable=trial.correct is not None,
            remark=trial.remark or None,
        )


def _retastes(season: Season) -> Iterator[records.Retaste]:
    here = Retaste.objects.that_hold().filter(lot__season=season).exclude(lot__in=withdrawn_lots())
    tastings = here.select_related("lot")
    for row, one in enumerate(tastings, start=2):
        ready: Any = one.ready or None
        days = (one.tasted_on - one.roasted_on).days if one.tasted_on and one.roasted_on else None
        yield records.Retaste(
            cell=Cell("Re-taste", f"A{row}", one.lot.code),
            row=row,
            lot=one.lot.code,
            roast_date=one.roasted_on,
            taste_date=one.tasted_on,
            days=days,
            roast_aroma=one.roast_aroma,
            ready=ready,
            doubtful=one.doubtful,
            remark=one.remark or None,
        )


def _without_names(text: str, makers: tuple[str, ...]) -> str:
    for maker in makers:
        text = without_name(text, maker)
    return text


# Lines and people


def _lines() -> Iterator[LineRow]:
    """Every line of the shop with what it should be: a row for the line, and one for each of its targets."""
    row = 1
    for line in Line.objects.prefetch_related("targets"):
        row += 1
        yield LineRow(Cell("Lines", f"A{row}", line.name), line.name, line.tea_class, line.wanted_kg)
        latest: dict[str, Target] = {target.attribute: target for target in line.targets.all()}
        for attribute, target in latest.items():
            row += 1
            yield LineRow(
                cell=Cell("Lines", f"A{row}", line.name),
                name=line.name,
                attribute=attribute,
                target=target.value,
                tolerance=target.tolerance,
            )


def _aliases(season: Season) -> dict[str, tuple[str, ...]]:
    scored = Score.objects.filter(flight__season=season).values("taster")
    said = Remark.objects.filter(sample__lot__season=season).values("taster")
    names = WrittenName.objects.filter(Q(taster__in=scored) | Q(taster__in=said))
    aliases: dict[str, list[str]] = {}
    for name in names.select_related("taster").order_by("pk"):
        aliases.setdefault(name.taster.name, []).append(name.written)
    return {name: tuple(written) for name, written in aliases.items()}
