"""The book of a season for a page: put together when something on the books has changed, else kept."""

import datetime as dt
import threading
import time

from django.db import models
from django.db.models import Count, Max

from wetleaf.findings.book import SeasonBook
from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.models import (
    DroppedCell,
    Fact,
    LeafEntry,
    Line,
    Lot,
    Making,
    Offer,
    Restoration,
    Sample,
    Season,
    Target,
    Withdrawal,
)
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Preference, Remark, Retaste, Score, Trial, Verdict

_WATCHED: tuple[type[models.Model], ...] = (
    Season, Lot, Fact, Offer, Sample, LeafEntry, Making, Line, Target, DroppedCell, Withdrawal, Restoration,
    Flight, Brew, Taster, Score, Remark, Verdict, Preference, Trial, Retaste,
)  # fmt: skip
_TIMES = ("said_at", "given_at", "noted_at", "happened_on")
# What is stored is added, not rewritten, so counts, last keys and last times tell a change; what few rows
# can be rewritten (a line's wish, a season before) show after this many seconds at the latest.
_KEPT_SECONDS = 30.0
_MOST_KEPT = 8
_kept: dict[tuple[object, ...], tuple[float, SeasonBook]] = {}
_lock = threading.Lock()


def open_book(season: Season, *, shown_private: bool, on: dt.date) -> SeasonBook:
    """Return the season's book as of a day. Asks the database for the state of every watched table."""
    key = (season.pk, shown_private, on, _state_of_the_books())
    with _lock:  # two pages asked at once wait for one book
        found = _kept.get(key)
        if found and time.monotonic() - found[0] < _KEPT_SECONDS:
            return found[1]
        from wetleaf.findings.assembling.books import assemble_season_book

        book = assemble_season_book(season, shown_private=shown_private, made_on=on)
        while len(_kept) >= _MOST_KEPT:
            _kept.pop(next(iter(_kept)))
        _kept[key] = (time.monotonic(), book)
        return book


def _state_of_the_books() -> tuple[object, ...]:
    lots = tuple(Lot.objects.values_list("pk", "code", "name", "line_id", "tea_class", "producer__name"))
    return (hash(lots), *(_state_of(model) for model in _WATCHED))


def _state_of(model: type[models.Model]) -> tuple[object, ...]:
    names = {field.name for field in model._meta.get_fields()}
    asked = {name: Max(name) for name in _TIMES if name in names}
    state = model._default_manager.aggregate(rows=Count("pk"), last=Max("pk"), **asked)
    return tuple(state.values())
