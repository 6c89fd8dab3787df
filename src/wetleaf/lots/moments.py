"""Writing one at a time, and reading the books as they were at one moment, on SQLite and PostgreSQL alike."""

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from wetleaf.trade.errors import BadInput

_THE_BOOKS = 0x7EA1EAF
"""The number of PostgreSQL's advisory lock; any will do that nobody else of this database uses."""


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """A transaction that waits until no other of its kind is open, so that what was looked up is still so.

    SQLite does so by itself (IMMEDIATE locks the whole file). PostgreSQL would let two look for a free code
    and both take it, or lock each other out over two tasters; a house has few writers, so they take turns.
    """
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_THE_BOOKS])
        yield


def refuse_future(day: dt.date | None, what: str) -> None:
    """Raise BadInput for a day that is still to come; what is noted has happened.

    Tomorrow is let through: where the buyer sits it may be tomorrow already.
    """
    today = timezone.localdate()
    if day is not None and day > today + dt.timedelta(days=1):
        raise BadInput(f"{what} on {day} is still to come: today is {today}.", way_out="Look at the year.")


@contextmanager
def one_moment() -> Iterator[None]:
    """Questions asked inside see the books as one moment had them, never half of an import. Only for reading.

    Inside a transaction that is open already it changes nothing. It locks nobody out.
    """
    if connection.in_atomic_block:
        yield
        return
    with _deferred(connection), transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


@contextmanager
def _deferred(here: Any) -> Iterator[None]:
    # A reader of SQLite needs no lock: its first question fixes the moment, and WAL keeps it.
    if here.vendor != "sqlite":
        yield
        return
    here.ensure_connection()
    mode, here.transaction_mode = here.transaction_mode, "DEFERRED"
    try:
        yield
    finally:
        here.transaction_mode = mode
