"""The one place of the book that asks the database: a season's rows in a fixed number of questions."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from functools import lru_cache
from typing import TypeVar, cast

from django.db.models import Q, QuerySet, Sum

from wetleaf.findings.records import (
    DecisionRow,
    DroppedRow,
    FactRow,
    FlightRow,
    LineRow,
    LotRow,
    MakingRow,
    OfferRow,
    PreferenceRow,
    RemarkRow,
    RetasteRow,
    SampleRow,
    ScoreRow,
    SeasonRecords,
    TargetRow,
    TrialRow,
    VerdictRow,
)
from wetleaf.findings.withdrawn import without_lots
from wetleaf.flights.models import Flight
from wetleaf.lots.models import (
    DroppedCell,
    Fact,
    ImportRun,
    Line,
    Lot,
    Making,
    Offer,
    Sample,
    Season,
    Target,
    withdrawn_lots,
)
from wetleaf.lots.moments import one_moment
from wetleaf.sheets.models import Answer, Preference, Remark, Retaste, Score, Trial, TrialCup, Verdict
from wetleaf.trade.stages import read_stage

A = TypeVar("A", bound=Answer)


def fetch_season(season: Season) -> SeasonRecords:
    """Fetch all rows of a season's book, as one moment had them, in a fixed number of queries."""
    with one_moment():
        return without_lots(_fetch(season), set(withdrawn_lots()))


def _fetch(season: Season) -> SeasonRecords:
    seasons = [season.pk] + ([season.before_id] if season.before_id else [])
    samples = _samples(seasons)
    lots = _lots(seasons, {sample.lot for sample in samples})
    mine = tuple(lot for lot in lots if lot.season == season.name)
    others = tuple(lot for lot in lots if lot.season != season.name)
    verdicts, replaced, decisions = _verdicts(seasons)
    return SeasonRecords(
        season=season.name,
        before=season.before.name if season.before else "",
        is_invented=season.is_invented,
        lots=mine,
        other_lots=others,
        samples=samples,
        flights=_flights(seasons, season),
        scores=_scores(seasons),
        verdicts=verdicts,
        earlier_verdicts=replaced,
        decisions=decisions,
        remarks=_remarks(seasons),
        preferences=_preferences(season.pk),
        trials=_trials(season.pk),
        retastes=_retastes(season.pk),
        facts=_facts(lots),
        offers=_offers(season.pk),
        lines=_lines(lots),
        targets=_targets(),
        dropped=_dropped(season.pk),
        files=tuple(ImportRun.objects.filter(season=season).values_list("file_name", "digest")),
        makings=_makings(season.pk),
    )


def _that_hold(kind: type[A]) -> QuerySet[A]:
    return cast("QuerySet[A]", kind.objects.that_hold())


def _samples(seasons: list[int]) -> tuple[SampleRow, ...]:
    """Samples of the seasons' lots, and what else was served in their flights (kept from further back)."""
    served = _that_hold(Score).filter(flight__season__in=seasons).values("sample")
    rows = (
        Sample.objects.filter(Q(lot__season__in=seasons) | Q(pk__in=served))
        .annotate(
            grams_in=Sum("leaf_entries__grams", filter=Q(leaf_entries__grams__gt=0)),
            grams_now=Sum("leaf_entries__grams"),
        )
        .order_by("code", "pk")
    )
    return tuple(
        SampleRow(
            row.pk,
            row.lot_id,
            row.code,
            row.kind,
            row.received_on,
            row.grams_per_brew,
            row.grams_in,
            row.grams_now,
        )
        for row in rows
    )


def _lots(seasons: list[int], tasted: set[int]) -> tuple[LotRow, ...]:
    rows = list(
        Lot.objects.filter(Q(season__in=seasons) | Q(pk__in=tasted)).select_related(
            "season", "producer", "line"
        )
    )
    codes = [row.code for row in rows]
    return tuple(_lot(row, is_shared=codes.count(row.code) > 1) for row in rows)


