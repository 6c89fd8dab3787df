"""The invented seasons of the demo as rows, straight from its scenario, where the findings are planted."""

import datetime as dt
from decimal import Decimal

import numpy as np

from tests.room import NOON
from wetleaf.demo.cups import pour
from wetleaf.demo.scenario import Scenario, Tasting, Year, scenario
from wetleaf.demo.workbooks import SEED
from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.encoding import as_json
from wetleaf.lots.models import Fact, LeafEntry, Line, Lot, Offer, Producer, Sample, Season, Target
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Remark, Score, Trial, TrialCup, Verdict
from wetleaf.trade.dates import parse_date
from wetleaf.trade.money import parse_price
from wetleaf.trade.quantities import parse_elevation
from wetleaf.trade.stages import find_stage

FACTS = (
    ("place", "region"),
    ("elevation", "elev"),
    ("harvest", "harvest"),
    ("cultivar", "cv"),
    ("oxidation", "ox"),
    ("roast", "roast"),
    ("says", "claims"),
)
SCALE = {"scale_low": 0.0, "scale_high": 7.0}


def demo_seasons() -> tuple[Season, Season]:
    """Store both years of the demo and return them, last year's first."""
    told = scenario()
    rng = np.random.default_rng(SEED)
    tasters = {
        name: Taster.objects.create(name=name, is_buyer=palate.buyer, is_invented=True)
        for name, palate in told.palates.items()
    }
    for line in told.lines:
        made = Line.objects.create(
            name=line["name"], tea_class=line["class"], wanted_kg=Decimal(str(line["wanted_kg"]))
        )
        Target.objects.create(line=made, attribute="", tolerance=line["tolerance"])
    before: Season | None = None
    seasons: list[Season] = []
    samples: dict[str, Sample] = {}
    for year in told.years:
        season = Season.objects.create(name=year.season, before=before, is_invented=True)
        _store_year(told, year, season, samples, tasters, rng)
        seasons.append(season)
        before = season
    return seasons[0], seasons[1]


def _store_year(
    told: Scenario,
    year: Year,
    season: Season,
    samples: dict[str, Sample],
    tasters: dict[str, Taster],
    rng: np.random.Generator,
) -> None:
    buyer = next(taster for taster in tasters.values() if taster.is_buyer)
    for row in year.lots:
        samples[row["code"]] = _store_lot(row, season, buyer)
    for kept in year.kept:
        lot = Lot.objects.get(code=kept["code"])
        samples[kept["code"]] = Sample.objects.create(lot=lot, code=lot.code, kind="kept")
    for tasting in year.flights:
        _store_flight(told, tasting, season, samples, tasters, rng)
    for note in year.notes:
        Remark.objects.create(
            sample=samples[note["sample"]], taster=tasters[note["taster"]], text=note["text"]
        )
    for repeated in year.repeated:
        for liking in repeated["likings"]:
            Verdict.objects.create(sample=samples[repeated["sample"]], taster=buyer, liking=liking, **SCALE)
    for test in year.triangles:
        for taster, right in test["picks"]:
            trial = Trial.objects.create(
                taster=tasters[taster], odd_cup=3, picked=3 if right else 1, correct=right
            )
            for position, cup in enumerate((test["a"], test["a"], test["b"]), start=1):
                TrialCup.objects.create(trial=trial, sample=samples[cup], position=position)


def _store_lot(row: dict, season: Season, buyer: Taster) -> Sample:
    maker = Producer.objects.get_or_create(name=row["producer"])[0]
    line = Line.objects.get(name=row["line"]) if row.get("line") else None
    lot = Lot.objects.create(
        season=season, code=row["code"], name=row["name"], producer=maker, line=line, tea_class=row["class"]
    )
    for key, field in FACTS:
        if row.get(key):
            Fact.objects.create(
                lot=lot, field=field, written=row[key], value=_value(field, row[key]), said_at=NOON
            )
    price = parse_price(row["price"]).value
    until = parse_date(row["until"]).value
    Offer.objects.create(
        lot=lot,
        written=row["price"],
        currency=(price.currency or "") if price else "",
        price_per_kg=price.per_kg if price else None,
        valid_until=until.end if until else None,
        minimum_grams=2000,
        available_grams=20000,
    )
    sample = Sample.objects.create(lot=lot, code=lot.code, grams_per_brew=Decimal(3))
    LeafEntry.objects.create(sample=sample, grams=Decimal(row["sample_grams"]), what="received")
    if "liking" in row:
        Verdict.objects.create(
            sample=sample, taster=buyer, word=row["verdict"], liking=row["liking"], **SCALE
        )
    if row.get("words"):
        Remark.objects.create(sample=sample, taster=buyer, text=row["words"])
    return sample


def _value(field: str, written: str) -> object:
    readers = {"harvest": parse_date, "elev": parse_elevation}
    read = readers[field](written).value if field in readers else None
    return as_json(read) if read is not None else {"text": written}


def _store_flight(
    told: Scenario,
    tasting: Tasting,
    season: Season,
    samples: dict[str, Sample],
    tasters: dict[str, Taster],
    rng: np.random.Generator,
) -> None:
    held = parse_date(tasting.held).value
    flight = Flight.objects.create(
        season=season,
        name=tasting.sheet,
        held_on=held.start if held else dt.date(2026, 1, 1),
        blind=tasting.how.startswith("Blind"),
        brewed=tasting.how,
        **SCALE,
    )
    scores = []
    for cup in pour(told, tasting, rng):
        sample = samples[cup.lot]
        brew = Brew.objects.get_or_create(flight=flight, sample=sample, label=str(cup.pot))[0]
        for attribute, stage, value in zip(told.attributes, told.stages, cup.scores, strict=True):
            found = find_stage(stage)
            scores.append(
                Score(
                    flight=flight, sample=sample, taster=tasters[cup.taster], brew=brew,
                    replicate=str(cup.pot), attribute=attribute, stage=found.key if found else "",
                    value=value, status="ok", written=str(value),
                )
            )  # fmt: skip
    Score.objects.bulk_create(scores)
