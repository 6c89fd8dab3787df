"""Ways of preparing a liquor: grams, millilitres and minutes as published, and how hot "boiling" is."""

import math
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from wetleaf.trade.errors import BadInput
from wetleaf.trade.tables import Ground, ground_of, toml_table

_TABLE = "protocols.toml"
_BALL_ROLLED = ("oolong_ball_light", "oolong_ball_roasted")
# The standard atmosphere, and the Antoine equation of water (pressure in mmHg, degrees Celsius).
_SEA_LEVEL_KPA, _LAPSE_PER_METRE, _EXPONENT = 101.325, 2.25577e-5, 5.25588
_ANTOINE_A, _ANTOINE_B, _ANTOINE_C = 8.07131, 1730.63, 233.426
_MMHG_PER_KPA = 760 / 101.325
_LOWEST_M, _HIGHEST_M = -500, 6000


@dataclass(frozen=True)
class SteepTimes:
    """The minutes of each steep for a class of tea, and where they come from."""

    tea: str
    minutes: tuple[int, ...]
    ground: Ground

    @property
    def steep_seconds(self) -> tuple[int, ...]:
        """Return the steeps in seconds."""
        return tuple(60 * minutes for minutes in self.minutes)


@dataclass(frozen=True)
class Protocol:
    """A way of preparing a liquor; tolerances are None where none were seen."""

    key: str
    name: str
    vessel: str
    capacity_ml: int
    capacity_tolerance_ml: int | None
    fill_ml: int
    grams: Decimal
    grams_tolerance: Decimal | None
    vessel_grams: int | None
    vessel_grams_tolerance: int | None
    water: str
    times: tuple[SteepTimes, ...] = field(repr=False)
    leading_steep: int
    ground: Ground = field(repr=False)


def _steep_times(row: dict[str, Any]) -> SteepTimes:
    return SteepTimes(row["for"], tuple(row["steeps"]), ground_of(row, _TABLE))


def _protocol(row: dict[str, Any]) -> Protocol:
    return Protocol(
        key=row["key"],
        name=row["name"],
        vessel=row["vessel"],
        capacity_ml=row["capacity_ml"],
        capacity_tolerance_ml=row.get("capacity_tolerance_ml"),
        fill_ml=row["fill_ml"],
        grams=Decimal(row["grams"]),
        grams_tolerance=Decimal(row["grams_tolerance"]) if "grams_tolerance" in row else None,
        vessel_grams=row.get("vessel_grams"),
        vessel_grams_tolerance=row.get("vessel_grams_tolerance"),
        water=row["water"],
        times=tuple(_steep_times(times) for times in row["times"]),
        leading_steep=row.get("leading_steep", 1),
        ground=ground_of(row, _TABLE),
    )


_DATA = toml_table(_TABLE)
PROTOCOLS: dict[str, Protocol] = {row["key"]: _protocol(row) for row in _DATA["protocol"]}
SCALD_CAUTION: str = _DATA["caution"]["text"]
SCALD_CAUTION_GROUND = ground_of(_DATA["caution"], _TABLE)


def protocol(key: str) -> Protocol:
    """Return the protocol of a key. Raises BadInput for a key that is not in the table.

    >>> protocol("iso_3103_large").grams
    Decimal('5.6')
    """
    if key not in PROTOCOLS:
        raise BadInput(f"{key!r} is not a way of preparing.", way_out=f"Use one of: {', '.join(PROTOCOLS)}.")
    return PROTOCOLS[key]


def steep_times(protocol_key: str, tea_class: str, group: str | None = None) -> SteepTimes | None:
    """Return the steeps a protocol gives for a class (and group) of tea, or None if it does not cover it.

    >>> steep_times("column_cup", "oolong", "oolong_ball_light").minutes
    (6,)
    >>> steep_times("covered_bowl", "black")
    """
    wanted = [group, "oolong ball" if group in _BALL_ROLLED else None, tea_class]
    times = {times.tea: times for times in protocol(protocol_key).times}
    return next((times[tea] for tea in wanted if tea in times), None)


def grams_per_brew(protocol_key: str) -> Decimal:
    """Return the grams of leaf one brew spends.

    >>> grams_per_brew("covered_bowl")
    Decimal('5')
    """
    return protocol(protocol_key).grams


def air_pressure_kpa(altitude_m: float) -> float:
    """Return the standard pressure at an altitude, in kPa. Raises BadInput outside -500 to 6000 m.

    >>> round(air_pressure_kpa(1000), 2)
    89.87
    """
    if not _LOWEST_M <= altitude_m <= _HIGHEST_M:
        why = f"an altitude of {altitude_m:g} m is outside {_LOWEST_M} to {_HIGHEST_M} m."
        raise BadInput(why, way_out="Give it in metres.")
    return float(_SEA_LEVEL_KPA * (1 - _LAPSE_PER_METRE * altitude_m) ** _EXPONENT)


def boiling_point_celsius(altitude_m: float) -> float:
    """Return where water boils at an altitude, in degrees Celsius; pages show whole degrees.

    Standard atmosphere, then Antoine's equation. Published fits differ by up to 0.36 K; weather adds as much.
    Raises BadInput outside -500 to 6000 m.

    >>> round(boiling_point_celsius(0)), round(boiling_point_celsius(2000))
    (100, 93)
    """
    millimetres = air_pressure_kpa(altitude_m) * _MMHG_PER_KPA
    return _ANTOINE_B / (_ANTOINE_A - math.log10(millimetres)) - _ANTOINE_C