def _lot(row: Lot, *, is_shared: bool) -> LotRow:
    return LotRow(
        pk=row.pk,
        key=f"{row.code} ({row.season.name})" if is_shared else row.code,
        code=row.code,
        name=row.name,
        season=row.season.name,
        producer=row.producer.name if row.producer else "",
        contact=row.producer.contact if row.producer else "",
        line=row.line.name if row.line else "",
        tea_class=row.tea_class or (row.line.tea_class if row.line else ""),
        source=row.source,
    )


def _flights(seasons: list[int], shown: Season) -> tuple[FlightRow, ...]:
    rows = list(Flight.objects.filter(season__in=seasons).select_related("season"))
    titles = titles_of(
        [(row.name, row.held_on.year if row.held_on else None, row.season.name) for row in rows], shown.name
    )
    return tuple(
        FlightRow(
            row.pk,
            row.name,
            row.season.name,
            row.held_on,
            row.blind,
            row.brewed,
            row.purpose,
            (row.scale_low, row.scale_high),
            row.source,
            title,
        )
        for row, title in zip(rows, titles, strict=True)
    )


def titles_of(flights: list[tuple[str, int | None, str]], shown: str) -> list[str]:
    """Tell flights apart: (name, year held, season) of each; `shown` is the season of the book.

    A flight of another season, or of a name that is used twice, carries its year; where that does not tell
    them apart, its season.

    >>> titles_of([("First flush 22 Apr", 2025, "2025"), ("First flush 22 Apr", 2026, "2026")], "2026")
    ['First flush 22 Apr 2025', 'First flush 22 Apr 2026']
    >>> titles_of([("Pass", 2026, "Spring"), ("Pass", 2026, "Autumn"), ("Greens", 2026, "Autumn")], "Autumn")
    ['Pass (Spring)', 'Pass (Autumn)', 'Greens']
    """
    names = Counter(name for name, _, _ in flights)
    dated = [_with_year(name, year, season) for name, year, season in flights]
    uses = Counter(dated)
    titles = []
    for (name, _, season), said in zip(flights, dated, strict=True):
        if season == shown and names[name] == 1:
            titles.append(name)
        else:
            titles.append(said if uses[said] == 1 else f"{name} ({season})")
    return titles


def _with_year(name: str, year: int | None, season: str) -> str:
    said = str(year) if year else season
    return name if said in name else f"{name} {said}" if year else f"{name} ({season})"


def _scores(seasons: list[int]) -> tuple[ScoreRow, ...]:
    rows = (
        _that_hold(Score)
        .filter(flight__season__in=seasons)
        .values_list(
            "flight_id",
            "sample_id",
            "taster__name",
            "brew__label",
            "attribute",
            "stage",
            "replicate",
            "value",
            "status",
        )
    )
    return tuple(
        ScoreRow(row[0], row[1], row[2], row[3] or "", row[4], _stage_key(row[5]), *row[6:]) for row in rows
    )


@lru_cache(maxsize=1024)
def _stage_key(written: str) -> str:
    """The key of a stage as a sheet names it; "" for none, or for a name used of several ("Liquor")."""
    reading = read_stage(written) if written else None
    if reading is None or (reading.stage.key == "liquor_colour" and not reading.sure):
        return ""
    return reading.stage.key


def _verdicts(
    seasons: list[int],
) -> tuple[tuple[VerdictRow, ...], tuple[VerdictRow, ...], tuple[DecisionRow, ...]]:
    """The verdicts that hold, those that a later one replaced, and what was decided by hand."""
    rows = Verdict.objects.filter(sample__lot__season__in=seasons).select_related("taster", "sample")
    replaced = {row.replaces_id for row in rows}
    of_cups = [row for row in rows if not row.decided]
    return (
        tuple(_verdict(row) for row in of_cups if row.pk not in replaced),
        tuple(_verdict(row) for row in of_cups if row.pk in replaced),
        tuple(_decision(row, replaced=row.pk in replaced) for row in rows if row.decided),
    )


def _decision(row: Verdict, *, replaced: bool) -> DecisionRow:
    rests_on = tuple((one["question"], one["answer"], one["digest"]) for one in row.rests_on)
    return DecisionRow(
        row.sample.lot_id,
        row.word,
        row.step,
        row.why,
        row.kilos,
        row.price,
        row.given_on,
        rests_on,
        replaced,
    )


