"""Which lots could stand in for each other: those of one line; without a line those of one class and style.

A style is the house's group within a class (`trade.classes.GROUPS`), read from name, district and roast: a
rock oolong does not compete with a light strip one. Lots whose style is not known stand
together. Lots with neither are shown together but not compared: they may be of any class.
"""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.records import LotRow, SeasonRecords
from wetleaf.trade.classes import CLASSES, GROUPS

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
    style: str = ""  # a key of trade.classes.GROUPS, or ""

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
    """Part the season's lots: by line, then by class; a line of two classes makes two groups.

    Lots without a line are parted by style too.
    """
    parted: dict[tuple[str, str, str], list[LotRow]] = defaultdict(list)
    for lot in records.lots:
        known = stated[lot.pk]
        parted[lot.line, known.tea_class, "" if lot.line else known.style].append(lot)
    classes_of: dict[str, set[str]] = defaultdict(set)
    styled = {tea_class for _, tea_class, style in parted if style}
    for line, tea_class, _ in parted:
        classes_of[line].add(tea_class)
    groups = [
        _group(
            records,
            (line, tea_class, style),
            lots,
            is_split=len(classes_of[line]) > 1,
            has_styles=tea_class in styled,
        )
        for (line, tea_class, style), lots in parted.items()
    ]
    return tuple(sorted(groups, key=_order))


def _group(
    records: SeasonRecords,
    kind: tuple[str, str, str],
    lots: list[LotRow],
    *,
    is_split: bool,
    has_styles: bool,
) -> LotGroup:
    line, tea_class, style = kind
    kept = records.lines.get(line)
    with_class = f"{line or 'No line yet'}, {_kind_said(line, tea_class, style, has_styles=has_styles)}"
    name = line if line and not is_split else with_class
    return LotGroup(name, line, tea_class, kept.wanted_kg if kept else None, tuple(lots), style)


def _kind_said(line: str, tea_class: str, style: str, *, has_styles: bool) -> str:
    if style:
        return GROUPS[style].name
    class_name = CLASSES[tea_class].name if tea_class in CLASSES else NO_CLASS
    return f"{class_name} of no style said" if not line and has_styles else class_name


def _order(group: LotGroup) -> tuple[bool, int, str]:
    return not group.line, _CLASS_ORDER.get(group.tea_class, len(_CLASS_ORDER)), group.name
