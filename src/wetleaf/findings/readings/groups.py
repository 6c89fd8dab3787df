"""Which lots could stand in for each other: those of one line, or of one class where no line is named.

Lots with neither are shown together but not compared: they may be of any class.
"""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.records import LotRow, SeasonRecords
from wetleaf.trade.classes import CLASSES

NO_CLASS = "no class said"
NOT_RANKED = "not ranked: no class is said"
_CLASS_ORDER = {key: place for place, key in enumerate(CLASSES)}


@dataclass(frozen=True)
class LotGroup:
    """Lots that are compared with each other, and with no others."""

    name: str
    line: str
    tea_class: str  # a key of trade.classes, or ""
    wanted_kg: Decimal | None
    lots: tuple[LotRow, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """The lots' keys."""
        return tuple(lot.key for lot in self.lots)

    @property
    def can_be_ranked(self) -> bool:
        """Whether its lots could stand in for each other: with neither line nor class nobody knows that."""
        return bool(self.line or self.tea_class)

    @property
    def class_name(self) -> str:
        """The class in words."""
        return CLASSES[self.tea_class].name if self.tea_class in CLASSES else ""


def groups_of(records: SeasonRecords, stated: dict[int, StatedLot]) -> tuple[LotGroup, ...]:
    """Part the season's lots: by line, then by class; a line of two classes makes two groups."""
    parted: dict[tuple[str, str], list[LotRow]] = defaultdict(list)
    for lot in records.lots:
        parted[lot.line, stated[lot.pk].tea_class].append(lot)
    classes_of: dict[str, set[str]] = defaultdict(set)
    for line, tea_class in parted:
        classes_of[line].add(tea_class)
    groups = [
        _group(records, line, tea_class, lots, is_split=len(classes_of[line]) > 1)
        for (line, tea_class), lots in parted.items()
    ]
    return tuple(sorted(groups, key=_order))


def _group(
    records: SeasonRecords, line: str, tea_class: str, lots: list[LotRow], *, is_split: bool
) -> LotGroup:
    class_name = CLASSES[tea_class].name if tea_class in CLASSES else NO_CLASS
    kept = records.lines.get(line)
    with_class = f"{line or 'No line yet'}, {class_name}"
    name = line if line and not is_split else with_class
    return LotGroup(name, line, tea_class, kept.wanted_kg if kept else None, tuple(lots))


def _order(group: LotGroup) -> tuple[bool, int, str]:
    return not group.line, _CLASS_ORDER.get(group.tea_class, len(_CLASS_ORDER)), group.name
