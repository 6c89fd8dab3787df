"""Readings become JSON and come back the same."""

import datetime as dt
import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.lots.encoding import READ_AS, from_json, reading_as_json, reading_from_json
from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

AMOUNTS = st.decimals(min_value=0, max_value=10**9, places=4)
DATES = st.builds(
    PartialDate,
    st.sampled_from(["day", "month", "range", "season"]),
    st.none() | st.integers(1900, 2100),
    start=st.none() | st.dates(),
    alternatives=st.lists(st.dates(), max_size=3).map(tuple),
    part=st.sampled_from(["", "early", "late"]),
    doubtful=st.booleans(),
)
READINGS: dict[str, st.SearchStrategy[Any]] = {
    "elev": st.builds(
        Elevation, st.none() | st.integers(0, 3000), unit_written=st.text(), value_written=st.none() | AMOUNTS
    ),
    "harvest": DATES,
    "roast": st.builds(Degree, st.none() | AMOUNTS, word=st.text(max_size=5)),
    "price": st.builds(Price, AMOUNTS, st.none() | st.just("TWD"), st.none() | AMOUNTS),
    "markup": AMOUNTS,
    "claims": st.text(st.characters(blacklist_characters="\0", blacklist_categories=("Cs",))),
}


@pytest.mark.parametrize("field", READINGS)
@given(data=st.data())
def test_a_reading_comes_back_as_it_was(field: str, data: st.DataObject) -> None:
    value = data.draw(READINGS[field])

    through_json = json.loads(json.dumps(reading_as_json(value)))

    if isinstance(value, Elevation):
        value = Elevation(
            value.m, unit_written=value.unit_written.replace("\0", ""), value_written=value.value_written
        )
    if isinstance(value, Degree):
        value = Degree(value.pct, word=value.word.replace("\0", ""))
    assert reading_from_json(field, through_json) == value


def test_every_field_that_is_read_has_a_kind() -> None:
    assert {"elev", "harvest", "ox", "roast", "price", "offer_until"} <= set(READ_AS)


def test_what_it_did_not_make_is_refused() -> None:
    with pytest.raises(TypeError):
        from_json(Elevation, "750 m")


def test_days_are_kept_as_days() -> None:
    held = reading_as_json(
        PartialDate("day", 2026, 4, 18, start=dt.date(2026, 4, 18), end=dt.date(2026, 4, 18))
    )

    assert held["start"] == "2026-04-18"
    assert reading_from_json("harvest", held).start == dt.date(2026, 4, 18)
    assert reading_as_json(Decimal("1E+3")) == {"number": "1000"}
