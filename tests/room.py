"""The tasting room of the tests: its cast, and builders of what stands on the books. All of it is invented.

    cast = the_cast()
    spring = a_season("Spring 2026")
    dong_ding = a_lot(spring, "LU-07", "Frost Hollow Dong Ding", tea_class="oolong", harvest="18 Apr 2026")
    cup = a_sample(dong_ding, grams=25)
    morning = a_flight(spring, "12 May")
    scores_of(morning, cast.taster, {cup: {"roast": 6, "floral": [4.5, 5]}})

A test that touches them needs `@pytest.mark.django_db` (or the `db` fixture). `command("leaf", "LU-07")` runs
a command in this process on the test database; `shell("import", "book.xlsx", workspace=folder)` as a person
does.
"""

import contextlib
import datetime as dt
import io
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import connection

from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.models import Fact, LeafEntry, Line, Lot, Offer, Producer, Sample, Season
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Remark, Score, Verdict

NOON = dt.datetime(2026, 5, 12, 12, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Cast:
    """Who is in the room. The owner buys; the stranger is on no book and must be shown nothing private."""

    owner: Taster
    helper: Taster
    taster: Taster
    guest: Taster
    stranger: str = "Nobody Known"


def the_cast() -> Cast:
    """The people every test may use."""
    return Cast(
        owner=a_taster("Ilse", is_buyer=True),
        helper=a_taster("Jonas"),
        taster=a_taster("Mirel"),
        guest=a_taster("Odo"),
    )


def a_taster(name: str, *, is_buyer: bool = False) -> Taster:
    return Taster.objects.get_or_create(name=name, defaults={"is_buyer": is_buyer, "is_invented": True})[0]


def a_season(name: str = "Spring 2026", *, before: Season | None = None) -> Season:
    return Season.objects.create(name=name, before=before, sort=Season.objects.count(), is_invented=True)


def a_line(name: str = "House Dong Ding", *, tea_class: str = "oolong", wanted_kg: object = None) -> Line:
    wanted = None if wanted_kg is None else Decimal(str(wanted_kg))
    return Line.objects.create(name=name, tea_class=tea_class, wanted_kg=wanted)


def a_lot(
    season: Season,
    code: str = "LU-07",
    name: str = "Frost Hollow Dong Ding",
    *,
    tea_class: str = "oolong",
    producer: str | None = "Widow Terrace Works",
    line: Line | None = None,
    **facts: str,
) -> Lot:
    """A lot with facts as written: `a_lot(spring, "LU-07", harvest="18 Apr 2026", elev="750 m")`."""
    maker = Producer.objects.get_or_create(name=producer)[0] if producer else None
    lot = Lot.objects.create(
        season=season, code=code, name=name, tea_class=tea_class, producer=maker, line=line, source="room.py"
    )
    for field, written in facts.items():
        Fact.objects.create(lot=lot, field=field, written=written, value={"text": written}, source="room.py")
    return lot


def an_offer(
    lot: Lot, *, price_per_kg: object = None, currency: str = "EUR", until: dt.date | None = None
) -> Offer:
    price = None if price_per_kg is None else Decimal(str(price_per_kg))
    return Offer.objects.create(
        lot=lot,
        price_amount=price,
        price_per_kg=price,
        price_per_grams=1000,
        currency=currency,
        valid_until=until,
    )


def a_sample(lot: Lot, code: str | None = None, *, grams: object = None, per_brew: object = 3) -> Sample:
    """A sample of a lot; with `grams` its leaf is weighed in."""
    sample = Sample.objects.create(lot=lot, code=code or lot.code, grams_per_brew=Decimal(str(per_brew)))
    if grams is not None:
        LeafEntry.objects.create(sample=sample, grams=Decimal(str(grams)), what="received")
    return sample


def a_flight(
    season: Season,
    name: str = "12 May",
    *,
    held_on: dt.date | None = dt.date(2026, 5, 12),
    blind: bool | None = True,
    scale: tuple[float, float] = (0, 10),
) -> Flight:
    return Flight.objects.create(
        season=season, name=name, held_on=held_on, blind=blind, scale_low=scale[0], scale_high=scale[1]
    )


def a_brew(flight: Flight, sample: Sample, label: str = "1") -> Brew:
    return Brew.objects.get_or_create(flight=flight, sample=sample, label=label)[0]


def a_score(
    flight: Flight, sample: Sample, taster: Taster, attribute: str, value: float | None, **more: Any
) -> Score:
    """One score; None is a cell left empty."""
    filled = {
        "status": "missing" if value is None else "ok",
        "written": "" if value is None else f"{value:g}",
        **more,
    }
    return Score.objects.create(
        flight=flight, sample=sample, taster=taster, attribute=attribute, value=value, **filled
    )


def scores_of(
    flight: Flight,
    taster: Taster,
    sheet: Mapping[Sample, Mapping[str, float | Sequence[float | None] | None]],
) -> list[Score]:
    """A whole sheet, {sample: {attribute: value or [one a replicate]}}; replicates are "1", "2", ..."""
    return [
        a_score(flight, sample, taster, attribute, value, replicate=str(number))
        for sample, row in sheet.items()
        for attribute, given in row.items()
        for number, value in enumerate(given if isinstance(given, Sequence) else [given], start=1)
    ]


def a_remark(
    sample: Sample, text: str, *, taster: Taster | None = None, flight: Flight | None = None, stage: str = ""
) -> Remark:
    return Remark.objects.create(sample=sample, text=text, taster=taster, flight=flight, stage=stage)


def a_verdict(sample: Sample, taster: Taster, word: str = "keep", liking: float | None = None) -> Verdict:
    return Verdict.objects.create(sample=sample, taster=taster, word=word, liking=liking)


def all_at_once(action: Callable[[], object], people: int = 8) -> list[Exception]:
    """Let so many people do a thing at the same time, each on a connection of its own; return what failed."""
    failures: list[Exception] = []

    def one() -> None:
        try:
            action()
        except Exception as failure:
            failures.append(failure)
        finally:
            connection.close()

    threads = [threading.Thread(target=one) for _ in range(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return failures


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


def command(*arguments: str) -> Ran:
    """Run `wetleaf ARGUMENTS` in this process, on the test database, with its refusals and exit codes."""
    from wetleaf.cli.main import run

    out, err = io.StringIO(), io.StringIO()
    before = sys.argv
    sys.argv = ["wetleaf", *arguments]
    code: int | str | None = 0
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            run()
    except SystemExit as leaving:
        code = leaving.code
    finally:
        sys.argv = before
    return Ran(code if isinstance(code, int) else 1 if code else 0, out.getvalue(), err.getvalue())


def shell(*arguments: str, workspace: Path | None = None, folder: Path | None = None) -> Ran:
    """Run `wetleaf ARGUMENTS` as a person does, in a process of its own on SQLite (takes about a second)."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith("WETLEAF_") and name != "DJANGO_SETTINGS_MODULE"
    }
    if workspace is not None:
        kept["WETLEAF_WORKSPACE"] = str(workspace)
    done = subprocess.run(
        [sys.executable, "-m", "wetleaf", *arguments],
        capture_output=True,
        text=True,
        env=kept,
        cwd=folder,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)