def _verdict(row: Verdict) -> VerdictRow:
    return VerdictRow(
        row.pk,
        row.sample_id,
        row.flight_id,
        row.taster.name,
        row.taster.is_buyer,
        row.word,
        row.liking,
        (row.scale_low, row.scale_high),
        row.given_on,
    )


def _remarks(seasons: list[int]) -> tuple[RemarkRow, ...]:
    rows = (
        _that_hold(Remark)
        .filter(sample__lot__season__in=seasons)
        .values_list("sample_id", "flight_id", "taster__name", "stage", "text")
    )
    return tuple(RemarkRow(row[0], row[1], row[2] or "", _stage_key(row[3]), row[4]) for row in rows)


def _preferences(season: int) -> tuple[PreferenceRow, ...]:
    rows = (
        _that_hold(Preference)
        .filter(first__lot__season=season)
        .values_list("taster__name", "first_id", "second_id", "winner_id", "tie")
    )
    return tuple(PreferenceRow(row[0] or "", *row[1:]) for row in rows)


def _trials(season: int) -> tuple[TrialRow, ...]:
    cups: dict[int, list[int]] = defaultdict(list)
    served = TrialCup.objects.filter(sample__lot__season=season).order_by("trial_id", "position")
    for trial, sample in served.values_list("trial_id", "sample_id"):
        cups[trial].append(sample)
    rows = _that_hold(Trial).filter(pk__in=cups).values_list("pk", "taster__name", "correct")
    return tuple(TrialRow(name or "", tuple(cups[pk]), correct) for pk, name, correct in rows)


def _retastes(season: int) -> tuple[RetasteRow, ...]:
    rows = _that_hold(Retaste).filter(lot__season=season)
    fields = ("lot_id", "roasted_on", "tasted_on", "ready", "doubtful", "roast_aroma", "remark")
    return tuple(RetasteRow(*row) for row in rows.values_list(*fields))


def _facts(lots: Iterable[LotRow]) -> dict[int, tuple[FactRow, ...]]:
    found: dict[int, list[FactRow]] = defaultdict(list)
    for row in Fact.objects.filter(lot__in=[lot.pk for lot in lots]):
        fact = FactRow(row.field, row.written, row.value, row.ground, row.source, row.said_at)
        found[row.lot_id].append(fact)
    return {lot: tuple(facts) for lot, facts in found.items()}


def _offers(season: int) -> dict[int, OfferRow]:
    rows = Offer.objects.filter(lot__season=season)  # oldest first, so the latest stays
    return {row.lot_id: _offer(row) for row in rows}


def _offer(row: Offer) -> OfferRow:
    return OfferRow(
        row.price_per_kg,
        row.currency,
        row.written,
        row.minimum_grams,
        row.available_grams,
        row.valid_until,
        str(row.as_written.get("offer_until", "") or ""),
        row.held_until,
        row.deposit,
        row.source,
        lacks_weight=row.price_amount is not None and row.price_per_grams is None,
        noted_on=row.said_at.date(),
    )


def _lines(lots: Iterable[LotRow]) -> dict[str, LineRow]:
    rows = Line.objects.filter(name__in={lot.line for lot in lots if lot.line})
    return {row.name: LineRow(row.name, row.tea_class, row.wanted_kg) for row in rows}


def _targets() -> dict[str, dict[str, TargetRow]]:
    found: dict[str, dict[str, TargetRow]] = defaultdict(dict)
    for row in Target.objects.select_related("line").order_by("said_at", "pk"):  # the latest holds
        found[row.line.name][row.attribute] = TargetRow(row.attribute, row.value, row.tolerance)
    return dict(found)


def _dropped(season: int) -> tuple[DroppedRow, ...]:
    rows = DroppedCell.objects.filter(run__season=season)
    fields = ("sheet", "cell", "says", "kind", "severity", "why")
    return tuple(DroppedRow(*row) for row in rows.values_list(*fields))


def _makings(season: int) -> tuple[MakingRow, ...]:
    rows = Making.objects.filter(Q(child__season=season) | Q(parent__season=season))
    fields = ("parent__code", "child__code", "kind", "grams_in", "grams_out", "loss_percent", "made_on")
    return tuple(MakingRow(*row) for row in rows.values_list(*fields))
